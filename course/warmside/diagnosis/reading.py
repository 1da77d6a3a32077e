"""One thing that a technician can measure or see: how it is compared, read, checked and written."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis.known import Known
from warmside.errors import InputError
from warmside.hazards import cautions_of, check_works, not_for_owner
from warmside.model.installation import HEAT_SOURCES
from warmside.units import KINDS, Q_, from_si, read_quantity, show, to_si

_COLD_ENOUGH = load("instruments").number("cold_enough")
_LITTLE = load("instruments").number("little")
_ZERO_FAHRENHEIT = to_si(Q_(0.0, "degF"), "temperature")  # thermometers round from there
_SIXTEENTH = to_si(Q_(1.0 / 16.0, "inch"), "length")

_RISE = re.compile(r"\s*(.+?)\s+(?:over|per|across)\s+(.+?)\s*", re.IGNORECASE)

Truth = Callable[[Known], np.ndarray]


@dataclass(frozen=True, eq=False)
class Reading:
    """One thing to measure or to look at.

    Attributes
    ----------
    name, title : str
        What code and what the trade call it.
    truth : callable
        From `Known` to what it would be without error: in SI units, or the number of the choice.
    kind : str
        A kind of `warmside.units.KINDS`, or "choice".
    minutes : float
        Work that it takes, with what waiting keeps one from other work. Invented.
    works : tuple of str
        What taking it takes, by names of `warmside.hazards.WORK`: cautions, and what isn't for owners, follow
        from these.
    choices : tuple of str
        What a look may find; empty for a quantity.
    confusion : numpy.ndarray
        Chance to report each choice (columns) where another is true (rows). Invented.
    error : float
        Standard deviation of the meter and of where it is held [SI], or as a fraction where `scale` is
        "log". Invented.
    resolution : float
        Step that the meter shows [SI].
    lowest, highest : float
        Between which a value makes sense [SI].
    scale : str
        On which values are compared: "linear"; "log", with `lowest_told` as the least that the meter tells
        from nothing; "cold", which tells little between compartments that hardly cool.
    above_ambient : bool
        Whether it is compared as its rise above the ambient.
    shows : tuple of str
        Entries of a situation that it shows by itself, whatever the unit does with them; empty where it
        shows what the unit makes of everything.
    heat_sources : tuple of str
        With which it can be taken.
    words : mapping of str to float
        Words that stand for a value [SI] and all above it, such as "open"; no error is met there.
    aliases : mapping of str to float or str
        Other words that people use for a value [SI], a choice or one of `words`.
    digits : int
        After the point, where it is written.
    example : str
        What may be written for it; an example of its kind where it is empty.
    """

    name: str
    title: str
    kind: str
    minutes: float
    truth: Truth
    works: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    confusion: np.ndarray = field(default_factory=lambda: np.empty((0, 0)))
    error: float = 0.0
    resolution: float = 0.0
    lowest: float = 0.0
    highest: float = 0.0
    scale: str = "linear"
    lowest_told: float = 0.0
    above_ambient: bool = False
    shows: tuple[str, ...] = ()
    heat_sources: tuple[str, ...] = HEAT_SOURCES
    words: Mapping[str, float] = field(default_factory=dict)
    aliases: Mapping[str, float | str] = field(default_factory=dict)
    digits: int = 2
    example: str = ""

    def __post_init__(self) -> None:
        """Refuse a work that there is none of."""
        check_works(self.works, f"reading {self.name}")

    def cautions(self, heat_source: str) -> tuple[str, ...]:
        """Return what can hurt where it is taken, on this heat source."""
        return cautions_of(self.works, heat_source)

    def not_for_owner(self, heat_source: str) -> tuple[str, ...]:
        """Return what keeps an owner from taking it, on this heat source; none where it may be theirs."""
        return not_for_owner(self.works, heat_source)

    def compared(self, values: np.ndarray, ambient: np.ndarray) -> np.ndarray:
        """Return values [SI] on the scale on which they are compared."""
        if self.above_ambient:
            return values - ambient
        if self.scale == "log":
            return np.log(np.maximum(values, self.lowest_told))
        if self.scale == "cold":
            return np.minimum(values, _COLD_ENOUGH + _LITTLE * (values - _COLD_ENOUGH))
        return values

    def check(self, value: Any) -> float | str:
        """Return a value as it is kept: a number [SI], or one of the choices.

        Raises
        ------
        InputError
            One sentence, if it is neither.
        """
        if self.choices:
            if value not in self.choices:
                raise InputError(
                    f"{self.name} of the readings is {value!r}; it must be one of {', '.join(self.choices)}."
                )
            return value
        if isinstance(value, bool) or not isinstance(value, int | float | np.floating | np.integer):
            raise InputError(f"{self.name} of the readings is {value!r}; it must be a number, in SI units.")
        if not self.lowest <= value <= self.highest:
            raise InputError(
                f"{self.name} of the readings is {value:.6g}; it must be from {self.lowest:g} to "
                f"{self.highest:g}, in SI units (K, V, A, ohm, Pa, m, rad or a fraction)."
            )
        return float(value)

    def from_text(self, text: str) -> float | str:
        """Read what people write, such as ``"41 °F"``, ``"open"``, ``"mostly shut"`` or ``"1/2 in over 2
        ft"``.

        Raises
        ------
        InputError
            One sentence, if the text is no such reading.
        """
        said: float | str = " ".join(str(text).split()).lower()
        said = self.aliases.get(str(said), said)
        if not isinstance(said, str):
            return said
        if said in self.words:
            return self.words[said]
        if self.choices:
            if said not in self.choices:
                raise InputError(f"“{_short(text)}” was read; write one of {', '.join(self.choices)}.")
            return said
        value = self._quantity(str(text))
        if not self.lowest <= value <= self.highest:
            raise InputError(f"“{_short(text)}” was read; {self._range} would make sense.")
        return value

    def _quantity(self, text: str) -> float:
        rise = _RISE.fullmatch(text) if self.kind == "angle" else None
        if rise is None:
            return to_si(read_quantity(text, self.kind), self.kind)
        up, along = (to_si(read_quantity(part, "length"), "length") for part in rise.groups())
        if not along > 0.0:
            raise InputError(
                f"“{_short(text)}” was read; write a rise over a length, as in 1/2 in over 2 ft."
            )
        return math.atan2(up, along)

    @property
    def _range(self) -> str:
        lowest, highest = (
            "" if math.isinf(end) else show(from_si(end, self.kind), kind=self.kind)
            for end in (self.lowest, self.highest)
        )
        return f"from {lowest} to {highest}" if highest else f"{lowest} and more"

    def as_text(self, value: float | str, system: str = "US") -> str:
        """Return a value [SI] or a choice as people write it, which `from_text` reads back."""
        if self.choices:
            return str(value)
        number = float(value)
        for word, least in self.words.items():
            if number >= least:
                return word
        if self.kind == "length" and system == "US":
            return _sixteenths(number)
        return show(from_si(number, self.kind), system, kind=self.kind, digits=self.digits)

    @property
    def written(self) -> str:
        """What may be written for it, as an example."""
        return self.choices[0] if self.choices else self.example or KINDS[self.kind].example

    def measured(self, value: float | str, random: np.random.Generator) -> float | str:
        """Read a true value as people and meters do: with error, and in the steps that the meter shows."""
        if self.choices:
            chances = self.confusion[self.choices.index(str(value))]
            return self.choices[int(random.choice(len(chances), p=chances))]
        true = float(value)
        for least in self.words.values():
            if true >= least:
                return least
        error = self.error * random.standard_normal()
        read = true * np.exp(error) if self.scale == "log" else true + error
        rounded = in_fahrenheit(read, self.resolution) if self.kind == "temperature" else None
        stepped = self.resolution * np.round(read / self.resolution) if rounded is None else rounded
        return float(np.clip(stepped, self.lowest, self.highest))


def in_fahrenheit(temperature: float, step: float) -> float:
    """Round a temperature [K] to steps [K] that begin at 0 °F."""
    return float(_ZERO_FAHRENHEIT + step * np.round((temperature - _ZERO_FAHRENHEIT) / step))


def _short(text: str) -> str:
    return " ".join(str(text)[:40].split())


def _sixteenths(metres: float) -> str:
    whole, rest = divmod(round(metres / _SIXTEENTH), 16)
    parts = 16
    while rest and rest % 2 == 0:
        rest, parts = rest // 2, parts // 2
    fraction = f"{rest}/{parts}" if rest else ""
    return f"{' '.join(part for part in (str(whole) if whole or not rest else '', fraction) if part)} in"
