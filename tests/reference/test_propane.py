"""Propane and the burner against CoolProp, the library chemicals and published tables."""

import chemicals
import numpy as np
import pytest
from real_fluids import ON_ONE_WORKER, PropsSI

from warmside.data import load
from warmside.model.heat_source import Burner, drill_diameter
from warmside.properties import propane
from warmside.units import from_si, read_quantity, to_si

pytestmark = ON_ONE_WORKER

PROPANE, CARBON_DIOXIDE, WATER = "74-98-6", "124-38-9", "7732-18-5"
CUBIC_FOOT = 0.3048**3
BTU = 1055.056
POUND = 0.45359237
INCHES_OF_WATER = 249.08891  # Pa; NIST SP 811, conventional


def si(text: str, kind: str) -> float:
    return to_si(read_quantity(text, kind), kind)


def coolprop(temperatures: np.ndarray) -> np.ndarray:
    return np.array([PropsSI("P", "T", t, "Q", 0, "Propane") for t in np.atleast_1d(temperatures)])


def test_heating_values_from_enthalpies_of_formation():
    # chemicals 1.5.2, formation from elements at 25 °C; latent heat and molar mass of CoolProp 8
    burnt = 3 * chemicals.Hfg(CARBON_DIOXIDE) + 4 * chemicals.Hfl(WATER)
    higher = chemicals.Hfg(PROPANE) - burnt
    mass = PropsSI("M", "Propane")
    latent = PropsSI("H", "T", 298.15, "Q", 1, "Water") - PropsSI("H", "T", 298.15, "Q", 0, "Water")
    assert propane.higher_heating_value() == pytest.approx(higher / mass, rel=2e-4)
    assert propane.lower_heating_value() == pytest.approx(
        (higher - 4 * latent * PropsSI("M", "Water")) / mass, rel=2e-4
    )
    assert mass == pytest.approx(propane.MOLAR_MASS, rel=1e-6)


def test_heating_values_as_commonly_printed():
    # 50.33 and 46.34 MJ/kg from chemicals 1.5.2 and CoolProp 8.0.0; formation enthalpies spread by 0.2 %
    assert propane.higher_heating_value() == pytest.approx(50.33e6, rel=2e-3)
    assert propane.lower_heating_value() == pytest.approx(46.34e6, rel=2e-3)


@pytest.mark.parametrize("printed", [21591, 21622, 21548])
def test_heating_value_of_a_pound_of_commercial_gas(printed):
    # Btu/lb: properties of LP-gases as in the annex of NFPA 58, 21 591, after vaporisation 21 548;
    # CAN/CGA-B149.2-M95, 21 622. Commercial grade is not pure: 2 %.
    assert propane.higher_heating_value() * POUND / BTU == pytest.approx(printed, rel=0.02)
    assert propane.higher_heating_value() == pytest.approx(
        si(f"{printed} Btu/lb", "specific_energy"), rel=0.02
    )


@pytest.mark.parametrize("printed", [2516, 2520, 2488])
def test_heating_value_of_a_cubic_foot_of_commercial_gas(printed):
    # Btu/ft³ at 60 °F, the same three sources; propane's density by CoolProp
    density = PropsSI("D", "T", (60 + 459.67) / 1.8, "P", 101325, "Propane")
    assert propane.higher_heating_value() * density * CUBIC_FOOT / BTU == pytest.approx(printed, rel=0.03)
    ideal = 101325 / (8.314462618 * (60 + 459.67) / 1.8) * propane.MOLAR_MASS
    assert propane.higher_heating_value() * ideal * CUBIC_FOOT / BTU == pytest.approx(printed, rel=0.02)


def test_our_table_s_commercial_value_is_the_printed_one():
    # 21 591 Btu/lb, properties of LP-gases as in the annex of NFPA 58
    assert load("fuels")["commercial_heating_value"] == pytest.approx(21591 * BTU / POUND, rel=1e-6)


# BCcampus, Plumbing (open textbook), orifices [ft³/h]: specific gravity 1.5, 11 in w.c., factor 0.90
ORIFICES = [(80, 0.0135, 0.579), (78, 0.016, 0.813), (70, 0.028, 2.489)]


@pytest.mark.parametrize(("drill", "inches", "printed"), ORIFICES)
def test_table_of_orifices(drill, inches, printed):
    assert drill_diameter(drill) == pytest.approx(inches * 0.0254)
    burner = Burner(drill_diameter(drill))
    assert burner.gas_pressure == pytest.approx(11 * INCHES_OF_WATER)
    assert burner.volume_flow / CUBIC_FOOT * 3600 == pytest.approx(printed, rel=5e-3)
    assert from_si(burner.volume_flow, "volume_flow", "foot**3/hour").magnitude == pytest.approx(
        printed, rel=5e-3
    )


