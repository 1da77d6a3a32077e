"""Draught and openings against published formulas and another library, through the model's own air path.

ASHRAE: Handbook, Fundamentals, chapter "Ventilation and Infiltration"; the equation's number differs by
edition.
"""

import numpy as np
import pytest
from real_fluids import ON_ONE_WORKER, PropsSI
from scipy.optimize import brentq

from warmside.data import load
from warmside.model import draught, enclosure
from warmside.properties import air

pytestmark = ON_ONE_WORKER

GRAVITY = 9.80665  # m/s², 3rd General Conference on Weights and Measures, 1901
INSIDE, OUTSIDE, HEIGHT = 323.15, 308.15, 1.5
VENT = 0.55  # discharge coefficient of the model's vents
WIDE = 1e4  # m², m; holds no air back


def chimney(lower, upper=WIDE, *, ambient=OUTSIDE, height=HEIGHT, **changes):
    """An air path of two openings with these effective areas [m²] and a warm column between them [m]."""
    usual = dict(
        ambient_temperature=ambient,
        room_temperature=ambient,
        lower_area=lower / VENT,
        upper_area=upper / VENT,
        fin_area=WIDE,
        baffle_gap=0.0,
        cavity_depth=WIDE,
        width=WIDE,
        absorber_height=0.0,
        # heat given off at the foot warms the height of the condenser and of the outlet
        outlet_height=height - load("parameters").number("condenser_height"),
        side_gap=0.0,
        side_height=1.0,
        pocket_area=0.0,
    )
    return enclosure.air_path(**(usual | changes))


def rise(path, heat):
    return heat / (path.capacity * enclosure.air_flow(path, heat, 0.0).total)


def flow_at(path, warmer):
    """Flow [m³/s] with as much heat as makes the column so much warmer [K]."""
    heat = brentq(lambda heat: rise(path, heat) - warmer, 1e-3, 1e6, xtol=1e-9)
    return enclosure.air_flow(path, heat, 0.0).total


def test_stack_flow_of_ashrae():
    # Q = Cd A sqrt(2 g dH (Ti - To)/Ti), equal openings of 0.02 m², Cd 0.65, neutral level half-way:
    # 0.0107422 m³/s. The air path takes the air inside as dense as that outside but for its weight, and so
    # stands the half of 15 K in 308 K above it
    flow = flow_at(chimney(0.013, 0.013), 15.0)
    assert flow == pytest.approx(0.0107422, rel=0.025)
    assert flow > 0.0107422


@pytest.mark.parametrize(("area", "height", "ambient"), [(0.013, 1.5, 308.15), (0.04, 0.6, 300.0)])
def test_stack_flow_of_ashrae_for_small_differences(area, height, ambient):
    # the same formula with 1 K, where it doesn't matter which of the two temperatures stands below
    by_formula = area * np.sqrt(2 * GRAVITY * height / 2 * 1.0 / (ambient + 1.0))
    path = chimney(area, area, ambient=ambient, height=height)
    assert flow_at(path, 1.0) == pytest.approx(by_formula, rel=2e-3)


def test_inflow_of_ashrae():
    # flow from mass conservation with ideal-gas densities, at outside density: 0.0106138 m³/s
    assert flow_at(chimney(0.013, 0.013), 15.0) == pytest.approx(0.0106138, rel=0.04)


@pytest.mark.parametrize("ratio", [0.5, 1.0, 2.0])
def test_neutral_level_of_ashrae(ratio):
    # h = H/(1 + (A1/A2)² Ti/To): the level is where the lower opening has used up its part of the draught;
    # 0.73218 m of 1.5 m for equal openings at 15 K
    both, lower = chimney(0.013 * ratio, 0.013).resistance, chimney(0.013 * ratio).resistance
    level = HEIGHT / (1.0 + ratio**2 * INSIDE / OUTSIDE)
    assert HEIGHT * lower / both == pytest.approx(level, rel=0.05)
    at_one_kelvin = HEIGHT / (1.0 + ratio**2 * (OUTSIDE + 1.0) / OUTSIDE)
    assert HEIGHT * lower / both == pytest.approx(at_one_kelvin, rel=4e-3)


