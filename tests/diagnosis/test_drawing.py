"""Drawing cases: what is asked for, and good ones within what is held to be good."""

from importlib.resources import files

import numpy as np
import pytest

from warmside.data import load, read
from warmside.diagnosis import drawing
from warmside.diagnosis.drawing import AMBIENTS, PAIR_SHARE, SOURCE_SHARES, draw_cases, label_of, numbers_of
from warmside.diagnosis.faults import FAULTS
from warmside.diagnosis.readings import readable
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES, Installation
from warmside.model.quantity import quantities


def test_cases_can_be_asked_for():
    wanted = [("lower_vent_blocked",), ("lower_vent_blocked", "low_voltage")]
    cases = draw_cases(
        6, 50, wanted=wanted, sizes=["6 cu ft"], heat_sources=["mains"], ambients=(300.0, 301.0)
    )
    assert {cases.label(case) for case in range(50)} == set(wanted)
    assert set(cases.size) == {"6 cu ft"}
    assert set(cases.heat_source) == {"mains"}
    assert ((cases.ambient >= 300.0) & (cases.ambient <= 301.0)).all()
    assert len(cases) == 50
    read = cases.measured(0, np.random.default_rng(0))
    assert set(read.values) == set(readable("mains"))
    assert read.ambient == pytest.approx(cases.ambient[0], abs=3.0)


@pytest.mark.parametrize(
    ("how", "sentence"),
    [
        ({"sizes": ["ten"]}, "There is no size “ten”; there are 6 cu ft"),
        ({"heat_sources": ["coal"]}, "There is no heat source “coal”"),
        ({"wanted": [("gremlins",)]}, "gremlins is no explanation of a case"),
        (
            {"wanted": [("low_voltage",)], "heat_sources": ["gas"]},
            "low_voltage is no explanation of a case on gas",
        ),
        ({"wanted": [("low_voltage", "thermostat")]}, "low_voltage with thermostat is no explanation"),
        (
            {"wanted": [("half_heater",)], "heat_sources": ["mains"]},
            "None of the wanted faults occurs in size 6 cu ft",
        ),
        ({"pair_share": 1.5}, "pair_share is 1.5; it must be from 0 to 1"),
    ],
)
def test_what_can_not_be_drawn_is_refused_in_a_sentence(how, sentence):
    with pytest.raises(InputError, match=sentence):
        draw_cases(1, 50, **how)


def over_the_usual(cases) -> dict[str, np.ndarray]:
    """What the table gives over the usual, worked out for drawn cases."""
    correct = Installation.of(cases.size)
    parts = {
        name: cases.situation[name] / getattr(correct, name)
        for name in ("lower_vent_area", "upper_vent_area", "outlet_height", "charge_pressure")
    }
    on_battery = cases.heat_source == "battery"
    volts = np.where(on_battery, 12.0, 120.0)
    watts = Installation.of(cases.size, heat_source=np.where(on_battery, "battery", "mains")).heat_input
    a_day = {"6 cu ft": 0.09, "8 cu ft": 0.13, "18 cu ft": 0.25}  # W/K, thirty openings of ten seconds
    return parts | {
        "load": cases.situation["load"] / np.array([a_day[size] for size in cases.size]),
        "fan_free_flow": cases.situation["fan_free_flow"] / (0.6 * correct.upper_vent_area),
        "voltage": cases.situation["voltage"] / volts,
        "resistance": cases.situation["resistance"] / (volts**2 / watts),
        "gas_pressure": cases.situation["gas_pressure"] / (11 * 249.08891),
    }


