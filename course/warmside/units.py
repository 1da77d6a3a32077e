"""Quantities with units: the one registry, and reading and showing them the way the trade writes them.

`read_quantity` is a thin parser in front of pint. It decides what number and what unit stand in a text by a
table of the trade's spellings, since pint alone takes ``40 F`` for farads and ``1 200 W`` for 200 W; pint
then does the arithmetic. What is not understood raises `UnitError`, one sentence that says what was read and
what would be right.

The British thermal unit is pint's ``Btu`` (ISO, 1055.056 J); the International Table one of NIST SP 811
differs by a tenth of a millionth. An inch of water column is the conventional one of NIST SP 811,
249.0889 Pa.

pint is imported when the first quantity is made: a hand-in whose answers are plain texts is marked without,
and this saves its kernel half a second.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from warmside.errors import InputError
from warmside.unit_registry import registry
from warmside.unit_spellings import (
    ABSOLUTE,
    CASED,
    FACTORS,
    GAUGE,
    KIND_ROWS,
    LABELS,
    MARKED,
    MEANT,
    SPELLINGS,
)

if TYPE_CHECKING:
    import pint

LONGEST_TEXT = 200
MOST_UNIT_TOKENS = 24

ureg: "pint.UnitRegistry"
# What others take for unit factors: SI values of the trade's units, each worked out when it is asked for.
INCH: float  # m
FOOT: float
CUBIC_FOOT_PER_MINUTE: float  # m³/s
OUNCE: float  # kg
POUND: float
WATER_INCH: float  # Pa
PSI: float
ATMOSPHERE: float
BTU: float  # J
BTU_PER_HOUR: float  # W
ZERO_FAHRENHEIT: float  # K
ZERO_CELSIUS: float


def Q_(value: Any, unit: Any = None) -> "pint.Quantity":
    """Return a quantity of the one registry, such as ``Q_(38.5, "degF")``."""
    return registry().Quantity(value, unit)


def __getattr__(name: str) -> Any:
    """Return `ureg` or one of the factors to a module that imports it."""
    if name == "ureg":
        return registry()
    if name not in FACTORS:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return float(Q_(*FACTORS[name]).to_base_units().magnitude)


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


KINDS: dict[str, Kind] = {row[0]: Kind(*row) for row in KIND_ROWS}

_TEMPERATURES = {"degF": "delta_degF", "degC": "delta_degC", "kelvin": "kelvin", "degR": "delta_degF"}

_SPACES = re.compile("[\\s\u00a0\u2007\u2009\u202f]+")
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*"
    r"(?:(?P<whole>\d+)\s+(?=\d+\s*/\s*\d))?"
    r"(?:(?P<top>\d+)\s*/\s*(?P<bottom>\d+)(?![\d.,])"
    r"|(?P<decimal>(?:\d{1,3}(?:,\d{3})+(?![\d])|\d+)(?:\.\d*)?|\.\d+)(?:[eE](?P<power>[+-]?\d+))?)"
)
_DIGITS = re.compile(r"[+-]?\s*[\d.,]*\d")
_DECIMAL_COMMA = re.compile(r"[+-]?\s*\d[\d.]*,\d")
_THOUSANDS = re.compile(r"[+-]?\s*\d{1,3}(,\d{3})+(\.\d*)?(?![\d,])")
_TOKEN = re.compile(r"\s*(\*\*|[*/()·^]|[^\s*/()·^]+)")
_STEP = re.compile(r"([A-Za-z'\"]+)\s*(?:and\b|,)?\s*(?=\.?\d)")


@cache
def _labels() -> "dict[object, str]":
    return {registry().Unit(unit): label for unit, label in LABELS.items()}


def read_quantity(text: str, kind: str) -> "pint.Quantity":
    """Read a quantity as people in the trade write it.

    Parameters
    ----------
    text : str
        Such as ``"38.5F"``, ``"11 in w.c."``, ``"1 1/4 in"``, ``"2h 30min"``, or what a pint quantity prints.
    kind : str
        What is asked for, one of `KINDS`. It decides whether °F is a temperature or a difference, and
        whether a pressure without a mark is gauge or absolute.

    Returns
    -------
    pint.Quantity
        In the unit that was written; a difference in a delta unit.

    Raises
    ------
    UnitError
        One sentence: what was read, and what would be right.
    """
    asked = KINDS[kind]
    if not isinstance(text, str):
        raise UnitError(f"A {type(text).__name__} was read where a text belongs; write {_wanted(asked)}.")
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"A text of {len(text)} characters was read; write {_wanted(asked)}.")
    plain = _plain(text)
    if not plain:
        raise UnitError(f"An empty text was read; write {_wanted(asked)}.")
    total, *rest = (Q_(value, _unit(written, text, asked)) for value, written in _parts(plain, text, asked))
    for part in rest:  # the sign of “-2 ft 6 in” is that of the whole
        total = total + math.copysign(1.0, total.magnitude) * part
    _check_sense(total, text, asked)
    return total


def to_si(quantity: "pint.Quantity", kind: str) -> float:
    """Return a quantity's value in the SI unit of its kind (K, Pa, m, kg, s, W, J, ...)."""
    return float(quantity.to(KINDS[kind].si).magnitude)


