"""Installations: what is usual, what changes with what, and what is refused."""

import numpy as np
import pytest

from warmside.data import load
from warmside.errors import InputError
from warmside.model.draught import Fan
from warmside.model.quantity import quantities
from warmside.model.refrigerator import NO_BAFFLE, Installation


@pytest.mark.parametrize("size", ["6 cu ft", "8 cu ft", "18 cu ft"])
def test_as_it_comes_it_is_correct(size):
    one = Installation.of(size)
    limits = load("limits")
    assert one.top_gap == limits["top_gap"]
    assert one.side_gap <= limits["side_gap"]
    assert one.rear_gap <= limits["rear_gap"]
    assert limits["baffle_gap"][0] <= one.baffle_gap <= limits["baffle_gap"][1]
    assert one.lower_vent_blocked == one.upper_vent_blocked == one.fin_fouling == one.pocket_opening == 0
    assert one.shape == ()


def test_what_is_usual_follows_size_outlet_and_source():
    cabinets = load("cabinets")
    assert Installation.of("6 cu ft").outlet == "wall"
    assert Installation.of("8 cu ft").outlet == "roof"
    assert Installation.of("8 cu ft").outlet_height == cabinets["roof_outlet_height"]["8 cu ft"]
    wall = Installation.of("8 cu ft", outlet="wall")
    assert wall.outlet_height == cabinets["wall_outlet_height"]["8 cu ft"]
    gas = Installation.of("6 cu ft", heat_source="gas")
    assert gas.heat_input == cabinets["gas_heat_input"]["6 cu ft"]
    assert gas.changed(heat_source="mains").heat_input == cabinets["heat_input"]["6 cu ft"]
    assert gas.changed(size="8 cu ft").heat_input == cabinets["gas_heat_input"]["8 cu ft"]
    assert gas.changed(heat_input=300.0).changed(heat_source="battery").heat_input == 300.0


def test_changes_add_up_and_leave_the_first_as_it_is():
    one = Installation.of("8 cu ft")
    two = one.changed(side_gap=0.02).changed(baffle_gap=None)
    assert (one.side_gap, one.baffle_gap) == (0.006, 0.010)
    assert (two.side_gap, two.baffle_gap) == (0.02, NO_BAFFLE)
    with pytest.raises(AttributeError):
        one.side_gap = 0.02


def test_depth_and_rear_gap_are_one_thing():
    one = Installation.of("8 cu ft", cavity_depth=0.205)
    assert one.rear_gap == pytest.approx(0.120)
    assert one.cavity_depth == pytest.approx(0.205)
    assert one.changed(rear_gap=0.02).cavity_depth == pytest.approx(0.105)
    assert one.changed(cavity_depth=0.15).rear_gap == pytest.approx(0.065)
    assert Installation.of("8 cu ft", cavity_depth=0.205, rear_gap=0.12).rear_gap == pytest.approx(0.12)


