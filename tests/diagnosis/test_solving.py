"""What would be read of drawn cases: it holds together, and is what the model says."""

import numpy as np
import pytest

from warmside.diagnosis import solving
from warmside.diagnosis.bank import Bank, make
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.readings import READINGS, column, readable
from warmside.model.steady import steady_state


@pytest.fixture(scope="module")
def small() -> Bank:
    return make(4000, 7)


def of_reading(bank_or_cases, name: str) -> np.ndarray:
    return bank_or_cases.readings[:, column(name)]


def test_readings_hold_together(small):
    electric = small.heat_source < 2
    amperes, volts, ohms = (
        of_reading(small, name)[electric] for name in ("current", "voltage", "resistance")
    )
    flows = amperes > 0.0
    assert amperes[flows] == pytest.approx((volts / ohms)[flows], rel=1e-5)
    dead = np.isin(of_reading(small, "fuse")[electric], 1) | (ohms >= 1e4) | (volts == 0.0)
    assert (flows == ~dead).all()
    supply = of_reading(small, "supply_voltage")[electric]
    assert (volts <= supply).all()
    assert (volts[flows] > 0.7 * supply[flows]).all()
    gas = of_reading(small, "gas_pressure")[~electric]
    flame, lit = (of_reading(small, name)[~electric] for name in ("flame", "lockout"))
    assert (flame[gas == 0.0] == 2).all()
    control = of_reading(small, "control_voltage")[~electric]
    assert (lit == ((flame == 2) & (control >= 10.5))).all()
    duty, cup = of_reading(small, "duty"), of_reading(small, "cup")
    assert ((duty >= 0.0) & (duty <= 1.0)).all()
    assert (of_reading(small, "boiler") >= small.ambient - 0.1).all()
    assert (of_reading(small, "quiet_night_cup") <= cup + 0.2).mean() > 0.99
    for name, reading in READINGS.items():
        values = of_reading(small, name)[~np.isnan(of_reading(small, name))]
        if reading.choices:
            assert set(values) <= set(range(len(reading.choices)))
        else:
            assert values.min() >= reading.lowest
            assert values.max() <= reading.highest


def test_of_ten_thousand_cases_none_is_impossible(monkeypatch):
    solved = []

    def kept(*given, **more):
        solved.append(steady_state(*given, **more))
        return solved[-1]

    monkeypatch.setattr(solving, "steady_state", kept)
    cases = draw_cases(23, 10_000)
    (states,) = solved
    assert states.converged.shape[1] > 10_000
    found = states.converged.all(axis=0)
    assert found.mean() >= 0.997  # of a pump that lifts little there may be two states, and neither is taken
    there = np.flatnonzero(found)[:10_000]
    for index, source in enumerate(cases.heat_source):
        assert np.isnan(cases.readings[index]).sum() == len(READINGS) - len(readable(source))
    # nothing inside is warmer than the warmest air around it; to 0.02 K, for which the search ends
    around = np.maximum(states.surround_temperature, states.freezer_surround_temperature)[:, there][
        :, :10_000
    ]
    for name in ("food_temperature", "freezer_temperature"):
        assert (getattr(states, name)[:, there] < around + 0.02).all()
    cup, freezer = of_reading(cases, "cup"), of_reading(cases, "freezer")
    assert (cup < around[:3].max(axis=0) + 0.02).all()
    # nor does a warm box stand under a freezer colder than any
    assert not ((cup > 283.0) & (freezer < 257.0)).any()
    # but where a shut outlet and an open space over the top make the air round the freezer the warmest
    assert (freezer >= cup)[~cases.failed].mean() < 5e-4
    assert freezer.min() > 250.0


def test_the_thermostat_holds_what_it_is_set_to_where_the_unit_can():
    cases = draw_cases(1, 300, wanted=[("none",), ("thermostat",)], pair_share=0.0)
    held = cases.situation["setting"] + cases.situation["sensor_offset"]
    duty, cup = of_reading(cases, "duty"), of_reading(cases, "cup")
    assert (cup >= held - 1e-3).all()
    spare = duty < 0.8  # so much on the mean that the hottest hour has some left too
    assert spare.sum() > 100
    assert (np.abs(cup - held)[spare] < 1e-3).mean() > 0.95


def test_the_installation_of_a_case_gives_its_readings():
    cases = draw_cases(2, 30)
    for case in range(0, 30, 3):
        ambient = cases.ambient[case]
        held = cases.situation["setting"][case] + cases.situation["sensor_offset"][case]
        state = steady_state(cases.installation(case), ambient, setting=held)
        true = cases.true_readings(case)
        assert true["condenser_air"] == pytest.approx(float(state.condenser_air_temperature), abs=1e-3)
        assert true["boiler"] == pytest.approx(float(state.boiler_temperature), abs=1e-2)
        assert cases.failed[case] == state.failed
        open_below = {
            "lower_vent_blocked": 0.0,
            "lower_vent_area": 0.3 * cases.installation(case).of_size("width"),
        }
        then = steady_state(cases.installation(case).changed(**open_below), ambient, setting=held)
        assert true["panel_off_air"] == pytest.approx(float(then.condenser_air_temperature), abs=1e-3)
        assert set(true) == set(readable(str(cases.heat_source[case])))


def test_the_lower_panel_off_tells_the_vents_apart():
    how = {"count": 80, "pair_share": 0.0, "sizes": ["8 cu ft"], "heat_sources": ["gas"]}
    gained = {}
    for name in ("lower_vent_blocked", "upper_vent_blocked"):
        cases = draw_cases(4, wanted=[(name,)], **how)
        rise, then = (of_reading(cases, each) - cases.ambient for each in ("condenser_air", "panel_off_air"))
        gained[name] = 1.0 - then / rise
    assert np.median(gained["lower_vent_blocked"]) > 2.0 * np.median(gained["upper_vent_blocked"])


def test_a_quiet_night_tells_a_heavy_load_from_a_leaking_seal():
    cooler = {}
    for name in ("heavy_load", "door_seal"):
        cases = draw_cases(5, 80, wanted=[(name,)], pair_share=0.0, ambients=(308.0, 312.0))
        works = ~cases.failed
        cooler[name] = (of_reading(cases, "cup") - of_reading(cases, "quiet_night_cup"))[works]
    assert np.median(cooler["heavy_load"]) > np.median(cooler["door_seal"]) + 2.0
