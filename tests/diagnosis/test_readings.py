"""What can be read, and how far off it may be."""

import re

import numpy as np
import pytest

from warmside.diagnosis.fault_effects import (
    FAN_DOWN,
    FAN_UP,
    FUSE_GOOD,
    FUSE_OPEN,
    NO_SPARK,
    OPEN_CIRCUIT,
    SPARKS,
)
from warmside.diagnosis.known import Known, heater_current, heater_voltage
from warmside.diagnosis.readings import (
    ABSENT_BAFFLE,
    AMBIENT_ERROR,
    READINGS,
    Readings,
    as_text,
    from_text,
    measure,
    readable,
)
from warmside.errors import InputError
from warmside.units import KINDS

MANY = 4000


def one(**values) -> Readings:
    return Readings("8 cu ft", "mains", 305.0, values)


def test_every_reading_says_what_it_takes():
    for name, reading in READINGS.items():
        assert reading.name == name
        assert reading.title
        assert 0.0 < reading.minutes <= 60.0
        assert reading.heat_sources
        if reading.choices:
            assert reading.kind == "choice"
            assert reading.confusion.shape == (len(reading.choices),) * 2
            assert reading.confusion.sum(axis=1) == pytest.approx(1.0)
            assert (np.argmax(reading.confusion, axis=1) == np.arange(len(reading.choices))).all()
            assert reading.shows
        else:
            assert reading.kind in KINDS
            assert reading.error > 0.0
            assert reading.resolution > 0.0
            assert reading.lowest < reading.highest
    assert len({reading.title for reading in READINGS.values()}) == len(READINGS)


def test_what_can_hurt_has_its_caution():
    for name, source, word in (
        ("voltage", "mains", "Live mains kills"),
        ("voltage", "battery", "hundreds of amperes"),
        ("resistance", "mains", "proven dead"),
        ("gas_pressure", "gas", "leak test"),
        ("flame", "gas", "open flame"),
        ("boiler", "mains", "hot tubes"),
        ("rear_gap", "gas", "Gas off and power off first"),
        ("upper_vent_look", "mains", "roof"),
        ("cup", "gas", "thrown away"),
    ):
        assert word in " ".join(READINGS[name].cautions(source))


def test_what_is_read_live_isn_t_to_be_made_dead():
    for reading in READINGS.values():
        for source in reading.heat_sources:
            said = " ".join(reading.cautions(source))
            if "Live" in said:
                assert not re.search(r"unplug|proven dead|off first, and", said), reading.name
            if source == "battery":
                assert "mains" not in said.replace("Live mains", "") and "shore" not in said, reading.name


def test_what_is_licensed_is_kept_from_owners():
    kept = {name for name, reading in READINGS.items() if "mains" in reading.heat_sources}
    kept = {name for name in kept if READINGS[name].not_for_owner("mains")}
    assert kept >= {"voltage", "current", "resistance", "fuse", "boiler", "absorber"}
    assert not kept & {"cup", "freezer", "duty", "setting", "seal", "load", "frost", "side_level", "vent_air"}
    assert READINGS["gas_pressure"].not_for_owner("gas")


def test_a_hazard_is_no_evidence():
    assert "residue" not in READINGS
    assert READINGS["fuse"].choices == ("good", "open")
    assert READINGS["flame"].choices == ("steady blue", "weak", "out")


def test_readings_keep_what_was_read():
    some = one(cup=279.0, seal="grips")
    assert dict(some.values) == {"cup": 279.0, "seal": "grips"}
    more = some.adding(seal="slips", side_gap=0.006)
    assert more.values["seal"] == "slips"
    assert some.values["seal"] == "grips"
    assert set(more.only(["cup", "boiler"]).values) == {"cup"}
    assert "cup" not in more.missing
    assert "boiler" in more.missing
    assert "flame" not in more.missing
    assert set(Readings("6 cu ft", "gas", 300.0).missing) == set(readable("gas"))
    with pytest.raises(TypeError):
        some.values["cup"] = 1.0


@pytest.mark.parametrize(
    ("made", "sentence"),
    [
        (lambda: one(smell=1.0), "There is no reading “smell”; there are cup, freezer"),
        (lambda: one(seal="leaks"), "seal of the readings is 'leaks'; it must be one of grips, slips"),
        (lambda: one(cup=40.0), "cup of the readings is 40; it must be from 230 to 620, in SI units"),
        (lambda: one(cup=float("nan")), "cup of the readings is nan"),
        (lambda: one(cup="cold"), "cup of the readings is 'cold'; it must be a number"),
        (lambda: one(cup=True), "cup of the readings is True; it must be a number"),
        (lambda: one(side_gap=-0.01), "side_gap of the readings is -0.01"),
        (lambda: one(flame="out"), "flame was read on mains; it is a reading on gas"),
        (lambda: Readings("ten", "gas", 300.0), "size of the readings is “ten”; it must be a volume"),
        (lambda: Readings("6 cu ft", "coal", 300.0), "heat_source of the readings is 'coal'"),
        (lambda: Readings("6 cu ft", "gas", 95.0), "ambient of the readings is 95.0; .* 255 to 335 K"),
        (lambda: Readings("6 cu ft", "gas", "hot"), "ambient of the readings is 'hot'"),
    ],
)
def test_what_can_not_be_is_refused_in_a_sentence(made, sentence):
    with pytest.raises(InputError, match=sentence):
        made()


