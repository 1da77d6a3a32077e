"""Drawing cases: what can be wrong, how badly, in which good refrigerator, on which day.

Cases are drawn over faults and pairs of faults, severities, sizes, heat sources and ambients from 70 to
110 °F. No two installations are alike, even good ones: what they differ in stands in the table
`good_installation`. Drawing is done in blocks, each from its own child of the seed, so that it doesn't matter
who draws which.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from warmside.data import Field, load
from warmside.diagnosis import fault_effects
from warmside.diagnosis.faults import FAULTS, NONE, Label, labels
from warmside.diagnosis.readings import READINGS, Readings, column, measure, readable
from warmside.diagnosis.solving import FOOD_LIMIT, heat_of, installation_of, true_readings
from warmside.errors import InputError
from warmside.model.ensemble import MEMBERS
from warmside.model.heat_source import nominal_voltage
from warmside.model.installation import HEAT_SOURCES, Installation
from warmside.model.quantity import quantities
from warmside.model.sizes import SIZES
from warmside.units import Q_

_GOOD, _DRAWN = load("good_installation"), load("drawn_cases")
SOURCE_SHARES = {source: _DRAWN[f"{source}_share"] for source in HEAT_SOURCES}
PAIR_SHARE = _DRAWN["pair_share"]
"""Share of the bank's cases with two things wrong. How likely that is held to be is another number,
`faults.PAIR_PRIOR`."""
AMBIENTS = tuple(_DRAWN["ambient"])
"""Between which ambients are drawn [K]; 70 and 110 °F."""
BLOCK = 10_000
_SPARE = 1.03  # cases drawn for each that is needed, since a few have no steady state that is found
_NOMINAL_GAS = load("practice")["gas_pressure"]


@dataclass(frozen=True, eq=False)
class Cases:
    """Drawn cases, with all that the model knows of them.

    Attributes
    ----------
    labels : numpy.ndarray
        Numbers of the faults in `FAULTS`, shape (cases, 2); -1 where there is no second.
    severities : numpy.ndarray
        Of these, 0 to 1, shape (cases, 2).
    size, heat_source : numpy.ndarray of str
        Shape (cases,).
    ambient : numpy.ndarray
        [K].
    situation, good : dict of str to numpy.ndarray
        Fields of `Installation`, and what sets the heat and can be seen; and the same with nothing wrong.
    readings : numpy.ndarray
        What each reading would truly be, shape (cases, readings), in SI units or as the number of the
        choice; nan where it can't be taken.
    failed : numpy.ndarray of bool
        Whether the unit has failed, as in `State`.
    """

    labels: np.ndarray
    severities: np.ndarray
    size: np.ndarray
    heat_source: np.ndarray
    ambient: np.ndarray
    situation: dict[str, np.ndarray]
    good: dict[str, np.ndarray]
    readings: np.ndarray
    failed: np.ndarray

    def __len__(self) -> int:
        return self.ambient.size

    def label(self, case: int) -> Label:
        """Return what is wrong in a case."""
        return label_of(self.labels[case])

    def installation(self, case: int) -> Installation:
        """Return a case's installation."""
        chosen = {name: values[case] for name, values in self.situation.items()}
        return installation_of(str(self.size[case]), str(self.heat_source[case]), chosen)

    def true_readings(self, case: int) -> dict[str, float | str]:
        """Return what a case's readings would be without error, for those that can be taken."""
        values = dict(zip(READINGS, self.readings[case], strict=True))
        return {
            name: choices[int(values[name])] if (choices := READINGS[name].choices) else float(values[name])
            for name in readable(str(self.heat_source[case]))
        }

    def measured(self, case: int, random: np.random.Generator) -> Readings:
        """Return a case's readings as they would be read, with error; the ambient's too."""
        values = measure({"ambient": float(self.ambient[case]), **self.true_readings(case)}, random)
        ambient = float(values.pop("ambient"))
        return Readings(str(self.size[case]), str(self.heat_source[case]), ambient, values)

    def out_of_limits(self) -> np.ndarray:
        """Whether the food is above 43 °F in each case."""
        return self.readings[:, column("cup")] > FOOD_LIMIT

    def with_only(self, place: int | None) -> tuple["Cases", np.ndarray]:
        """Return the same refrigerators on the same day with only one of the things wrong.

        Parameters
        ----------
        place : int or None
            Which of the two, 0 or 1; None for nothing wrong.

        Returns
        -------
        Cases
        numpy.ndarray of bool
            Which of them have a steady state.
        """
        numbers, severities = np.full_like(self.labels, -1), np.zeros_like(self.severities)
        if place is None:
            numbers[:, 0] = numbers_of(NONE)[0]
        else:
            numbers[:, 0], severities[:, 0] = self.labels[:, place], self.severities[:, place]
        how = numbers, severities, self.size, self.heat_source, self.ambient
        return _solved(*how, self.good)

    def select(self, which: np.ndarray) -> "Cases":
        """Return some of them, by their numbers or by whether they are wanted."""

        def some(part: Any) -> Any:
            if isinstance(part, dict):
                return {entry: values[which] for entry, values in part.items()}
            return part[which]

        return Cases(**{each.name: some(getattr(self, each.name)) for each in fields(self)})