@pytest.mark.parametrize(("drill", "inches", "printed"), ORIFICES)
def test_table_of_orifices_read_in_us_units(drill, inches, printed):
    burner = Burner(si(f"{inches} in", "length"), si("11 in w.c.", "pressure_difference"))
    assert burner.volume_flow == pytest.approx(si(f"{printed} ft³/h", "volume_flow"), rel=5e-3)
    # the flow as printed, with the 2516 Btu/ft³ of commercial propane (annex of NFPA 58)
    assert from_si(burner.heat, "power").magnitude == pytest.approx(printed * 2516, rel=0.02)


@pytest.mark.parametrize(
    ("drill", "flow", "heat"), [(80, 4.5388, 419.8), (78, 6.3755, 589.6), (70, 19.525, 1805.7)]
)
def test_orifices_in_si(drill, flow, heat):
    # K A √(2 Δp/ρ), K = 0.9, gas of 1.5 times the air's 1.225 kg/m³, worked apart [cm³/s]; 50.33 MJ/kg [W]
    burner = Burner(drill_diameter(drill))
    assert burner.volume_flow * 1e6 == pytest.approx(flow, rel=5e-3)
    assert burner.heat == pytest.approx(heat, rel=5e-3)


def test_eleven_inches_of_water():
    # NIST SP 811: 249.0889 Pa conventional, 248.84 Pa at 60 °F
    assert si("11 in w.c.", "pressure_difference") == pytest.approx(2739.98, rel=1e-5)
    assert si("11 in w.c.", "pressure_difference") == pytest.approx(2737.24, rel=1.1e-3)


def test_air_to_burn():
    # C3H8 + 5 O2, air with 20.95 % of oxygen: published as 23.86 m³/m³, and 15.68 kg/kg; others take 21 %
    assert propane.stoichiometric_air() == pytest.approx(23.866, rel=1e-4)
    assert propane.stoichiometric_air() == pytest.approx(5 / 0.21, rel=5e-3)
    by_mass = propane.stoichiometric_air() * 28.9644e-3 / propane.MOLAR_MASS  # of dry air [kg/mol]
    assert by_mass == pytest.approx(15.677, rel=1e-3)
    # atoms and oxygen balanced by the library chemicals
    atoms = [chemicals.nested_formula_parser(formula) for formula in ("C3H8", "O2", "CO2", "H2O")]
    oxygen, carbon_dioxide, water = 5, 3, 4
    assert atoms[0]["C"] == carbon_dioxide * atoms[2]["C"]
    assert atoms[0]["H"] == water * atoms[3]["H"]
    assert oxygen * atoms[1]["O"] == carbon_dioxide * atoms[2]["O"] + water * atoms[3]["O"]
    assert propane.flue_gas() == pytest.approx(carbon_dioxide + water + oxygen * (1 / 0.2095 - 1))


# CoolProp 8.0.0, Propane (Lemmon et al. 2009): t [°C], p [bar]
SATURATED = [(-40, 1.1112), (-20, 2.4452), (0, 4.7446), (20, 8.3646), (37.78, 13.0053), (50, 17.133)]


@pytest.mark.parametrize(("celsius", "bar"), SATURATED)
def test_pressure_in_the_cylinder(celsius, bar):
    assert propane.saturation_pressure(273.15 + celsius) / 1e5 == pytest.approx(bar, rel=2e-3)
    fahrenheit = si(f"{celsius * 1.8 + 32:.3f} °F", "temperature")
    psi = from_si(propane.saturation_pressure(fahrenheit), "pressure_absolute", "psi").magnitude
    assert psi == pytest.approx(bar * 14.503774, rel=2e-3)


def test_stated_deviation_holds_between_the_fitted_points():
    temperatures = np.linspace(215.3, 349.6, 157)
    assert propane.saturation_pressure(temperatures) == pytest.approx(coolprop(temperatures), rel=6.5e-5)
    assert PropsSI("Tcrit", "Propane") == pytest.approx(propane.CRITICAL_TEMPERATURE, abs=0.01)
    assert PropsSI("pcrit", "Propane") == pytest.approx(propane.CRITICAL_PRESSURE, rel=1e-4)


@pytest.mark.parametrize(("fahrenheit", "psig"), [(70, 127), (100, 196), (105, 210), (130, 287)])
def test_bottled_gas_stands_above_pure_propane(fahrenheit, psig):
    # Gauge pressures of commercial propane, properties of LP-gases as suppliers print them: lighter gases
    # in it put it 11 to 15 % above pure propane
    pure = propane.saturation_pressure(si(f"{fahrenheit} °F", "temperature")) - 101325
    assert 1.105 < si(f"{psig} psig", "pressure_gauge") / pure < 1.155


def test_flammable_limits_are_the_widest_published():
    # IEC 60079-20-1 and NFPA 497 by chemicals 1.5.2; 2.15 to 9.6 % in the annex of NFPA 58
    lowest, highest = load("fuels")["flammable"]
    methods = chemicals.LFL_methods(CASRN=PROPANE)
    assert lowest == pytest.approx(min(chemicals.LFL(CASRN=PROPANE, method=each) for each in methods))
    assert highest == pytest.approx(max(chemicals.UFL(CASRN=PROPANE, method=each) for each in methods))
    assert lowest < 0.0215 and highest > 0.096
