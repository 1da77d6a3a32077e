"""Kinds of answers: each reads an answer's text, compares answers, and says how far off one is.

A notebook's `record` and an exercise's items name a kind by the same word, which `kind_of` looks up.
"""

import math
import numbers
import re
from abc import ABC, abstractmethod
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import median
from typing import Any, ClassVar

from warmside.errors import InputError
from warmside.marking.cells import LONGEST_ANSWER
from warmside.units import KINDS, describe, from_si, read_quantity, si_of, to_si

Answer = float | str | tuple[str, ...] | None

MOST_NAMES = 10
"""Lists of more names than that have too many answers to go through them all."""

_FIGURES = 7  # far finer than any tolerance, and the same on every machine


class AnswerKind(ABC):
    """A kind of answer.

    Attributes
    ----------
    choices : tuple of str
        The letters or names to choose from; none for a quantity.
    may_repeat : bool
        Whether the right answer may be the same on every job card.
    """

    choices: tuple[str, ...] = ()
    may_repeat: ClassVar[bool] = True

    def text_of(self, value: Any) -> str | None:
        """Return what a trainee's variable holds as the text that is recorded; None when nothing yet."""
        return answer_text(value)

    @abstractmethod
    def understand(self, text: str) -> tuple[Answer, str]:
        """Return the value that an answer's text states, and how to say it back.

        Raises
        ------
        InputError
            One sentence that says what was read and what would be right.
        """

    @abstractmethod
    def agrees(self, given: Any, value: Any, tolerances: float = 1.0) -> bool:
        """Tell whether `given` is `value`, or lies within so many tolerances of it."""

    @abstractmethod
    def how_far_off(self, given: Any, right: Any) -> str:
        """Say what is wrong and roughly how far, in words that don't give the right answer away."""

    @abstractmethod
    def typed(self, value: Any) -> str:
        """Return an answer as somebody exact would type it."""

    def possible(self) -> Sequence[Answer]:
        """Return all answers that can be given; none where they are too many."""
        return ()

    def word(self, answer: Any) -> str:
        """Return one of the answers that can be given as a word without spaces."""
        return str(answer)

    def rounded(self, value: Any) -> Answer:
        """Return an answer as it is written down for later, a number with seven figures."""
        return value

    def apart(self, one: Any, other: Any) -> float:
        """Return how many tolerances lie between two answers; infinitely many where there is none."""
        return math.inf

    def lies_within(self, value: Any, ends: Sequence[str]) -> bool:
        """Tell whether an answer lies between two as typed; any letter or name that can be chosen does."""
        return True

    def shown(self, value: Any) -> float | str:
        """Return an answer as tables for authors show it: a number in the US unit, or a letter."""
        return str(value)

    def spread(self, shown: Sequence[Any]) -> str:
        """Say how answers, as `shown` gives them, are spread over many job cards."""
        shares = sorted(Counter(shown).items())
        return ", ".join(f"{letter} {100 * count / len(shown):.0f} %" for letter, count in shares)


@dataclass(frozen=True)
class Quantity(AnswerKind):
    """A number with a unit; its value is in SI.

    Attributes
    ----------
    kind : str
        One of `warmside.units.KINDS`.
    tolerance : str
        How far off still counts: a share such as ``"2 %"``, or a quantity such as ``"0.5 °F"``.
    """

    kind: str
    tolerance: str = ""
    may_repeat = False

    def understand(self, text: str) -> tuple[float, str]:
        """Return the value in the SI unit of its kind, and such as ``"38.5 °F, a temperature"``."""
        quantity = read_quantity(text, self.kind)
        return to_si(quantity, self.kind), describe(quantity, self.kind)

    def tolerance_at(self, value: float) -> float:
        """Return the tolerance around `value`, in the SI unit of the kind."""
        if self.tolerance.endswith("%"):
            return abs(value) * float(self.tolerance.removesuffix("%")) / 100
        return si_of(self.tolerance, "temperature_difference" if self.kind == "temperature" else self.kind)

    def agrees(self, given: Any, value: Any, tolerances: float = 1.0) -> bool:
        """Tell whether two numbers lie within so many tolerances of each other; none does of nan."""
        if given is None or value is None or not (math.isfinite(given) and math.isfinite(value)):
            return False
        return abs(given - value) <= tolerances * self.tolerance_at(value) * (1 + 1e-9)

    def how_far_off(self, given: Any, right: Any) -> str:
        """Say which of sign and magnitude failed and roughly how far."""
        if self.kind == "temperature":
            return self._how_warm(given, right)
        if right == 0 or given == 0:
            return "That is not the right size."
        if given * right < 0:
            same_size = self.agrees(-given, right)
            return "The size is right, but the sign is not." if same_size else "The sign is not right."
        ratio = given / right
        powers = round(math.log10(ratio))
        if powers and self.agrees(given / 10.0**powers, right):
            return "The digits are right, but it is off by a power of ten."
        side, factor = ("large", ratio) if ratio > 1 else ("small", 1 / ratio)
        if factor < 1.2:
            return f"That is close, but too {side} by more than the tolerance."
        how = (
            "up to two times" if factor < 2 else "two to ten times" if factor < 10 else "more than ten times"
        )
        return f"That is too {side}, by {how}."

    def _how_warm(self, given: float, right: float) -> str:
        off, side = given - right, "warm" if given > right else "cold"
        if abs(off) < 3 * self.tolerance_at(right):
            return f"That is close, but too {side} by more than the tolerance."
        return f"That is too {side}, by {'some' if abs(off) < 10 else 'many'} degrees."

    def typed(self, value: Any) -> str:
        """Return a value in the US unit with all its figures."""
        return f"{from_si(value, self.kind).magnitude!r} {KINDS[self.kind].us}"

    def rounded(self, value: Any) -> float:
        """Return the value with seven figures."""
        return float(f"{float(value):.{_FIGURES}g}")

    def apart(self, one: Any, other: Any) -> float:
        """Return how far apart two values lie, in the wider of both tolerances."""
        widest = max(self.tolerance_at(one), self.tolerance_at(other))
        return abs(one - other) / widest if widest else math.inf

    def lies_within(self, value: Any, ends: Sequence[str]) -> bool:
        """Tell whether a number lies between two with units; none does where there are no two."""
        if not ends:
            return False
        lowest, highest = (si_of(end, self.kind) for end in ends)
        return lowest <= value <= highest

    def shown(self, value: Any) -> float:
        """Return the number in the US unit."""
        return float(from_si(value, self.kind).magnitude)

    def spread(self, shown: Sequence[float]) -> str:
        """Say the least, the middle and the most, with the unit."""
        return f"{min(shown):.4g} … {median(shown):.4g} … {max(shown):.4g} {KINDS[self.kind].us}"