def test_arrays_of_names_and_numbers():
    many = Installation.of(
        np.array(["6 cu ft", "18 cu ft", "8 cu ft"]),
        outlet=np.array(["wall", "roof", "wall"]),
        heat_source=np.array([["mains"], ["gas"]]),
    )
    cabinets = load("cabinets")
    assert many.shape == (2, 3)
    assert many.heat_input[1, 2] == cabinets["gas_heat_input"]["8 cu ft"]
    assert many.heat_input[0, 1] == cabinets["heat_input"]["18 cu ft"]
    assert many.outlet_height.tolist() == [0.10, cabinets["roof_outlet_height"]["18 cu ft"], 0.10]
    assert Installation.of("6 cu ft", fan=Fan(np.array([5.0, 10.0]), 0.04)).shape == (2,)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"size": "seven"}, "size of the installation is “seven”; it must be a volume from 4 to 20"),
        ({"outlet": "floor"}, "outlet of the installation is “floor”"),
        ({"heat_source": "coal"}, "it must be one of mains, battery, gas"),
        ({"side_gap": -0.001}, "side_gap of the installation is -0.001; it must be a length"),
        ({"side_gap": "wide"}, "side_gap of the installation is 'wide'; it must be a length"),
        ({"rear_gap": -0.01}, "rear_gap"),
        ({"cavity_depth": 0.05}, "rear_gap of the installation is -0.035"),
        ({"cavity_depth": 0.2, "rear_gap": 0.02}, "disagree"),
        ({"baffle_gap": -0.01}, "or None where there is no baffle"),
        ({"baffle_gap": 0.11}, "but the space it stands in is 0.105 m deep"),
        ({"baffle_gap": np.nan}, "baffle_gap"),
        ({"fin_fouling": 1.2}, "a fraction from 0 to 1"),
        ({"lower_vent_blocked": [0.5, -0.5]}, "lower_vent_blocked of the installation is -0.5"),
        ({"upper_vent_area": -1}, "an area"),
        ({"wind_pressure": -0.6}, "the model knows no reverse flow"),
        ({"altitude": 5000}, "an altitude from 0 to 4000 m"),
        ({"altitude": "high"}, "altitude of the installation is 'high'"),
        ({"parameters": 0.5}, "no values by name"),
        ({"parameters": {"speed": 0.5}}, "have a “speed”; they can be mixing, plume_spread"),
        ({"parameters": {"equilibrium_fractions": 0.3}}, "have a “equilibrium_fractions”"),
        ({"parameters": {"mixing": "half"}}, "mixing, a parameter of the installation, is 'half', no number"),
        (
            {"parameters": {"mixing": [0.5, np.nan]}},
            "mixing, a parameter of the installation, is not",
        ),
        (
            {"parameters": {"mixing": [0.5, 0.6]}, "side_gap": [0.0, 0.0, 0.0]},
            "shapes that don't go together",
        ),
        ({"side_tilt": 3}, "at most 30°, in rad"),
        ({"charge_pressure": 25}, "from 8 to 30 bar, in Pa"),
        ({"boiler_insulation": 0}, "boiler_insulation"),
        ({"recirculation": 1}, "from 0 to 0.9"),
        ({"colour": "red"}, "An installation has no “colour”; it has size, rating, parameters, top_gap"),
        ({"side_gap": [0.1, 0.2], "top_gap": [0.0, 0.0, 0.0]}, "shapes that don't go together"),
    ],
)
def test_impossible_installations_are_refused_in_one_sentence(changes, words):
    changes = {"size": "8 cu ft"} | changes
    with pytest.raises(InputError) as error:
        Installation.of(**changes)
    assert words in str(error.value)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("name", "lowest", "highest"),
    [
        ("top_gap", 0.0, 5.0),
        ("upper_vent_area", 0.0, 5.0),
        ("fin_fouling", 0.0, 1.0),
        ("wind_pressure", -0.5, 100.0),
        ("altitude", 0.0, 4000.0),
        ("recirculation", 0.0, 0.9),
        ("heat_input", 0.0, 5000.0),
        ("side_tilt", -np.pi / 6, np.pi / 6),
        ("front_tilt", -np.pi / 6, np.pi / 6),
        ("charge_pressure", 8e5, 30e5),
        ("boiler_insulation", 0.05, 1.0),
        ("door_seal", 0.0, 10.0),
        ("load", 0.0, 10.0),
        ("frost", 0.0, 1.0),
        ("air_inside", 0.05, 1.0),
        ("flue_baffle", 0.0, 1.0),
    ],
)
def test_bounds_are_where_they_are_said_to_be(name, lowest, highest):
    Installation.of("8 cu ft", **{name: np.array([lowest, highest])})
    for beyond in (lowest - 1e-6 * (highest - lowest), highest + 1e-6 * (highest - lowest)):
        with pytest.raises(InputError, match=f"{name} of the installation is"):
            Installation.of("8 cu ft", **{name: beyond})


def test_every_field_says_what_it_is():
    for name, what in quantities(Installation).items():
        assert f"{name}\n    {what.meaning}" in Installation.__doc__


def test_what_is_given_stands_in_for_what_is_calibrated():
    given = {"mixing": np.array([0.4, 1.0]), "absorber_conductance": 15.0}
    one = Installation.of("8 cu ft", parameters=given)
    assert one.shape == (2,)
    assert one.parameter("mixing").tolist() == [0.4, 1.0]
    assert one.of_size("absorber_conductance") == 15.0
    assert one.parameter("flue_share") == load("parameters")["flue_share"]
    assert one.of_size("gas_flow") == load("cabinets")["gas_flow"]["8 cu ft"]
    changed = one.changed(size=np.array(["6 cu ft", "18 cu ft"]))
    assert changed.of_size("absorber_conductance") == 15.0
    assert changed.of_size("gas_flow").tolist() == [
        load("cabinets")["gas_flow"][n] for n in ("6 cu ft", "18 cu ft")
    ]
    assert not Installation.of("8 cu ft").parameters


def test_gas_as_found_gives_less_in_thin_air_and_a_heater_doesn_t():
    heats = {
        source: [Installation.of("8 cu ft", heat_source=source, altitude=m).heat_input for m in (0.0, 2000.0)]
        for source in ("mains", "gas")
    }
    assert heats["mains"][0] == heats["mains"][1]
    assert heats["gas"][1] / heats["gas"][0] == pytest.approx(np.sqrt(79.495 / 101.325), rel=1e-4)
    assert (
        Installation.of("8 cu ft", heat_source="gas", altitude=2000.0, heat_input=500.0).heat_input == 500.0
    )
