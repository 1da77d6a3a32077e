"""Heat sources: laws, what the coupled model makes of them, bad input."""

import dataclasses

import numpy as np
import pytest
from heater_cases import NOT_A_NUMBER, refused
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.data import load
from warmside.errors import InputError
from warmside.model import heat_source as sources
from warmside.model.circuit import in_parallel
from warmside.model.heat_source import Burner, electric_heat, on_electricity, on_gas
from warmside.model.installation import SIZES, Installation
from warmside.model.refrigerator import steady_state
from warmside.properties import air
from warmside.units import read_quantity, to_si

CABINETS = load("cabinets")
HEAT = {"mains": "heat_input", "battery": "battery_heat_input"}
HOT = (110 + 459.67) / 1.8
LIMIT = (43 + 459.67) / 1.8
each_size = pytest.mark.parametrize("size", SIZES)
each_source = pytest.mark.parametrize("source", sources.ELECTRIC)


@each_size
@each_source
def test_the_nominal_voltage_gives_the_table_s_heat(size, source):
    voltage = sources.nominal_voltage(source)
    assert electric_heat(size, source, voltage) == pytest.approx(CABINETS[HEAT[source]][size])
    together = in_parallel(sources.element_resistances(size, source))
    assert voltage**2 / together == pytest.approx(CABINETS[HEAT[source]][size])


@settings(deadline=None)
@given(st.sampled_from(SIZES), st.floats(0, 20), st.floats(-0.2, 0.2))
def test_heat_goes_as_the_square_of_the_voltage_and_falls_with_resistance(size, voltage, tolerance):
    heat = electric_heat(size, "battery", voltage, tolerance=tolerance)
    assert heat * (12 / 10) ** 2 == pytest.approx(
        electric_heat(size, "battery", voltage / 2, tolerance=tolerance) * 4 * 1.44
    )
    assert heat * (1 + tolerance) == pytest.approx(electric_heat(size, "battery", voltage))
    ohms = sources.element_resistances(size, "battery", tolerance)
    assert voltage**2 / in_parallel(ohms) == pytest.approx(heat)


@pytest.mark.parametrize("size", ["8 cu ft", "18 cu ft"])
def test_one_of_two_elements_gives_half(size):
    whole = electric_heat(size, "mains", 117.0)
    assert electric_heat(size, "mains", 117.0, open_elements=1) == pytest.approx(whole / 2)
    assert electric_heat(size, "mains", 117.0, open_elements=2) == 0


def test_the_six_has_one_element():
    assert len(sources.element_resistances("6 cu ft")) == 1
    assert electric_heat("6 cu ft", "mains", 120.0, open_elements=1) == 0
    refused(
        "number of open elements is 2; it must be from 0 to 1", electric_heat, "6 cu ft", "mains", 120.0, 2
    )


def test_electric_heat_broadcasts():
    volts, tolerance = np.array([[110.0], [120.0]]), np.array([-0.05, 0.0, 0.05])
    assert electric_heat("8 cu ft", "mains", volts, tolerance=tolerance).shape == (2, 3)
    assert electric_heat("8 cu ft", "mains", volts, 2, tolerance).shape == (2, 3)
    assert np.ndim(electric_heat("8 cu ft", "mains", 120.0)) == 0


def test_all_of_electricity_reaches_the_boiler_and_part_of_the_gas():
    assert sources.boiler_share("mains") == sources.boiler_share("battery") == 1.0
    assert 0.4 < sources.boiler_share("gas") < 0.7


# --- the coupled model ---


def test_food_temperature_over_the_voltage_at_110_degrees():
    """A trend: 120 V hold, at 105 V the food is warm; less heat is never colder by more than 0.3 K."""
    volts = np.array([120.0, 115.0, 110.0, 105.0])
    food = steady_state(on_electricity(Installation.of("8 cu ft"), volts), HOT).food_temperature
    assert (np.diff(food) > 0).all()
    assert food[0] < LIMIT < food[-1]
    assert food[-1] - food[0] > 5.0


def test_a_supply_read_in_other_units_gives_the_same():
    volts = to_si(read_quantity("0.12 kV", "voltage"), "voltage")
    hot = to_si(read_quantity("110 °F", "temperature"), "temperature")
    one = Installation.of("8 cu ft")
    assert steady_state(on_electricity(one, volts), hot).food_temperature == pytest.approx(
        steady_state(on_electricity(one, 120.0), HOT).food_temperature, abs=1e-6
    )


def test_one_of_two_elements_cannot_hold():
    half = on_electricity(Installation.of("8 cu ft"), 120.0, open_elements=1)
    assert half.heat_input == pytest.approx(CABINETS["heat_input"]["8 cu ft"] / 2)
    assert steady_state(half, HOT).food_temperature > LIMIT