def test_draught_pressure_by_hydrostatics():
    # (rho_o - rho_i) g H with dry air of 28.9652 g/mol at 101 325 Pa
    assert draught.stack_pressure(HEIGHT, INSIDE, OUTSIDE) == pytest.approx(0.78216, rel=5e-3)


def test_draught_pressure_with_real_air_of_coolprop():
    outside, inside = (PropsSI("D", "T", t, "P", 101325, "Air") for t in (OUTSIDE, INSIDE))
    expected = (outside - inside) * GRAVITY * HEIGHT
    assert draught.stack_pressure(HEIGHT, INSIDE, OUTSIDE) == pytest.approx(expected, rel=5e-3)


def test_draught_of_the_air_path_with_real_air_of_coolprop():
    # what one kelvin draws, and 15 K as near as the air path comes
    outside, by_one, by_fifteen = (
        PropsSI("D", "T", OUTSIDE + t, "P", 101325, "Air") for t in (0.0, 1.0, 15.0)
    )
    path = chimney(0.013)
    column = path.height_of_low_heat + path.height_of_high_heat
    for_a_kelvin = path.buoyancy * path.capacity * column
    assert for_a_kelvin == pytest.approx((outside - by_one) * GRAVITY * HEIGHT, rel=5e-3)
    assert 15 * for_a_kelvin == pytest.approx((outside - by_fifteen) * GRAVITY * HEIGHT, rel=0.055)


@pytest.mark.parametrize("pascals", [0.1, 1.0, 20.0])
def test_an_opening_by_bernoulli(pascals):
    # V = Cd A sqrt(2 dp/rho): ASHRAE; 0.65 of a sharp edge, air of CoolProp
    density = PropsSI("D", "T", OUTSIDE, "P", 101325, "Air")
    expected = 0.65 * 0.02 * np.sqrt(2 * pascals / density)
    through_path = enclosure.air_flow(chimney(0.65 * 0.02, wind_pressure=pascals), 0.0, 0.0).total
    assert through_path == pytest.approx(expected, rel=2e-3)
    assert draught.opening_flow(0.02, pascals, density) == pytest.approx(expected, rel=1e-12)


def test_loss_of_a_discharge_coefficient():
    # fluids 1.3.1, discharge coefficient to loss coefficient: 2.3669 for 0.65
    area = draught.effective_area(1.0, 2.3669)
    assert area == pytest.approx(0.65, abs=1e-5)
    assert draught.loss(area) == pytest.approx(2.3669, abs=5e-5)
    assert draught.loss(1.0, 2.3669) == pytest.approx(2.3669, abs=5e-5)


def test_vents_are_between_the_published_louvres():
    # E3S Web of Conferences 396 (2023) 02030: 0.80, 0.62, 0.41 with blades at 0, 15, 30°; a vent with its
    # screen lets through what louvres at 15 to 30° do
    assert load("louvres").numbers("blade_discharge_coefficient") == pytest.approx([0.80, 0.62, 0.41])
    path = chimney(VENT, lower_area=0.05, wind_pressure=1.0)
    without_loss = 0.05 * np.sqrt(2 / air.density(OUTSIDE))
    assert 0.41 < enclosure.air_flow(path, 0.0, 0.0).total / without_loss < 0.62


def test_fan_and_system_by_closed_form():
    # constructed: p = 30 (1 - (V/0.04)²) Pa against two openings of 0.01 m² with Cd 0.65 in air of 308.15 K
    path = chimney(0.0065, 0.0065, fan=draught.Fan(30.0, 0.04))
    flow = enclosure.air_flow(path, 0.0, 0.0).total
    assert flow == pytest.approx(0.025576, rel=5e-3)
    assert chimney(0.0065, 0.0065).resistance * flow**2 == pytest.approx(17.7351, rel=5e-3)