def numbers_of(label: Label) -> tuple[int, int]:
    """Return the row of `Bank.labels` for a label."""
    first, *second = (list(FAULTS).index(name) for name in label)
    return first, second[0] if second else -1


def label_of(numbers: Sequence[int]) -> Label:
    """Return the names for a row of `Bank.labels`."""
    names = list(FAULTS)
    return tuple(names[number] for number in numbers if number >= 0)


def draw_cases(
    seed: int,
    count: int,
    *,
    sizes: Sequence[str] = SIZES,
    heat_sources: Sequence[str] = HEAT_SOURCES,
    wanted: Sequence[Label] | None = None,
    pair_share: float = PAIR_SHARE,
    ambients: tuple[float, float] = AMBIENTS,
) -> Cases:
    """Draw cases as for the bank, from a seed of your own.

    Parameters
    ----------
    seed : int
        The same seed gives the same cases; take another than `SEED`, which is the bank's own.
    count : int
        How many.
    sizes, heat_sources : sequence of str
        To draw from.
    wanted : sequence of Label, optional
        What may be wrong; all single faults and pairs where it isn't given. Faults that a size or a heat
        source can't have are left out there.
    pair_share : float
        Share of cases with two things wrong, 0 to 1, where both kinds are wanted.
    ambients : (float, float)
        Between which the ambient is drawn [K].

    Returns
    -------
    Cases
    """
    _check(sizes, heat_sources, wanted, pair_share)
    how: dict[str, Any] = {"sizes": sizes, "heat_sources": heat_sources, "wanted": wanted}
    how |= {"pair_share": pair_share, "ambients": ambients}
    parts = [
        draw_block(seed, block, min(BLOCK, count - block * BLOCK), **how)
        for block in range(-(-count // BLOCK))
    ]
    return parts[0] if len(parts) == 1 else _joined(parts)


def _check(sizes, heat_sources, wanted, pair_share):
    for name, given, known in (("size", sizes, SIZES), ("heat source", heat_sources, HEAT_SOURCES)):
        for one in given:
            if one not in known:
                raise InputError(f"There is no {name} “{one}”; there are {', '.join(known)}.")
    there = {
        each for size in sizes for source in heat_sources for part in labels(size, source) for each in part
    }
    for label in wanted or ():
        if label not in there:
            raise InputError(
                f"{' with '.join(label)} is no explanation of a case on {', '.join(heat_sources)}; write "
                "one fault or a pair of faults that occur there, in the order of the catalog."
            )
    if not 0.0 <= pair_share <= 1.0:
        raise InputError(f"pair_share is {pair_share}; it must be from 0 to 1.")


def _generator(seed: int, block: int) -> np.random.Generator:
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence(seed, spawn_key=(block,))))


def _joined(parts: Sequence[Cases]) -> Cases:
    def joined(values):
        first = values[0]
        if isinstance(first, dict):
            return {entry: np.concatenate([value[entry] for value in values]) for entry in first}
        return np.concatenate(values)

    return Cases(
        **{each.name: joined([getattr(part, each.name) for part in parts]) for each in fields(Cases)}
    )


def draw_block(
    seed: int,
    block: int,
    count: int,
    *,
    sizes: Sequence[str] = SIZES,
    heat_sources: Sequence[str] = HEAT_SOURCES,
    wanted: Sequence[Label] | None = None,
    pair_share: float = PAIR_SHARE,
    ambients: tuple[float, float] = AMBIENTS,
) -> Cases:
    """Return one block of what `draw_cases` draws; it is the same wherever it is drawn."""
    random = _generator(seed, block)
    drawn = int(np.ceil(count * _SPARE)) + 20
    size = np.asarray(sizes)[random.integers(len(sizes), size=drawn)]
    shares = np.array([SOURCE_SHARES[source] for source in heat_sources])
    heat_source = np.asarray(heat_sources)[random.choice(len(shares), drawn, p=shares / shares.sum())]
    numbers = _draw_labels(random, size, heat_source, wanted, pair_share)
    severities = random.random((drawn, 2))
    severities[:, 1][numbers[:, 1] < 0] = 0.0
    ambient = random.uniform(*ambients, drawn)
    good = _good(random, size, heat_source, numbers)
    cases, found = _solved(numbers, severities, size, heat_source, ambient, good)
    kept = np.flatnonzero(found)[:count]
    if kept.size < count:
        raise RuntimeError(f"only {kept.size} of {drawn} cases have a steady state")
    return cases.select(kept)