@pytest.mark.parametrize(("size", "ambient"), [("6 cu ft", 90), ("8 cu ft", 110), ("18 cu ft", 110)])
def test_gas_at_the_right_pressure_holds_and_at_a_quarter_of_it_does_not(size, ambient):
    gas = Installation.of(size, heat_source="gas")
    ambient = (ambient + 459.67) / 1.8
    pressure = to_si(read_quantity("11 in w.c.", "pressure_difference"), "pressure_difference")
    right, low = (on_gas(gas, Burner.of(size, gas_pressure=pressure * part)) for part in (1.0, 0.25))
    assert low.heat_input == pytest.approx(right.heat_input * 0.5)
    assert steady_state(right, ambient).food_temperature < LIMIT + 0.5
    assert steady_state(low, ambient).food_temperature > LIMIT + 5.0


def test_the_nominal_heat_is_the_installation_s_own():
    for size in SIZES:
        assert on_electricity(Installation.of(size), 120.0).heat_input == pytest.approx(
            Installation.of(size).heat_input
        )
        gas = Installation.of(size, heat_source="gas")
        assert on_gas(gas, Burner.of(size)).heat_input == pytest.approx(gas.heat_input)


# --- gas ---

burners = st.builds(
    Burner,
    orifice_diameter=st.floats(2e-4, 2e-3),
    gas_pressure=st.floats(100.0, 5e3),
    fouling=st.floats(0.0, 0.9),
    altitude=st.floats(-500.0, 5000.0),
)


@each_size
def test_the_nominal_burner_gives_the_table_s_heat(size):
    assert Burner.of(size).heat == pytest.approx(CABINETS["gas_heat_input"][size])
    # a drill that is made, not a fancy hole: 80 to 70
    assert (
        sources.drill_diameter(80) * 0.9 < Burner.of(size).orifice_diameter < sources.drill_diameter(70) * 1.2
    )


@settings(deadline=None)
@given(burners, st.floats(1.0, 4.0))
def test_heat_goes_as_the_root_of_the_pressure_and_as_the_area(burner, more):
    pressed = dataclasses.replace(burner, gas_pressure=burner.gas_pressure * more)
    wider = dataclasses.replace(burner, orifice_diameter=burner.orifice_diameter * np.sqrt(more))
    assert pressed.heat == pytest.approx(burner.heat * np.sqrt(more))
    assert wider.heat == pytest.approx(burner.heat * more)
    clean = dataclasses.replace(burner, fouling=0.0)
    assert burner.heat == pytest.approx(clean.heat * (1.0 - burner.fouling))


@settings(deadline=None)
@given(burners)
def test_altitude_takes_the_root_of_the_air_s_density(burner):
    sea = dataclasses.replace(burner, altitude=0.0)
    thin = air.standard_pressure(burner.altitude) / air.ATMOSPHERE
    assert burner.heat == pytest.approx(sea.heat * np.sqrt(thin))
    assert burner.volume_flow == pytest.approx(sea.volume_flow / np.sqrt(thin))


@settings(deadline=None)
@given(burners)
def test_flows_of_a_burner_agree(burner):
    assert burner.flue_flow > burner.air_flow > burner.volume_flow > 0
    assert burner.flue_flow == pytest.approx(burner.air_flow + 2 * burner.volume_flow)  # 6 volumes give 7
    assert burner.cylinder_time(9.07) * burner.mass_flow == pytest.approx(9.07)
    assert burner.cylinder_time(9.07, 0.5) == pytest.approx(2 * burner.cylinder_time(9.07))


def test_no_pressure_no_heat_and_no_end_of_the_cylinder():
    shut = Burner.of("8 cu ft", gas_pressure=0.0)
    assert shut.heat == 0
    assert shut.cylinder_time(9.07) == np.inf


def test_burners_broadcast():
    burner = Burner.of(
        "8 cu ft", gas_pressure=np.array([[2000.0], [2740.0]]), altitude=np.array([0.0, 1e3, 2e3])
    )
    assert burner.heat.shape == burner.flue_flow.shape == burner.cylinder_time(9.0).shape == (2, 3)
    assert Burner.of(["6 cu ft", "8 cu ft"]).heat == pytest.approx(
        [CABINETS["gas_heat_input"][size] for size in ("6 cu ft", "8 cu ft")]
    )


def test_the_code_s_derating():
    """A manufacturer's table after a standard of 1964, with the middle of each of its steps.

    Capacity over that at the sea: 1 to 2000 ft, then 0.92, 0.88, 0.84, 0.80, 0.76 and 0.72.
    """
    feet = 0.3048
    assert sources.code_derating(feet * np.array([-100.0, 0.0, 1999.9])).tolist() == [0.0, 0.0, 0.0]
    steps = np.array([2001.0, 3000.0, 4000.0, 5000.0, 6000.0, 7000.0]) * feet
    table = [0.92, 0.88, 0.84, 0.80, 0.76, 0.72]
    assert 1.0 - sources.code_derating(steps) == pytest.approx(table, abs=1e-4)