@lru_cache(maxsize=4096)
def si_of(text: str, kind: str) -> float:
    """Return what a text of ours says, in the SI unit of its kind; cached, as cards and tolerances repeat."""
    return to_si(read_quantity(text, kind), kind)


def from_si(value: float, kind: str, unit: str | None = None) -> "pint.Quantity":
    """Return the quantity with this SI value, in `unit` or in the US unit of its kind."""
    asked = KINDS[kind]
    si = "delta_degC" if kind == "temperature_difference" else asked.si
    return Q_(float(value), si).to(unit or asked.us)


def show(quantity: "pint.Quantity", system: str = "US", *, kind: str = "", digits: int | None = None) -> str:
    """Return a quantity as text in US or SI units; `read_quantity` reads it back.

    Parameters
    ----------
    quantity : pint.Quantity
        What to show.
    system : {"US", "SI"}
        Units to show it in.
    kind : str, optional
        Its kind; told by its unit where left out, pressures as differences.
    digits : int, optional
        Decimals; by default one for temperatures and angles, three figures otherwise.
    """
    name = kind or _kind_of(quantity)
    asked = KINDS[name]
    unit = {"US": asked.us, "SI": asked.metric}[system]
    if name == "time":
        seconds = abs(quantity.to("second").magnitude)
        unit = "hour" if seconds >= 3600 else "minute" if seconds >= 60 else "second"
    elif name == "pressure_gauge" and system == "US" and abs(quantity.to("psi").magnitude) < 2:
        unit = "inch_water_column"
    elif name == "mass" and abs(quantity.to("pound").magnitude) < 1:
        unit = {"US": "ounce", "SI": "gram"}[system]
    shown = quantity.to(unit)
    return _with_label(_figures(shown.magnitude, name, digits), shown, name)


def describe(quantity: "pint.Quantity", kind: str) -> str:
    """Say what was understood, in the unit that was written: ``"38.5 °F, a temperature"``."""
    return f"{_with_label(f'{quantity.magnitude:,.10g}', quantity, kind)}, {KINDS[kind].phrase}"


def _plain(text: str) -> str:
    for written, meant in MEANT.items():
        text = text.replace(written, meant)
    return _SPACES.sub(" ", text).strip()


def _parts(plain: str, text: str, asked: Kind) -> list[tuple[float, str]]:
    """Split a text into numbers, each with its unit's text; more than one for ``2h 30min`` and the like."""
    parts = []
    rest = plain
    while rest:
        value, rest = _number(rest, text, asked)
        step = _STEP.match(rest) if asked.name in ("time", "length") else None
        written, rest = (step[1], rest[step.end() :]) if step else (rest, "")
        parts.append((value, written))
    return parts


