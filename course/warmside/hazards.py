"""What stops a job, and which care a work takes: one table, from which every place takes its words.

A stop sign that is reported ends the job as it was. What it asks for is then the only thing that is said. A
caution stands beside the work that it belongs to.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from warmside.data import Field, Table, load
from warmside.errors import InputError

HEAT_SOURCES = ("mains", "battery", "gas")


@dataclass(frozen=True)
class StopSign:
    """Something seen, heard or smelt that ends the job as it was.

    Attributes
    ----------
    name, title : str
        What code and what people call it.
    question : str
        What asks for it, to be answered by yes or no.
    reported : str
        One sentence that says it was found.
    steps : tuple of str
        What is done then, in this order.
    never : str
        What must not be done.
    goes_on : str
        Who goes on with it.
    source : str
        As in `warmside.data.Field`.
    heat_sources : tuple of str
        On which it is asked for; none where a reading tells it.
    """

    name: str
    title: str
    question: str
    reported: str
    steps: tuple[str, ...]
    never: str
    goes_on: str
    source: str
    heat_sources: tuple[str, ...] = HEAT_SOURCES

    @property
    def sentences(self) -> tuple[str, ...]:
        """All that is said where it is reported, in order."""
        return (self.reported, *self.steps, self.never, f"Who goes on: {_uncapped(self.goes_on)}")


@dataclass(frozen=True)
class WorkCaution:
    """The care that a work takes.

    Attributes
    ----------
    name, title : str
        What code and what people call the work.
    caution : str
        What is minded, in one or more sentences.
    licensed : str
        Who alone may do it; empty where anybody may.
    source : str
        As in `warmside.data.Field`.
    heat_sources : tuple of str
        On which the work is met: what belongs to mains isn't said of a battery.
    """

    name: str
    title: str
    caution: str
    licensed: str
    source: str
    heat_sources: tuple[str, ...] = HEAT_SOURCES

    @property
    def sentences(self) -> tuple[str, ...]:
        """All that is said where the work is met: what is minded, and who alone may do it."""
        return (self.caution, f"Only for {self.licensed}.") if self.licensed else (self.caution,)

    @property
    def not_for_owner(self) -> str:
        """One sentence that keeps an owner from it; empty where it may be theirs."""
        return f"{self.title}: for {self.licensed}." if self.licensed else ""


def cautions_of(works: Iterable[str], heat_source: str) -> tuple[str, ...]:
    """Return the cautions of works by their names, in this order, as far as they are met on a heat source."""
    said = (sentence for work in _on(works, heat_source) for sentence in work.sentences)
    return tuple(dict.fromkeys(said))


def not_for_owner(works: Iterable[str], heat_source: str) -> tuple[str, ...]:
    """Return what an owner leaves to others of these works; none where all may be theirs."""
    return tuple(work.not_for_owner for work in _on(works, heat_source) if work.licensed)


def _on(works: Iterable[str], heat_source: str) -> Iterator[WorkCaution]:
    named = (WORK[name] for name in dict.fromkeys(works))
    return (work for work in named if heat_source in work.heat_sources)


def check_works(works: Iterable[str], where: str) -> None:
    """Raise InputError, one sentence, if there is no such work; `where` says who named it."""
    for name in works:
        if name not in WORK:
            raise InputError(f"{where}: there is no work “{name}”; there are {', '.join(WORK)}.")


def signs_on(heat_source: str) -> tuple[StopSign, ...]:
    """Return the stop signs that are asked for on a heat source, the most urgent first."""
    return tuple(sign for sign in STOP_SIGNS.values() if heat_source in sign.heat_sources)


def in_order(names: Iterable[str]) -> tuple[StopSign, ...]:
    """Return the stop signs of these names, the most urgent first.

    Raises
    ------
    InputError
        If there is no such stop sign.
    """
    wanted = list(names)
    for name in wanted:
        if name not in STOP_SIGNS:
            raise InputError(f"There is no stop sign “{name}”; there are {', '.join(STOP_SIGNS)}.")
    return tuple(sign for name, sign in STOP_SIGNS.items() if name in wanted)


# --- reading the table ------------------------------------------------------------------------------------

_FIRST = "first"
_SIGN = {"question", "reported", "steps", "never", "goes_on"}
_WORK = {"caution"}
_SOURCES = "heat_sources"
_LISTS = {"steps", _SOURCES}


def hazards_of(table: Table) -> tuple[str, Mapping[str, StopSign], Mapping[str, WorkCaution]]:
    """Return what comes before all, the stop signs and the cautions of a table.

    Raises
    ------
    InputError
        One sentence that names the file and the field, and what would be right.
    """
    signs, works = {}, {}
    for name, field in table.fields.items():
        where = f"{table.name}.toml, field {name}"
        if field.unit:
            raise InputError(f"{where}: a number stands there; write texts = what is asked, said and done.")
        if "question" in field.given:
            signs[name] = _sign(field, where)
        else:
            works[name] = _work(field, where)
    if _FIRST not in works:
        raise InputError(f"{table.name}.toml: no field [{_FIRST}] says what comes before all of it.")
    return works.pop(_FIRST).caution, MappingProxyType(signs), MappingProxyType(works)


def _sign(field: Field, where: str) -> StopSign:
    _check(field, _SIGN, set(), where)
    texts = {key: field.given[key] for key in _SIGN}
    sources = field.given.get(_SOURCES, HEAT_SOURCES)
    return StopSign(field.name, field.meaning, **texts, source=field.source, heat_sources=sources)


def _work(field: Field, where: str) -> WorkCaution:
    _check(field, _WORK, {"licensed"}, where)
    caution, licensed = field.given["caution"], field.given.get("licensed", "")
    sources = field.given.get(_SOURCES, HEAT_SOURCES)
    return WorkCaution(field.name, field.meaning, caution, licensed, field.source, sources)


def _check(field: Field, needed: set[str], optional: set[str], where: str) -> None:
    allowed = optional | {_SOURCES}
    if lacking := sorted(needed - field.given.keys()):
        raise InputError(f"{where}: it lacks {', '.join(lacking)}; write each among its texts.")
    if unknown := sorted(field.given.keys() - needed - allowed):
        known = ", ".join(sorted(needed | allowed))
        raise InputError(f"{where}: “{unknown[0]}” is unknown; its texts are {known}.")
    for key, text in field.given.items():
        if isinstance(text, tuple) != (key in _LISTS):
            raise InputError(f"{where}, {key}: write {'a list of texts' if key in _LISTS else 'one text'}.")
    for source in field.given.get(_SOURCES, ()):
        if source not in HEAT_SOURCES:
            raise InputError(f"{where}: “{source}” is no heat source; there are {', '.join(HEAT_SOURCES)}.")


def _uncapped(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:]


FIRST, STOP_SIGNS, WORK = hazards_of(load("hazards"))
"""What comes before all of it; the stop signs, the most urgent first; the cautions, each by its name."""