# --- the gap beside the cabinet ---


def side_slot(gap):
    return chimney(0.013, side_gap=gap, ambient=310.0).slot


def test_a_narrow_slot_tends_to_plane_poiseuille_flow():
    # White, Viscous Fluid Flow: mean speed s² dp/(12 mu L) between parallel plates; the gap's way is 1 m
    gap, push = 1e-3, 0.05
    viscosity = PropsSI("V", "T", 310.0, "P", 101325, "Air")
    assert side_slot(gap).speed(push) == pytest.approx(gap**2 * push / (12 * viscosity * 1.0), rel=1e-2)


@pytest.mark.parametrize("push", [1.0, 100.0])
def test_a_wide_slot_tends_to_kirchhoffs_free_streamlines(push):
    # G. Kirchhoff 1869 (Lamb, Hydrodynamics, art. 75): a jet out of a slot contracts to pi/(pi + 2), 0.611;
    # the trade's 0.60 is a little less, as friction makes it
    density = PropsSI("D", "T", 310.0, "P", 101325, "Air")
    contraction = side_slot(10.0).speed(push) / np.sqrt(2 * push / density)
    assert contraction == pytest.approx(np.pi / (np.pi + 2.0), rel=0.025)
    assert contraction < np.pi / (np.pi + 2.0)


# --- between plates and fins ---


def elenbaas(spacing, length, warmer, pressure=101325.0, ambient=310.0):
    """Elenbaas's number of plates at one temperature, and what else follows from it, by CoolProp's air."""
    get = lambda what: PropsSI(what, "T", ambient, "P", pressure, "Air")  # noqa: E731
    density, heat, viscosity, conductivity = (get(what) for what in ("D", "C", "V", "L"))
    number = density**2 * GRAVITY / ambient * heat * warmer * spacing**4
    return number / (viscosity * conductivity * length), conductivity


def bar_cohen_and_rohsenow(number):
    """Nusselt number of upright plates, both alike: J. Heat Transfer 106 (1984) 116, from memory."""
    return (576.0 / number**2 + 2.873 / np.sqrt(number)) ** -0.5


@pytest.mark.parametrize("pressure", [101325.0, 70109.0])
def test_a_narrow_channel_draws_what_bar_cohen_and_rohsenow_found(pressure):
    # the slot and the weight of warm air alone: a narrow channel fills with air as warm as its plates, and
    # both plates together give off rho cp u s dT, so that Nu = El/24
    spacing, length, warmer, ambient = 2e-3, 0.15, 20.0, 310.0
    number, conductivity = elenbaas(spacing, length, warmer, pressure, ambient)
    push = draught.buoyancy(ambient, length, pressure) * warmer
    speed = draught.slot(spacing, length, ambient, pressure).speed(push)
    density, heat = (PropsSI(what, "T", ambient, "P", pressure, "Air") for what in ("D", "C"))
    given_off = density * heat * speed * spacing / (2.0 * length)
    nusselt = given_off * spacing / conductivity
    assert number < 3.0
    assert nusselt == pytest.approx(number / 24.0, rel=0.02)
    assert nusselt == pytest.approx(bar_cohen_and_rohsenow(number), rel=0.06)


@pytest.mark.parametrize("altitude_pressure", [89875.0, 79495.0, 70109.0])
@pytest.mark.parametrize(("spacing", "near"), [(0.012, 0.06), (0.02, 0.01)])
def test_thin_air_takes_heat_from_fins_as_bar_cohen_and_rohsenow_say(altitude_pressure, spacing, near):
    # fins 0.15 m high and 20 K warm: 20 mm apart each stands alone, and Nu goes as El^(1/4); 12 mm apart thin
    # air hinders them more, by a twentieth at 3 km
    at_sea, _ = elenbaas(spacing, 0.15, 20.0)
    above, _ = elenbaas(spacing, 0.15, 20.0, altitude_pressure)
    published = bar_cohen_and_rohsenow(above) / bar_cohen_and_rohsenow(at_sea)
    assert enclosure.in_thin_air(altitude_pressure, 0.0) == pytest.approx(published, rel=near)


