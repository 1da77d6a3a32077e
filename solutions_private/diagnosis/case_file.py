"""The file of an invented case: a complaint, and readings that cost minutes. What is wrong isn't in it.

Only who keeps the answers reads it whole; trainees open one reading after the other on their bench
(`warmside.show.case_pages`).
"""

import json
from dataclasses import dataclass
from functools import cached_property

from warmside.diagnosis.performance import DAY
from warmside.diagnosis.readings import READINGS, Readings, from_text, readable
from warmside.errors import InputError
from warmside.hazards import in_order
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES
from warmside.show.sealing import RETEST_NAME, SIGNS_NAME, opened, sealed
from warmside.units import read_quantity, to_si

LEVELS = {1: "one clear fault", 2: "one fault, mild or on a mild day", 3: "two faults, or a tie"}
RETEST = ("cup", "freezer", "duty")
"""What is read once more after the repair."""
_NOTE = "An invented case of a training course, Warmside. Nobody's refrigerator."
_WHY_SEALED = (
    "Each value is sealed by itself, so that nobody reads one by accident that they haven't spent the "
    "minutes on. It is no lock."
)


@dataclass(frozen=True)
class CaseFile:
    """What a trainee gets of a case. What is wrong isn't in it.

    Attributes
    ----------
    number : str
        Eight letters and digits that tell this case from any other.
    level : int
        One of `LEVELS`.
    size, heat_source : str
        As in `Installation`.
    ambient : str
        Air temperature outside at the hours of the readings.
    season, complaint : str
        What kind of day it is; what the owner says.
    values : tuple of (str, str)
        Name of each reading that can be taken, and what it shows, as people write it.
    retest : tuple of (str, str)
        What cup, freezer and duty show on such a day once all is put right.
    stop_signs : tuple of str
        Names of the stop signs that a careful look and smell finds; where there is one, stopping is right and
        nothing else.
    """

    number: str
    level: int
    size: str
    heat_source: str
    ambient: str
    season: str
    complaint: str
    values: tuple[tuple[str, str], ...]
    retest: tuple[tuple[str, str], ...] = ()
    stop_signs: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the readings that can be taken."""
        return tuple(name for name, _ in self.values)

    def value(self, name: str) -> str:
        """Return what a reading shows, as people write it.

        Raises
        ------
        InputError
            If this case has no such reading.
        """
        shown = dict(self.values)
        if name not in shown:
            raise InputError(f"There is no reading “{name}” in this case; there are {', '.join(self.names)}.")
        return shown[name]

    @cached_property
    def readings(self) -> Readings:
        """All that can be read, after a day's running."""
        return self._read(self.values)

    @property
    def retest_readings(self) -> Readings:
        """What is read of it once all is put right."""
        return self._read(self.retest)

    def _read(self, shown: tuple[tuple[str, str], ...]) -> Readings:
        ambient = to_si(read_quantity(self.ambient, "temperature"), "temperature")
        values = {name: from_text(name, text) for name, text in shown}
        return Readings(self.size, self.heat_source, ambient, values, running=DAY)

    def to_text(self) -> str:
        """Return the case as a file's text (JSON)."""
        offered = [
            {
                "name": name,
                "what": READINGS[name].title,
                "minutes": READINGS[name].minutes,
                "caution": " ".join(READINGS[name].cautions(self.heat_source)),
                "sealed": sealed(value, self.number, name),
            }
            for name, value in self.values
        ]
        whole = {
            "note": _NOTE,
            "case": self.number,
            "level": self.level,
            "size": self.size,
            "heat_source": self.heat_source,
            "ambient": self.ambient,
            "season": self.season,
            "complaint": self.complaint,
            "why_sealed": _WHY_SEALED,
            "readings": offered,
            "retest": sealed(dict(self.retest), self.number, RETEST_NAME),
            "signs": sealed(list(self.stop_signs), self.number, SIGNS_NAME),
        }
        return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def from_file_text(text: str, name: str = "the case file") -> CaseFile:
    """Read a case from a file's text.

    Parameters
    ----------
    text : str
        As `CaseFile.to_text` writes it.
    name : str
        What to call it in what is said of a mistake.

    Raises
    ------
    InputError
        One sentence, if it is no case any more.
    """
    damaged = InputError(f"{name} is not a case file any more; take the one that you were given again.")
    try:
        whole = json.loads(text)
        texts = [whole[key] for key in ("case", "size", "heat_source", "ambient", "season", "complaint")]
        number, size, heat_source, ambient, of_season, complaint = texts
        values = {one["name"]: opened(one["sealed"], number, one["name"]) for one in whole["readings"]}
        again = opened(whole["retest"], number, RETEST_NAME)
        signs = opened(whole["signs"], number, SIGNS_NAME)
        given = tuple(values.items())
        right = all(isinstance(one, str) for one in [*texts, *values.values(), *again.values()])
        if not right or whole["level"] not in LEVELS or size not in SIZES or heat_source not in HEAT_SOURCES:
            raise damaged
        told = (ambient, of_season, complaint, given, tuple(again.items()), tuple(signs))
        case = CaseFile(number, whole["level"], size, heat_source, *told)
        in_order(case.stop_signs)
        if case.names != readable(heat_source):
            raise damaged
        _ = case.readings, case.retest_readings
    except (ValueError, KeyError, TypeError, AttributeError):
        raise damaged from None
    except InputError:
        raise damaged from None
    return case
