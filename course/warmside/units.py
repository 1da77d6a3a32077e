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
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from warmside.unit_registry import registry
from warmside.unit_spellings import (
    ABSOLUTE,
    BARE,
    CASED,
    FACTORS,
    GAUGE,
    LABELS,
    MARKED,
    OF_KIND,
    SPELLINGS,
)
from warmside.unit_text import KINDS, Kind, UnitError, parts, quoted

if TYPE_CHECKING:
    import pint

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


_TEMPERATURES = {"degF": "delta_degF", "degC": "delta_degC", "kelvin": "kelvin", "degR": "delta_degF"}

_TOKEN = re.compile(r"\s*(\*\*|[*/()·^]|[^\s*/()·^]+)")
_PER = re.compile(r"\s*\bper\b\s*", re.IGNORECASE)
_CUBIC = re.compile(r"\b(cubic|cu|square|sq)\b\.?\s*(?=[a-z])(\w+)", re.IGNORECASE)
_DEGREES = re.compile(r"(°|\bdeg(?:ree)?s?\b\.?)\s*(?=(f|c|k|fahrenheit|celsius)\b)", re.IGNORECASE)


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
        raise UnitError(f"A {type(text).__name__} was read where a text belongs; write {asked.wanted}.")
    total, *rest = (Q_(value, _unit(written, text, asked)) for value, written in parts(text, asked))
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


def _unit(written: str, text: str, asked: Kind) -> "pint.Unit":
    """Return the unit that a unit text means for the kind asked."""
    if not written:
        if asked.name in ("number", "fraction"):
            return registry().Unit("dimensionless")
        raise UnitError(f"{quoted(text)} was read, without a unit; write {asked.wanted}.")
    difference = re.sub(r"\s*\(?\b(difference|diff)\b\)?$", "", written, flags=re.IGNORECASE)
    folded = _folded(difference)
    name, mark = MARKED.get(folded, (folded, ""))
    if mark and asked.name.startswith("pressure"):
        wanted = {GAUGE: "pressure_gauge", ABSOLUTE: "pressure_absolute"}[mark]
        if asked.name not in (wanted, *(["pressure_difference"] if mark == GAUGE else [])):
            raise UnitError(f"{quoted(text)} was read, {KINDS[wanted].phrase}; write {asked.wanted}.")
    of_kind = OF_KIND.get(asked.name, {}).get(name)
    unit = of_kind or CASED.get(difference.strip()) or SPELLINGS.get(name)
    unit = unit or _compound(difference, text, asked)
    if unit in _TEMPERATURES or unit.startswith("delta_"):
        if asked.name == "temperature" and (unit.startswith("delta_") or difference != written):
            raise UnitError(f"{quoted(text)} was read, a temperature difference; write {asked.wanted}.")
        if asked.name == "temperature_difference":
            unit = _TEMPERATURES.get(unit, unit)
    if asked.name == "volume" and unit == "ounce":
        raise UnitError(f"{quoted(text)} was read, a weight; write {asked.wanted}.")
    found = registry().Unit(unit)
    if found.dimensionality != registry().Unit(asked.si).dimensionality or _is_angle(found) != (
        asked.name == "angle"
    ):
        raise UnitError(f"{quoted(text)} was read, which is not {asked.phrase}; write {asked.wanted}.")
    return found


def _is_angle(unit: object) -> bool:
    return unit in (registry().Unit("degree"), registry().Unit("radian"))


def _folded(written: str) -> str:
    """Return a unit text as the table of spellings has it."""
    folded = re.sub(r"[\s.\-]", "", written).lower()
    return folded if folded in SPELLINGS else folded.replace("°", "")


def _compound(written: str, text: str, asked: Kind) -> str:
    """Return a pint expression for a unit made of several, such as ``Btu/(h °F)``; °F is a difference."""
    spelt = _PER.sub("/", _CUBIC.sub(r"\1\2", _DEGREES.sub("°", written)))
    tokens = _TOKEN.findall(spelt.replace("°", " °"))
    expression, depth, before = [], 0, "*"
    one_alone = asked.name.startswith("temperature")  # “° F deg” is none times anything
    if one_alone or len(tokens) > MOST_UNIT_TOKENS or "".join(tokens) != re.sub(r"\s", "", spelt):
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
    if unit is None or unit in BARE:
        raise UnitError(_not_a_unit(written, text, asked))
    return f"({_TEMPERATURES.get(unit, unit)})"


def _not_a_unit(written: str, text: str, asked: Kind) -> str:
    return f"{quoted(text)} was read, and “{written[:40]}” is no unit known here; write {asked.wanted}."


def _check_sense(quantity: "pint.Quantity", text: str, asked: Kind) -> None:
    if asked.name in ("temperature", "pressure_absolute") and to_si(quantity, asked.name) < 0:
        least = "absolute zero" if asked.name == "temperature" else "a vacuum"
        raise UnitError(f"{quoted(text)} was read, which is below {least}; write {asked.wanted}.")
    bare = quantity.units == registry().Unit("dimensionless")
    if asked.name == "fraction" and bare and quantity.magnitude > 1:
        raise UnitError(
            f"{quoted(text)} was read, which is more than the whole and has no % behind it; "
            f"write {asked.wanted}."
        )


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