@pytest.mark.parametrize(
    ("name", "texts", "value"),
    [
        ("cup", ("41 °F", "5 °C"), 278.15),
        ("resistance", ("44.3 ohm", "0.0443 kohm"), 44.3),
        ("side_gap", ("1/4 in", "6.35 mm"), 0.00635),
        ("gas_pressure", ("11 in w.c.", "2.7399780 kPa"), 2739.978),
        ("side_level", ("3 deg",), np.radians(3.0)),
        ("duty", ("60 %", "0.6"), 0.6),
    ],
)
def test_readings_are_read_as_people_write_them(name, texts, value):
    for text in texts:
        assert from_text(name, text) == pytest.approx(value, rel=1e-6)


def test_looks_and_absences_are_read():
    assert from_text("seal", " Slips ") == "slips"
    assert from_text("baffle_gap", "none") == ABSENT_BAFFLE
    assert from_text("resistance", "open") == OPEN_CIRCUIT
    assert one(baffle_gap=np.inf).values["baffle_gap"] == np.inf
    for name, text in (("seal", "maybe"), ("cup", "41"), ("cup", "none"), ("odour", "none")):
        with pytest.raises(InputError):
            from_text(name, text)


@pytest.mark.parametrize("name", [name for name, reading in READINGS.items() if not reading.choices])
def test_meters_are_off_by_what_is_stated(name):
    reading = READINGS[name]
    of_kind = {"temperature": 280.0, "resistance": 44.0, "voltage": 118.0, "current": 2.7}
    true = {"gas_pressure": 2700.0, "duty": 0.5, "control_voltage": 12.6}.get(name) or of_kind.get(
        reading.kind, 0.05
    )
    random = np.random.default_rng(1)
    off = np.array([measure({name: true}, random)[name] for _ in range(MANY)])
    off = np.log(off / true) if reading.scale == "log" else off - true
    step = reading.resolution / (true if reading.scale == "log" else 1.0)
    assert off.mean() == pytest.approx(0.0, abs=4.0 * reading.error / np.sqrt(MANY) + 0.05 * step)
    assert off.std() == pytest.approx(np.hypot(reading.error, step / np.sqrt(12.0)), rel=0.06)


@pytest.mark.parametrize("name", [name for name, reading in READINGS.items() if reading.choices])
def test_looks_misjudge_as_often_as_is_stated(name):
    reading, random = READINGS[name], np.random.default_rng(2)
    for true, chances in zip(reading.choices, reading.confusion, strict=True):
        seen = [measure({name: true}, random)[name] for _ in range(1500)]
        found = [seen.count(choice) / 1500 for choice in reading.choices]
        assert found == pytest.approx(chances, abs=0.05)


def test_thermometers_show_whole_steps_of_fahrenheit():
    random = np.random.default_rng(3)
    for name, step in (("cup", 0.5), ("boiler", 1.0), ("ambient", 0.5)):
        read = [measure({name: 300.0}, random)[name] * 1.8 - 459.67 for _ in range(50)]
        assert np.abs(np.divide(read, step) - np.round(np.divide(read, step))).max() < 1e-6
        assert len(set(read)) > 1
    spread = np.std([measure({"ambient": 300.0}, random)["ambient"] for _ in range(MANY)])
    assert spread == pytest.approx(AMBIENT_ERROR, rel=0.08)


def test_what_is_open_or_absent_is_read_as_such():
    random = np.random.default_rng(4)
    read = measure({"resistance": OPEN_CIRCUIT, "baffle_gap": ABSENT_BAFFLE}, random)
    assert read == {"resistance": OPEN_CIRCUIT, "baffle_gap": ABSENT_BAFFLE}


def test_the_same_seed_reads_the_same():
    true = {"cup": 280.0, "seal": "slips", "side_gap": 0.006}
    assert measure(true, np.random.default_rng(5)) == measure(true, np.random.default_rng(5))