def test_good_ones_differ_as_the_table_says_and_in_nothing_else():
    cases = draw_cases(3, 1500, wanted=[("none",)], pair_share=0.0)
    table = load("good_installation")
    seen = cases.situation | over_the_usual(cases)
    fan = seen["fan_state"] == 1
    assert fan.mean() == pytest.approx(table["fan"], abs=0.04)
    assert (seen["fan_pressure"][~fan] == 0.0).all()
    for name in table.fields.keys() - {"fan"}:
        lowest, highest = table[name]
        values = seen[name][fan] if name == "fan_pressure" else seen[name]
        spread = highest - lowest
        assert lowest - 1e-9 <= values.min() <= lowest + 0.03 * spread, name
        assert highest - 0.03 * spread <= values.max() <= highest + 1e-9, name
        assert values.mean() == pytest.approx((lowest + highest) / 2, abs=0.05 * spread), name
    alike = quantities(Installation).keys() - table.fields.keys() - {"heat_input", "fan", "parameters"}
    assert alike == {
        *("size", "rating", "outlet", "heat_source", "top_gap", "circulation", "altitude"),
        *("flue_baffle", "air_inside"),
    }
    assert (seen["top_gap"] == 0.0).all()
    assert (seen["circulation"] == 1.0).all()


def test_good_ones_are_within_what_the_trade_holds_to_be_good():
    table, limits = load("good_installation"), load("limits")
    for name in ("side_gap", "rear_gap", "side_tilt", "front_tilt"):
        assert table[name][1] <= limits[name] + 1e-4
    assert table["baffle_gap"] == pytest.approx(limits["baffle_gap"], abs=1e-4)


def test_the_heat_is_that_of_the_source():
    cases = draw_cases(4, 600, wanted=[("none",)], pair_share=0.0)
    now = cases.situation
    burns = cases.heat_source == "gas"
    electric = (now["voltage"] * now["connection"]) ** 2 / now["resistance"]
    assert now["heat_input"][~burns] == pytest.approx(electric[~burns])
    # gas flows through the burner's orifice with the root of its pressure
    nominal = Installation.of(cases.size, heat_source="gas").heat_input
    gas = nominal * np.sqrt(now["gas_pressure"] / (11 * 249.08891)) * now["burner"]
    assert now["heat_input"][burns] == pytest.approx(gas[burns], rel=1e-3)


def test_severities_and_labels_are_of_the_faults_that_can_be():
    cases = draw_cases(5, 800)
    pairs = cases.labels[:, 1] >= 0
    assert pairs.mean() == pytest.approx(PAIR_SHARE, abs=0.06)
    assert (cases.severities[~pairs, 1] == 0.0).all()
    assert ((cases.severities >= 0.0) & (cases.severities < 1.0)).all()
    assert cases.severities[:, 0].mean() == pytest.approx(0.5, abs=0.05)
    assert cases.ambient.min() == pytest.approx(AMBIENTS[0], abs=0.5)
    assert cases.ambient.max() == pytest.approx(AMBIENTS[1], abs=0.5)
    assert sum(SOURCE_SHARES[source] for source in HEAT_SOURCES) == pytest.approx(1.0)
    for number, fault in enumerate(FAULTS.values()):
        have = (cases.labels == number).any(axis=1)
        assert set(cases.heat_source[have]) <= set(fault.heat_sources)
        assert set(cases.size[have]) <= set(fault.sizes)
        if fault.needs_fan:
            assert (cases.situation["fan_state"][have] > 0).all()
    for row in cases.labels[:50]:
        assert numbers_of(label_of(row)) == tuple(row)


def test_a_row_at_the_end_of_the_table_leaves_the_others_as_they_were(tmp_path, monkeypatch):
    before = draw_cases(6, 40)
    text = (files("warmside.data") / "good_installation.toml").read_text(encoding="utf-8")
    more = '\n[top_gap]\nmeaning = "Over the top"\nunit = "m"\nsource = "invented"\nvalue = [0.001, 0.002]\n'
    (tmp_path / "good_installation.toml").write_text(text + more, encoding="utf-8")
    monkeypatch.setattr(drawing, "_GOOD", read(tmp_path / "good_installation.toml"))
    after = draw_cases(6, 40)
    drawn = load("good_installation").fields.keys() - {"fan"}
    assert all(np.array_equal(before.situation[name], after.situation[name]) for name in drawn)
    assert ((after.situation["top_gap"] >= 0.001) & (after.situation["top_gap"] <= 0.002)).all()