def _solved(numbers, severities, size, heat_source, ambient, good) -> tuple[Cases, np.ndarray]:
    """Put faults into good refrigerators; tell which have a steady state."""
    situation = _with_faults(good, numbers, severities)
    situation["heat_input"] = heat_of(situation, size, heat_source)
    readings, failed, found = true_readings(situation, size, heat_source, ambient)
    cases = Cases(numbers, severities, size, heat_source, ambient, situation, good, readings, failed)
    return cases, found


def _draw_labels(random, size, heat_source, wanted, pair_share):
    place, is_pair = random.random(size.size), random.random(size.size) < pair_share
    numbers = np.full((size.size, 2), -1)
    for one_size in np.unique(size):
        for source in np.unique(heat_source):
            singles, pairs = (
                [numbers_of(label) for label in part if not wanted or label in wanted]
                for part in labels(str(one_size), str(source))
            )
            here = (size == one_size) & (heat_source == source)
            if here.any() and not (singles or pairs):
                raise InputError(f"None of the wanted faults occurs in size {one_size} on {source}.")
            for some, which in ((singles, ~is_pair | (not pairs)), (pairs, is_pair | (not singles))):
                chosen = here & which
                if some and chosen.any():
                    numbers[chosen] = np.array(some)[(place[chosen] * len(some)).astype(int)]
    return numbers


def _good(random, size, heat_source, numbers) -> dict[str, np.ndarray]:
    """Draw good installations, no two alike, in the order of their table."""
    count = size.size
    declared, correct = quantities(Installation), Installation.of(size, heat_source=heat_source)
    heater = np.where(heat_source == "battery", "battery", "mains")  # on gas that of mains stands idle
    nominal = np.where(heater == "battery", nominal_voltage("battery"), nominal_voltage("mains"))
    usual = {name: getattr(correct, name) for name, what in declared.items() if what.unit not in ("", "1")}
    usual |= {
        "load": correct.of_size("usual_load"),
        "voltage": nominal,
        "resistance": nominal**2 / Installation.of(size, heat_source=heater).heat_input,
        "gas_pressure": _NOMINAL_GAS,
    }
    drawn = {name: _drawn(random, row, count, usual.get(name)) for name, row in _GOOD.fields.items()}
    of_fans = [number for number, fault in enumerate(FAULTS.values()) if fault.needs_fan]
    fan = drawn.pop("fan") | np.isin(numbers, of_fans).any(axis=1)
    drawn["fan_pressure"] = np.where(fan, drawn["fan_pressure"], 0.0)
    drawn["fan_free_flow"] = drawn["fan_free_flow"] * _DRAWN["fan_speed"] * correct.upper_vent_area
    seen = {
        "fan_state": np.where(fan, fault_effects.FAN_UP, fault_effects.FAN_NONE).astype(float),
        "fuse": np.full(count, float(fault_effects.FUSE_GOOD)),
        "food_place": np.full(count, float(fault_effects.LOAD_USUAL)),
        "gas_supply": np.full(count, float(fault_effects.GAS_THERE)),
        "spark": np.full(count, float(fault_effects.SPARKS)),
        "sensor": np.full(count, float(fault_effects.SENSOR_RIGHT)),
        "control": np.full(count, float(fault_effects.CONTROL_RESTS)),
        "member": random.integers(MEMBERS, size=count).astype(float),
    }
    # what doesn't differ among good ones is as in a correct one; the heat is what the source gives
    alike = [name for name, what in declared.items() if what.unit and name not in (*drawn, "heat_input")]
    return drawn | {name: np.full(count, getattr(correct, name)) for name in alike} | seen


def _drawn(random: np.random.Generator, row: Field, count: int, usual: Any) -> np.ndarray:
    """Draw one row of the table: a range evenly, over the usual where it is a plain number; or how often."""
    given: Any = row.given
    if not isinstance(given, list):
        return random.random(count) < given
    lowest, highest = given
    values = Q_(random.uniform(lowest, highest, count), row.unit).to_base_units().magnitude
    return values * usual if row.unit == "1" and usual is not None else values


def _with_faults(situation, numbers, severities):
    """Apply the faults of each case, those of the catalogue's beginning first."""
    changed = {name: values.copy() for name, values in situation.items()}
    for index, fault in enumerate(FAULTS.values()):
        for place in range(numbers.shape[1]):
            cases = np.flatnonzero(numbers[:, place] == index)
            if cases.size:
                now = {name: values[cases] for name, values in changed.items()}
                for name, values in fault.effect(severities[cases, place], now).items():
                    changed[name][cases] = values
    return changed