def _number(rest: str, text: str, asked: Kind) -> tuple[float, str]:
    """Return the number that `rest` begins with, and what comes after it."""
    written = _DIGITS.match(rest)
    if written and _DECIMAL_COMMA.match(rest) and not _THOUSANDS.match(rest):
        digits = written[0]
        meant = digits.replace(",", ".") if digits.count(",") == 1 and "." not in digits else "20.5"
        raise UnitError(
            f"{_quoted(text)} was read, with a comma in the number; write a decimal point, "
            f"as in {meant[:20]}, and commas only between thousands."
        )
    match = _NUMBER.match(rest)
    if match is None:
        raise UnitError(
            f"{_quoted(text)} was read, with no number where one belongs; write {_wanted(asked)}."
        )
    after = rest[match.end() :].lstrip()
    if re.match(r"[\d.,]", after):
        raise UnitError(
            f"{_quoted(text)} was read, with a space, point or comma too many in the number; write it like "
            f"1200 or 1,200, and one unit, as in {asked.example}."
        )
    return _value(match, text, asked), after


def _value(match: re.Match[str], text: str, asked: Kind) -> float:
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["top"] is not None:
        if len(match["top"] + match["bottom"]) > 12 or int(match["bottom"]) == 0:
            raise UnitError(f"{_quoted(text)} was read, which is no fraction; write {_wanted(asked)}.")
        return sign * float(int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"])))
    power = match["power"] or "0"
    value = float(match["decimal"].replace(",", "") + (f"e{power}" if len(power) < 6 else "e99999"))
    if not math.isfinite(value) or abs(value) > 1e30:
        raise UnitError(f"{_quoted(text)} was read, which is too large a number; write {_wanted(asked)}.")
    return sign * value


def _unit(written: str, text: str, asked: Kind) -> "pint.Unit":
    """Return the unit that a unit text means for the kind asked."""
    if not written:
        if asked.name in ("number", "fraction"):
            return registry().Unit("dimensionless")
        raise UnitError(f"{_quoted(text)} was read, without a unit; write {_wanted(asked)}.")
    difference = re.sub(r"\s*\(?\b(difference|diff)\b\)?$", "", written, flags=re.IGNORECASE)
    folded = _folded(difference)
    name, mark = MARKED.get(folded, (folded, ""))
    if mark and asked.name.startswith("pressure"):
        wanted = {GAUGE: "pressure_gauge", ABSOLUTE: "pressure_absolute"}[mark]
        if asked.name not in (wanted, *(["pressure_difference"] if mark == GAUGE else [])):
            raise UnitError(f"{_quoted(text)} was read, {KINDS[wanted].phrase}; write {_wanted(asked)}.")
    unit = CASED.get(difference.strip()) or SPELLINGS.get(name) or _compound(difference, text, asked)
    if unit in _TEMPERATURES or unit.startswith("delta_"):
        if asked.name == "temperature" and (unit.startswith("delta_") or difference != written):
            raise UnitError(f"{_quoted(text)} was read, a temperature difference; write {_wanted(asked)}.")
        if asked.name == "temperature_difference":
            unit = _TEMPERATURES.get(unit, unit)
    if asked.name == "volume" and unit == "ounce":
        raise UnitError(f"{_quoted(text)} was read, a weight; write {_wanted(asked)}.")
    found = registry().Unit(unit)
    if found.dimensionality != registry().Unit(asked.si).dimensionality or _is_angle(found) != (
        asked.name == "angle"
    ):
        raise UnitError(f"{_quoted(text)} was read, which is not {asked.phrase}; write {_wanted(asked)}.")
    return found


def _is_angle(unit: object) -> bool:
    return unit in (registry().Unit("degree"), registry().Unit("radian"))


def _folded(written: str) -> str:
    """Return a unit text as the table of spellings has it."""
    folded = re.sub(r"[\s.\-]", "", written).lower()
    return folded if folded in SPELLINGS else folded.replace("°", "")


def _compound(written: str, text: str, asked: Kind) -> str:
    """Return a pint expression for a unit made of several, such as ``Btu/(h °F)``; °F is a difference."""
    tokens = _TOKEN.findall(written.replace("°", " °").replace("° ", "°"))
    expression, depth, before = [], 0, "*"
    if len(tokens) > MOST_UNIT_TOKENS or "".join(tokens) != re.sub(r"\s", "", written):
        raise UnitError(_not_a_unit(written, text, asked))
    for token in tokens:
        after_power = before in ("**", "^")
        if token in ("*", "/", "·", "**", "^"):
            expression.append({"·": "*", "^": "**"}.get(token, token))
        elif after_power and re.fullmatch(r"-?[1-4]", token):
            expression.append(token)
        elif token == "(" or not (token == ")" or after_power):
            if before not in ("*", "/", "·", "("):
                expression.append("*")
            expression.append(token if token == "(" else _single(token, written, text, asked))
        elif token == ")":
            expression.append(token)
        else:
            raise UnitError(_not_a_unit(written, text, asked))
        depth += {"(": 1, ")": -1}.get(token, 0)
        if depth < 0 or depth > 3:
            raise UnitError(_not_a_unit(written, text, asked))
        before = token
    try:
        return str(registry().parse_units("".join(expression)))
    except Exception:  # whatever pint's tokenizer raises on what is left
        raise UnitError(_not_a_unit(written, text, asked)) from None


def _single(token: str, written: str, text: str, asked: Kind) -> str:
    unit = CASED.get(token) or SPELLINGS.get(_folded(token))
    if unit is None:
        raise UnitError(_not_a_unit(written, text, asked))
    return f"({_TEMPERATURES.get(unit, unit)})"


def _not_a_unit(written: str, text: str, asked: Kind) -> str:
    return f"{_quoted(text)} was read, and “{written[:40]}” is no unit known here; write {_wanted(asked)}."


def _check_sense(quantity: "pint.Quantity", text: str, asked: Kind) -> None:
    if asked.name in ("temperature", "pressure_absolute") and to_si(quantity, asked.name) < 0:
        least = "absolute zero" if asked.name == "temperature" else "a vacuum"
        raise UnitError(f"{_quoted(text)} was read, which is below {least}; write {_wanted(asked)}.")
    bare = quantity.units == registry().Unit("dimensionless")
    if asked.name == "fraction" and bare and quantity.magnitude > 1:
        raise UnitError(
            f"{_quoted(text)} was read, which is more than the whole and has no % behind it; "
            f"write {_wanted(asked)}."
        )


def _wanted(asked: Kind) -> str:
    return f"{asked.phrase} such as {asked.example}"


def _quoted(text: str) -> str:
    shown = _SPACES.sub(" ", text).strip()
    return f"“{shown[:40]}…”" if len(shown) > 40 else f"“{shown}”"


def _kind_of(quantity: "pint.Quantity") -> str:
    if quantity.units in (registry().Unit("delta_degF"), registry().Unit("delta_degC")):
        return "temperature_difference"
    for name, kind in KINDS.items():
        if name in ("temperature_difference", "pressure_gauge", "pressure_absolute", "fraction"):
            continue
        if quantity.dimensionality == registry().Unit(kind.si).dimensionality:
            return "angle" if _is_angle(quantity.units) else "number" if name == "angle" else name
    raise UnitError(f"{quantity} is of no kind known here; the kinds are {', '.join(KINDS)}.")


def _figures(value: float, kind: str, digits: int | None) -> str:
    if digits is None:
        one = kind in ("temperature", "temperature_difference", "angle")
        digits = 1 if one else 2 - math.floor(math.log10(abs(value))) if value else 0
    return f"{round(value, digits) + 0.0:,.{max(digits, 0)}f}"  # no minus before a zero


def _with_label(figures: str, quantity: "pint.Quantity", kind: str) -> str:
    label = _labels().get(quantity.units, f"{quantity.units:~P}")
    if kind in ("pressure_gauge", "pressure_absolute") and label in ("psi", "bar", "kPa", "Pa"):
        label += kind.removeprefix("pressure_")[0]
    return f"{figures} {label}".strip()