def test_an_orifice_alone_takes_off_less_than_the_code_wants():
    feet = 0.3048 * np.array([3000.0, 5000.0, 8000.0])
    as_found = 1.0 - Burner.of("8 cu ft", altitude=feet).heat / Burner.of("8 cu ft").heat
    assert (as_found < sources.code_derating(feet)).all()
    assert as_found == pytest.approx([0.05, 0.09, 0.14], abs=0.007)


def test_a_burner_and_its_installation_stand_at_one_altitude():
    high = Installation.of("8 cu ft", heat_source="gas", altitude=1500.0)
    assert on_gas(high, Burner.of("8 cu ft", altitude=1500.0)).heat_input == pytest.approx(high.heat_input)
    with pytest.raises(InputError, match="at another altitude than the installation"):
        on_gas(high, Burner.of("8 cu ft"))


def test_drills_get_wider_as_their_numbers_fall():
    diameters = [sources.drill_diameter(number) for number in range(80, 69, -1)]
    assert (np.diff(diameters) > 0).all()


# --- bad input ---


def _burner(**changes):
    return Burner(**{"orifice_diameter": 4e-4, **changes})


WRONG = [
    ("voltage at the heater is", lambda x: electric_heat("8 cu ft", "mains", x), [-1.0, 1000.0, np.inf]),
    ("voltage at the heater is", lambda x: electric_heat("8 cu ft", "battery", x), [-1.0, 120.0, np.inf]),
    ("open elements is", lambda x: electric_heat("8 cu ft", "mains", 120.0, x), [-1, 3, 0.5, np.inf]),
    ("tolerance", lambda x: electric_heat("8 cu ft", "mains", 120.0, 0, x), [-1.0, 2.0, np.inf]),
    ("tolerance", lambda x: sources.element_resistances("8 cu ft", "mains", x), [-1.0, 2.0, np.inf]),
    ("supply is", lambda x: sources.check_voltage("mains", x, "The supply"), [-1.0, 181.0, np.inf]),
    ("voltage at the heater", lambda x: on_electricity(Installation.of("8 cu ft"), x), [-1.0, 240.0]),
    ("orifice_diameter of the burner is", Burner, [0.0, -1e-4, 1.0, np.inf]),
    ("gas_pressure of the burner is", lambda x: _burner(gas_pressure=x), [-1.0, 1e6, np.inf]),
    ("fouling of the burner is", lambda x: _burner(fouling=x), [-0.1, 1.0, np.inf]),
    ("altitude of the burner is", lambda x: _burner(altitude=x), [-1000.0, 9000.0, np.inf]),
    ("contents is", lambda x: _burner().cylinder_time(x), [-1.0, np.inf]),
    ("duty is", lambda x: _burner().cylinder_time(9.0, x), [-0.1, 1.1, np.inf]),
    ("altitude is", sources.code_derating, [-1000.0, 9000.0, np.inf]),
    ("orifice is marked with", sources.drill_diameter, [0, 60, 81, 79.5, -80, np.inf, np.array([80])]),
]


@pytest.mark.parametrize(("match", "function", "values"), WRONG)
def test_what_is_no_number_or_out_of_range_is_refused_in_one_sentence(match, function, values):
    for value in (*values, *NOT_A_NUMBER):
        refused(match, function, value)


def test_120_volts_on_a_battery_heater_is_told_with_what_would_be_right():
    refused(
        "120 V; it must be from 0 to 20 V on a battery circuit of 12 V",
        electric_heat,
        "8 cu ft",
        "battery",
        120.0,
    )


@pytest.mark.parametrize("name", ["ten", "", None, 8, [], ["6 cu ft", "8 cu ft"], "Eight", "x" * 500])
def test_names_that_there_are_not(name):
    refused("size is .* must be one of six, eight, eighteen", electric_heat, name, "mains", 120.0)
    refused("size is .* must be one of six, eight, eighteen", sources.element_resistances, name)
    for function in (sources.nominal_voltage, lambda source: electric_heat("8 cu ft", source, 12.0)):
        refused("must be one of mains, battery", function, name)
    refused("heat source is .* must be one of mains, battery, gas", sources.boiler_share, name)
    refused("must be one of mains, battery", sources.check_voltage, name, 12.0)


def test_a_burner_of_what_there_is_not():
    refused("size .*“ten”; it must be one of six, eight, eighteen", Burner.of, "ten")
    refused("A burner has no “presure”", Burner.of, "8 cu ft", presure=3.0)
    refused("fouling of the burner is 1", Burner.of, "8 cu ft", fouling=1.0)


def test_a_source_on_the_wrong_installation():
    refused(
        "heat source is 'gas'; it must be one of mains, battery",
        on_electricity,
        Installation.of("8 cu ft", heat_source="gas"),
        120.0,
    )
    refused(
        "heat source is 'mains'; it must be one of gas",
        on_gas,
        Installation.of("8 cu ft"),
        Burner.of("8 cu ft"),
    )
    many = Installation.of(np.array(["6 cu ft", "8 cu ft"]))
    refused("size is .* must be one of", on_electricity, many, 120.0)
