"""What stands in a text that states a quantity: numbers, and the text of the unit behind each.

Which unit that text means is the matter of `warmside.units`; this knows of no registry.
"""

import ast
import math
import operator
import re
from dataclasses import dataclass
from fractions import Fraction

from warmside.errors import InputError
from warmside.unit_spellings import KIND_ROWS, LEFT_OUT, MEANT

LONGEST_TEXT = 200
_LONGEST_CALCULATION = 60


class UnitError(InputError):
    """A text that can't be read as the quantity asked for."""


@dataclass(frozen=True)
class Kind:
    """A kind of quantity that can be asked for.

    Attributes
    ----------
    name : str
        What code calls it.
    phrase : str
        What sentences call it, with its article.
    si, us, metric : str
        Unit of the physics core; units that `show` uses.
    example : str
        An answer that would be right.
    """

    name: str
    phrase: str
    si: str
    us: str
    metric: str
    example: str

    @property
    def wanted(self) -> str:
        """What would be right, for the end of a sentence."""
        return f"{self.phrase} such as {self.example}"


KINDS: dict[str, Kind] = {row[0]: Kind(*row) for row in KIND_ROWS}

_SPACES = re.compile("[\\s\u00a0\u2007\u2009\u202f]+")
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*"
    r"(?:(?P<whole>\d+)(?:\s+|-)(?=\d+\s*/\s*\d))?"
    r"(?:(?P<top>\d+)\s*/\s*(?P<bottom>\d+)(?![\d.,])"
    r"|(?P<decimal>(?:\d{1,3}(?:,\d{3})+(?!\d)|\d{1,3}(?: \d{3})+(?![\d/]|\s+\d)|\d+)(?:\.\d*)?|\.\d+)"
    r"(?:[eE](?P<power>[+-]?\d+))?)"
)
_DIGITS = re.compile(r"[+-]?\s*[\d.,]*\d")
_DECIMAL_COMMA = re.compile(r"[+-]?\s*\d[\d.]*,\d")
_THOUSANDS = re.compile(r"[+-]?\s*\d{1,3}(,\d{3})+(\.\d*)?(?![\d,])")
_STEP = re.compile(r"([A-Za-z'\"]+(?:\.(?=\s))?)\s*(?:and\b|,|(?<=')-)?\s*(?=\.?\d)")
_STEPPED = ("length", "mass", "time")  # kinds of which one writes “2 ft 6 in”
_CALCULATION = re.compile(r"[-+\d.(][-+*/()\d.\s]*[\d.)]")
_IS_CALCULATED = re.compile(r"[(*]|\d\s*\+|\.\d*\s*/|/\s*\d*\.\d")
_OPERATORS = {ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv}


def parts(text: str, asked: Kind) -> list[tuple[float, str]]:
    """Split a text into numbers, each with its unit's text; more than one for ``2h 30min`` and the like.

    Parameters
    ----------
    text : str
        As somebody typed it.
    asked : Kind
        What is asked for.

    Raises
    ------
    UnitError
        One sentence: what was read, and what would be right.

    Examples
    --------
    >>> parts("-2 ft 6 in", KINDS["length"])
    [(-2.0, 'ft'), (6.0, 'in')]
    """
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"A text of {len(text)} characters was read; write {asked.wanted}.")
    rest = _plain(text)
    if not rest:
        raise UnitError(f"An empty text was read; write {asked.wanted}.")
    found = []
    while rest:
        value, rest = _number(rest, text, asked)
        step = _STEP.match(rest) if asked.name in _STEPPED else None
        written, rest = (step[1], rest[step.end() :]) if step else (rest, "")
        found.append((value, written))
    return found


def quoted(text: str) -> str:
    """Return a text as a sentence quotes it, cut short."""
    shown = _SPACES.sub(" ", text).strip()
    return f"“{shown[:40]}…”" if len(shown) > 40 else f"“{shown}”"


def _plain(text: str) -> str:
    for written, meant in MEANT.items():
        text = text.replace(written, meant)
    return _SPACES.sub(" ", text.translate(dict.fromkeys(map(ord, LEFT_OUT)))).strip()


def _number(rest: str, text: str, asked: Kind) -> tuple[float, str]:
    """Return the number that `rest` begins with, and what comes after it."""
    calculated = _CALCULATION.match(rest)
    if calculated and _IS_CALCULATED.search(calculated[0]):
        return _calculated(calculated[0], text, asked), rest[calculated.end() :].lstrip()
    written = _DIGITS.match(rest)
    if written and _DECIMAL_COMMA.match(rest) and not _THOUSANDS.match(rest):
        digits = written[0]
        meant = digits.replace(",", ".") if digits.count(",") == 1 and "." not in digits else "20.5"
        raise UnitError(
            f"{quoted(text)} was read, with a comma in the number; write a decimal point, "
            f"as in {meant[:20]}, and commas only between thousands."
        )
    match = _NUMBER.match(rest)
    if match is None:
        raise UnitError(f"{quoted(text)} was read, with no number where one belongs; write {asked.wanted}.")
    after = rest[match.end() :].lstrip()
    if re.match(r"[\d.,]", after):
        raise UnitError(
            f"{quoted(text)} was read, with a space, point or comma too many in the number; write it like "
            f"1200 or 1,200, and one unit, as in {asked.example}."
        )
    return _value(match, text, asked), after


def _value(match: re.Match[str], text: str, asked: Kind) -> float:
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["top"] is not None:
        if len(match["top"] + match["bottom"]) > 12 or int(match["bottom"]) == 0:
            raise UnitError(f"{quoted(text)} was read, which is no fraction; write {asked.wanted}.")
        return sign * float(int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"])))
    power = match["power"] or "0"
    digits = match["decimal"].replace(",", "").replace(" ", "")
    value = float(digits + (f"e{power}" if len(power) < 6 else "e99999"))
    if not math.isfinite(value) or abs(value) > 1e30:
        raise UnitError(f"{quoted(text)} was read, which is too large a number; write {asked.wanted}.")
    return sign * value


def _calculated(written: str, text: str, asked: Kind) -> float:
    """Return what a calculation with plain numbers comes to, such as ``1030/(1.03*59)``."""
    try:
        if len(written) > _LONGEST_CALCULATION:
            raise ValueError("too long")
        value = _worked_out(ast.parse(written, mode="eval").body)
    except (ArithmeticError, SyntaxError, ValueError):
        raise UnitError(
            f"{quoted(text)} was read, which can't be worked out; write {asked.wanted}."
        ) from None
    if not abs(value) <= 1e30:
        raise UnitError(f"{quoted(text)} was read, which is too large a number; write {asked.wanted}.")
    return value


def _worked_out(node: ast.AST) -> float:
    match node:
        case ast.Constant(value=int() | float() as number):
            return float(number)
        case ast.UnaryOp(op=ast.USub(), operand=one):
            return -_worked_out(one)
        case ast.UnaryOp(op=ast.UAdd(), operand=one):
            return _worked_out(one)
        case ast.BinOp(left=left, op=between, right=right) if type(between) in _OPERATORS:
            return _OPERATORS[type(between)](_worked_out(left), _worked_out(right))
    raise ValueError("no calculation with numbers")
