"""The catalogue of faults: complete, careful, and doing to the model what it says."""

from functools import cache

import numpy as np
import pytest

from warmside.diagnosis.bank import Cases, draw_cases
from warmside.diagnosis.faults import COSTS, FAULTS, FUSE_OPEN, GROUPS, PAIR_PRIOR, labels, possible, prior
from warmside.diagnosis.readings import column, readable
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES, SIZES
from warmside.model.refrigerator import Installation, steady_state

EVERYWHERE = [(size, source) for size in SIZES for source in HEAT_SOURCES]


@cache
def of(name: str, sizes: tuple[str, ...] = SIZES, heat_sources: tuple[str, ...] = HEAT_SOURCES) -> Cases:
    return draw_cases(3, 40, wanted=[(name,)], pair_share=0.0, sizes=sizes, heat_sources=heat_sources)


def where(name: str) -> dict:
    fault = FAULTS[name]
    return {"sizes": fault.sizes, "heat_sources": fault.heat_sources}


def test_the_catalogue_is_complete():
    assert len(FAULTS) >= 18
    assert next(iter(FAULTS)) == "none"
    for name, fault in FAULTS.items():
        assert fault.name == name
        assert fault.group in GROUPS
        assert fault.cost in COSTS
        assert fault.title and fault.remedy.endswith(".")
        assert fault.prior > 0.0
    assert len({fault.title for fault in FAULTS.values()}) == len(FAULTS)


def test_what_can_hurt_has_its_caution_and_is_not_for_owners():
    for fault in FAULTS.values():
        if fault.group in ("heat source", "unit"):
            assert fault.caution, fault.name
            assert fault.not_for_owner, fault.name
    for name, word in (
        ("burner_weak", "carbon monoxide"),
        ("charge_lost", "ammonia"),
        ("circulation_blocked", "Never open"),
        ("fuse", "automotive"),
        ("heater_dead", "prove dead"),
    ):
        assert word in FAULTS[name].caution


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_changes_what_exists_and_nothing_else(name):
    cases = of(name, **where(name))
    assert FAULTS[name].touches <= of("none").situation.keys()
    for case in range(10):
        assert isinstance(cases.installation(case), Installation)


@pytest.mark.parametrize("name", sorted(set(FAULTS) - {"none"}))
def test_a_fault_is_seen_somewhere(name):
    """Its cases differ from good ones in what the unit does, or in a reading that shows it."""
    source = FAULTS[name].heat_sources[-1]
    both = [of(each, FAULTS[name].sizes, (source,)).readings for each in ("none", name)]
    good, bad = (values[:, [column(each) for each in readable(source)]] for values in both)
    spread = np.std(good, axis=0) + 1e-3 * np.mean(np.abs(good), axis=0) + 1e-9
    apart = np.abs(np.median(bad, axis=0) - np.median(good, axis=0)) / spread
    assert apart.max() > 1.0


@pytest.mark.parametrize(
    "name",
    ["lower_vent_blocked", "upper_vent_blocked", "fins_fouled", "boiler_insulation_lost", "charge_lost"],
)
def test_the_worse_the_warmer_on_a_hot_day(name):
    eight = Installation.of("eight")
    changes = FAULTS[name].effect(np.array([0.05, 0.95]), {"charge_pressure": eight.charge_pressure})
    fields = {each: values for each, values in changes.items() if each != "residue"}
    mild, severe = steady_state(eight.changed(**fields), 314.0).food_temperature
    assert severe > mild > steady_state(eight, 314.0).food_temperature - 0.1


def test_heat_is_what_joule_says():
    low = of("low_voltage", heat_sources=("mains",))
    square = low.situation["voltage"] ** 2 / low.situation["resistance"]
    assert low.situation["heat_input"] == pytest.approx(square)
    assert (low.situation["voltage"] < 0.97 * 120).all()
    half = of("half_heater", sizes=("eight",), heat_sources=("mains",)).situation["heat_input"]
    good = of("none", sizes=("eight",), heat_sources=("mains",)).situation["heat_input"]
    assert half.mean() / good.mean() == pytest.approx(0.5, abs=0.02)
    assert (of("heater_dead", heat_sources=("mains",)).situation["heat_input"] == 0.0).all()
    fuses = of("fuse", heat_sources=("mains",)).situation
    assert ((fuses["heat_input"] == 0.0) == (fuses["fuse"] == FUSE_OPEN)).all()
    assert 0.5 < np.mean(fuses["fuse"] == FUSE_OPEN) < 0.9


def test_gas_goes_with_the_root_of_its_pressure():
    gas = of("gas_pressure_low", sizes=("eight",), heat_sources=("gas",)).situation
    full = Installation.of("eight", heat_source="gas").heat_input * gas["burner"]
    nominal = 11 * 249.089  # Pa, 11 in w.c.
    nominal = 11 * 249.089  # Pa, 11 in w.c.
    assert gas["heat_input"] == pytest.approx(full * np.sqrt(gas["gas_pressure"] / nominal))


def test_faults_occur_only_where_they_can():
    for size, source in EVERYWHERE:
        names = possible(size, source)
        assert ("burner_weak" in names) == ("gas_pressure_low" in names) == (source == "gas")
        assert ("low_voltage" in names) == ("heater_dead" in names) == (source != "gas")
        assert ("half_heater" in names) == (source == "mains" and size != "six")
    for name in ("fan_dead", "fan_backwards"):
        assert (of(name).situation["fan_state"] > 1).all()


@pytest.mark.parametrize(("size", "source"), EVERYWHERE)
def test_pairs_are_of_the_kinds_stated(size, source):
    singles, pairs = labels(size, source)
    order = [label[0] for label in singles]
    assert len(set(pairs)) == len(pairs) > 50
    for first, second in pairs:
        assert order.index(first) < order.index(second)
        groups = {FAULTS[first].group, FAULTS[second].group}
        assert groups <= {"installation", "heat source", "use"}
        assert groups not in ({"heat source"}, {"use"})
    assert ("fan_dead", "fan_backwards") not in pairs


@pytest.mark.parametrize(("size", "source"), EVERYWHERE)
def test_priors_sum_to_one(size, source):
    for given in (None, {"frost": 0.0}, dict.fromkeys(FAULTS, 1.0)):
        believed = prior(size, source, given)
        assert sum(believed.values()) == pytest.approx(1.0)
        two = sum(value for label, value in believed.items() if len(label) == 2)
        assert two == pytest.approx(PAIR_PRIOR)


def test_priors_can_be_changed():
    twice = prior("six", "gas", {"frost": 2 * FAULTS["frost"].prior})
    usual = prior("six", "gas")
    ratio = (twice["frost",] / twice["none",]) / (usual["frost",] / usual["none",])
    assert ratio == pytest.approx(2.0)
    assert prior("six", "gas", {"frost": 0.0})["frost",] == 0.0


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"gremlins": 1.0}, "there is no fault “gremlins”; there are none, lower_vent_blocked"),
        ({"frost": -1.0}, "-1.0 was read for frost; write a number from 0 on"),
        ({"frost": "often"}, "'often' was read for frost"),
        ({"frost": float("nan")}, "nan was read for frost"),
        (dict.fromkeys(FAULTS, 0.0), "every fault has 0"),
    ],
)
def test_wrong_priors_are_refused_in_a_sentence(given, sentence):
    with pytest.raises(InputError, match=sentence):
        prior("eight", "mains", given)