def test_density_at_an_altitude():
    # U.S. Standard Atmosphere 1976: 89.875, 79.495 and 70.109 kPa at 1, 2 and 3 km of geometric height; the
    # ratio of the draught's density is that of the pressure on a day of one temperature
    for height, kilopascals in ((1000.0, 89.875), (2000.0, 79.495), (3000.0, 70.109)):
        pressure = air.standard_pressure(height)
        assert pressure == pytest.approx(1e3 * kilopascals, rel=5e-4)
        here, sea = chimney(0.013, air_pressure=pressure), chimney(0.013)
        for name in ("capacity", "resistance", "slot_draught"):
            assert getattr(here, name) / getattr(sea, name) == pytest.approx(pressure / 101325.0)
        assert here.slot.friction == sea.slot.friction


def test_a_plume_widens_as_published():
    # from memory: the half width of a line plume in the open grows by about 0.12 of its height, a wall's
    # plume by 0.08 to 0.1; the air behind a cabinet of usual depth is all within it at the condenser
    spread = load("parameters").number("plume_spread")
    assert 0.08 <= spread <= 0.15
    usual, deep = (chimney(0.013, cavity_depth=d, absorber_height=0.9).unmixed for d in (0.105, 0.205))
    assert usual == pytest.approx(1.0 - load("parameters").number("mixing"))
    assert deep > usual


# --- doorways ---


def gosney_and_olama(width, height, inside, outside):
    cold, warm = (PropsSI("D", "T", t, "P", 101325, "Air") for t in (inside, outside))
    spread = (2.0 / (1.0 + (cold / warm) ** (1.0 / 3.0))) ** 1.5
    return 0.221 * width * height * np.sqrt(GRAVITY * height * (1.0 - warm / cold)) * spread


@pytest.mark.parametrize(("inside", "outside"), [(292.0, 293.0), (276.5, 310.9), (253.15, 303.15)])
def test_doorway_of_gosney_and_olama(inside, outside):
    # their formula with real densities
    expected = gosney_and_olama(0.5, 0.8, inside, outside)
    assert draught.doorway_flow(0.5, 0.8, inside, outside) == pytest.approx(expected, rel=3e-3)


def test_doorway_tends_to_the_orifice_formula():
    # W. G. Brown and K. R. Solvason, Int. J. Heat Mass Transfer 5 (1962) 859, from memory: for small
    # differences V = Cd/3 A sqrt(g H dT/T) with Cd about 0.6 to 0.8
    flow = draught.doorway_flow(0.5, 0.8, 292.0, 293.0)
    simple = 0.4 / 3 * np.sqrt(GRAVITY * 0.8 * 1.0 / 292.5)
    assert 0.6 < flow / simple < 0.8
    assert draught.doorway_flow(0.5, 0.8, 293.0, 293.0) == 0.0
    assert draught.doorway_flow(0.5, 0.8, 300.0, 293.0) == 0.0


@pytest.mark.parametrize("warmer", [1.0, 4.0, 16.0])
def test_the_space_over_the_top_by_the_orifice_formula(warmer):
    # the same formula with Cd 0.6, for an opening of 0.2 m², 0.3 m high; its air competes with 1.2 W/K to the
    # room and 0.12 W/K through the walls, all calibrated
    path = chimney(0.013, pocket_area=0.2)
    around = enclosure.surroundings(path, OUTSIDE, OUTSIDE + warmer)
    flow = 0.6 / 3 * 0.2 * np.sqrt(GRAVITY * 0.3 * warmer / OUTSIDE)
    density, heat = (PropsSI(what, "T", OUTSIDE, "P", 101325, "Air") for what in ("D", "C"))
    conductance = 0.12 + density * heat * flow
    weight = conductance / (conductance + 1.2)
    assert around.pocket - OUTSIDE == pytest.approx(weight * warmer, rel=2e-3)