def test_scales_keep_the_order():
    values = np.linspace(240.0, 330.0, 200)
    for name in ("cup", "boiler"):
        assert (np.diff(READINGS[name].compared(values, np.float64(300.0))) > 0).all()
    assert READINGS["cup"].compared(np.array([280.0]), 300.0) == 280.0
    assert READINGS["boiler"].compared(np.array([400.0]), 300.0) == 100.0
    assert READINGS["current"].compared(np.array([0.0]), 300.0) == np.log(0.05)


def test_a_share_ends_at_one():
    assert one(duty=1.0).values["duty"] == 1.0
    with pytest.raises(InputError, match=r"duty of the readings is 1\.01; it must be from 0 to 1,"):
        one(duty=1.01)


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        ("duty", 0.6, "60 %"),
        ("voltage", 118.04, "118.0 V"),
        ("current", 2.7, "2.70 A"),
        ("side_gap", 0.00635, "1/4 in"),
        ("side_gap", 0.0, "0 in"),
        ("top_gap", 0.0333375, "1 5/16 in"),
        ("seal", "slips", "slips"),
        ("resistance", OPEN_CIRCUIT, "open"),
        ("baffle_gap", ABSENT_BAFFLE, "none"),
    ],
)
def test_readings_are_written_as_people_write_them(name, value, text):
    assert as_text(name, value) == text


def test_looks_tell_from_which_bound_on():
    """Each look's truth from its entry alone, at its bounds and beyond."""

    def seen(name, entry, *values, **more):
        known = Known({entry: np.array(values)} | more, None, None)
        return READINGS[name].truth(known).astype(int).tolist()

    assert seen("lower_vent_look", "lower_vent_blocked", 0.25, 0.26, 0.6, 0.61) == [0, 1, 1, 2]
    assert seen("fins", "fin_fouling", 0.15, 0.16, 0.4, 0.41) == [0, 1, 1, 2]
    lit = {"control_voltage": 12.6, "gas_pressure": 2740.0, "spark": SPARKS}
    assert seen("flame", "burner", 0.9, 0.89, 0.1, 0.09, **lit) == [0, 1, 1, 2]
    assert seen("lockout", "burner", 0.9, 0.11, 0.1, **lit) == [0, 0, 1]
    for out in ({"gas_pressure": 0.0}, {"spark": NO_SPARK}):
        assert seen("flame", "burner", 1.0, **(lit | out)) == [2]
        assert seen("lockout", "burner", 1.0, **(lit | out)) == [1]
    without = lit | {"control_voltage": 10.4}
    assert (seen("flame", "burner", 1.0, **without), seen("lockout", "burner", 1.0, **without)) == ([2], [0])
    assert seen("flue_baffle", "flue_baffle", 1.0, 0.9, 0.89) == [0, 0, 1]
    assert seen("wind", "wind_pressure", 0.1, -0.12, -0.13, fan_state=FAN_UP) == [0, 0, 1]
    assert seen("wind", "wind_pressure", -0.4, fan_state=FAN_DOWN) == [0]
    assert seen("frost", "frost", 0.03, 0.031, 0.09, 0.091) == [0, 1, 1, 2]
    assert seen("seal", "door_seal", 0.1, 0.11) == [0, 1]


def test_a_cold_scale_flattens_above_where_nothing_cools():
    values = np.array([284.0, 285.0, 295.0])
    assert READINGS["cup"].compared(values, np.float64(300.0)) == pytest.approx([284.0, 285.0, 286.5])


def test_no_current_flows_through_what_is_open():
    situation = {
        "fuse": np.array([FUSE_GOOD, FUSE_OPEN, FUSE_GOOD], float),
        "resistance": np.array([40.0, 40.0, OPEN_CIRCUIT]),
        "voltage": np.full(3, 120.0),
        "connection": np.full(3, 1.0),
        "control_voltage": np.full(3, 12.6),
    }
    assert heater_current(situation).tolist() == [3.0, 0.0, 0.0]
    assert heater_voltage(situation).tolist() == [120.0, 0.0, 120.0]
    bad = situation | {"connection": np.full(3, 0.8)}
    assert heater_voltage(bad).tolist() == pytest.approx([96.0, 0.0, 96.0])
    assert heater_current(bad).tolist() == pytest.approx([2.4, 0.0, 0.0])
    assert heater_voltage(situation | {"control_voltage": np.full(3, 10.4)}).tolist() == [0.0, 0.0, 0.0]


def test_a_share_without_its_sign_is_one_at_most():
    assert from_text("duty", "1") == 1.0
    for text in ("1.2", "1.01"):
        with pytest.raises(InputError, match="more than the whole and has no % behind it"):
            from_text("duty", text)
    with pytest.raises(InputError, match="“101 %” was read; from 0 % to 100 % would make sense"):
        from_text("duty", "101 %")