@dataclass(frozen=True)
class Choice(AnswerKind):
    """One of several, by its letter or code."""

    choices: tuple[str, ...]

    def understand(self, text: str) -> tuple[str, str]:
        """Return the letter, and such as ``"choice c"``."""
        letter = text.strip().strip("().").lower()
        if letter not in self.choices:
            listed = ", ".join(self.choices[:-1]) + f" or {self.choices[-1]}"
            what = "letter" if all(len(one) == 1 for one in self.choices) else "code"
            raise InputError(f"“{text[:40]}” was read; type one {what}: {listed}.")
        return letter, f"choice {letter}"

    def agrees(self, given: Any, value: Any, tolerances: float = 1.0) -> bool:
        """Tell whether both are the same letter."""
        return given is not None and given == value

    def how_far_off(self, given: Any, right: Any) -> str:
        """Say that it is another letter."""
        return "That is not the choice that the readings support."

    def typed(self, value: Any) -> str:
        """Return the letter."""
        return str(value)

    def possible(self) -> Sequence[Answer]:
        """Return all letters."""
        return self.choices


@dataclass(frozen=True)
class Names(AnswerKind):
    """Several names of those there are, in any order."""

    choices: tuple[str, ...]

    def text_of(self, value: Any) -> str | None:
        """Return a list of names with commas between them, anything else as for other kinds."""
        if isinstance(value, list | tuple) and all(isinstance(one, str) for one in value):
            value = ", ".join(value)
        return answer_text(value)

    def understand(self, text: str) -> tuple[tuple[str, ...], str]:
        """Return the names, each once, and the same with commas between them."""
        names = tuple(dict.fromkeys(re.findall(r"[^\s,;\"'()\[\]]+", text.lower())))
        for name in names:
            if name not in self.choices:
                there = ", ".join(self.choices)
                raise InputError(f"“{name[:40]}” was read, which is none of the names; there are {there}.")
        if not names:
            raise InputError("No name was read; write names with commas between them.")
        return names, ", ".join(names)

    def agrees(self, given: Any, value: Any, tolerances: float = 1.0) -> bool:
        """Tell whether both hold the same names."""
        return given is not None and value is not None and set(given) == set(value)

    def how_far_off(self, given: Any, right: Any) -> str:
        """Say that they are other names."""
        return "Those are not the names that the readings support."

    def typed(self, value: Any) -> str:
        """Return the names with commas between them."""
        return ", ".join(value)

    def possible(self) -> Sequence[Answer]:
        """Return all lists of names, unless there are more than `MOST_NAMES` to choose from."""
        if len(self.choices) > MOST_NAMES:
            return ()
        counts = range(1, len(self.choices) + 1)
        return [names for count in counts for names in combinations(self.choices, count)]

    def word(self, answer: Any) -> str:
        """Return the names with commas between them, in the order in which they are listed."""
        return ",".join(sorted(answer, key=self.choices.index))


def kind_of(word: str, choices: Iterable[str] = (), tolerance: str = "") -> AnswerKind:
    """Return the kind of answer that a notebook or an item names.

    Parameters
    ----------
    word : str
        ``"choice"``, ``"names"`` for a list of names, or a kind of quantity (`warmside.units.KINDS`).
    choices : iterable of str
        The letters or names to choose from.
    tolerance : str
        Of a quantity.
    """
    if word == "choice":
        return Choice(tuple(choices))
    if word == "names":
        return Names(tuple(choices))
    return Quantity(KINDS[word].name, tolerance)


def answer_text(value: Any) -> str | None:
    """Return an answer as text; None when there is none yet.

    A text stays as it is, a pint quantity becomes number and unit, a bare number stays bare (and is told off
    later, with the unit that is missing).
    """
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    if isinstance(value, str):
        text = value.strip()
    elif hasattr(value, "magnitude") and hasattr(value, "units"):
        text = f"{_number_text(value.magnitude)} {value.units}".strip()
    else:
        text = _number_text(value)
    return text[:LONGEST_ANSWER]


def _number_text(value: Any) -> str:
    if hasattr(value, "item") and getattr(value, "size", 0) == 1:
        value = value.item()
    return repr(float(value)) if isinstance(value, numbers.Real) else repr(value)
