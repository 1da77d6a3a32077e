"""A bank of simulated cases: what each reading would truly be, for all that can be wrong.

Cases are drawn over faults and pairs of faults, severities, sizes, heat sources and ambients from 70 to
110 °F. No two installations are alike, even good ones: gaps, vents, openings, door use, voltage and charge
differ within what is held to be good. Each case is solved by the model five times: as it stands at three
ambients of a day, with the lower vent taken off, and in a night without openings. Cup, freezer and duty
are the day's means; all else is read at its mean ambient. What stands in the bank has no meter's error;
inference adds it.

Drawing is done in blocks, each from its own child of the seed, so that it doesn't matter who draws which. A
bank is made on demand, kept in the user's cache folder under a name that changes with all that it was made
from, and made again when it is damaged.
"""

import hashlib
import os
import tempfile
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import cache, cached_property
from pathlib import Path

import numpy as np
import platformdirs

from warmside.data import load
from warmside.diagnosis import faults
from warmside.diagnosis.faults import FAULTS, Label, labels
from warmside.diagnosis.known import Known, heater_current
from warmside.diagnosis.readings import READINGS, Readings, column, measure, readable
from warmside.errors import InputError
from warmside.model.draught import Fan
from warmside.model.heat_source import heat_share, nominal_voltage
from warmside.model.installation import HEAT_SOURCES, SIZES, USUAL_OUTLET, Installation
from warmside.model.running import felt_day
from warmside.model.steady import steady_state

COUNT = 240_000
"""Cases in the usual bank."""
SEED = 20_270_313
PAIR_SHARE = 0.4
"""Share of the bank's cases with two things wrong. How likely that is held to be is another number,
`faults.PAIR_PRIOR`."""
SOURCE_SHARES = {"mains": 0.45, "battery": 0.2, "gas": 0.35}
AMBIENTS = (294.26, 316.48)
"""Between which ambients are drawn [K]; 70 and 110 °F."""
FOOD_LIMIT = load("ratings").in_column("food_limit", "eight")
"""Above that food is out of limits [K]; the same in every size."""
BLOCK = 10_000
_SPARE = 1.03  # cases drawn for each that is needed, since a few have no steady state that is found
_NOMINAL_GAS = load("practice")["gas_pressure"]
_FAN_SHARE = 0.35
_PANEL_HEIGHT = 0.3  # m; of the opening where the lower vent was taken off
_CABINETS = load("cabinets")
_INSTALLED = tuple(each.name for each in fields(Installation) if not each.name.startswith("_"))


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
    situation : dict of str to numpy.ndarray
        Fields of `Installation`, and what sets the heat and can be seen.
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
        return _installation(str(self.size[case]), str(self.heat_source[case]), chosen)

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
        ambient = values.pop("ambient")
        return Readings(str(self.size[case]), str(self.heat_source[case]), ambient, values)

    def out_of_limits(self) -> np.ndarray:
        """Whether the food is above 43 °F in each case."""
        return self.readings[:, column("cup")] > FOOD_LIMIT

    def _select(self, which) -> "Cases":
        rows = {each.name: getattr(self, each.name) for each in fields(self) if each.name != "situation"}
        chosen = {name: values[which] for name, values in self.situation.items()}
        return Cases(situation=chosen, **{name: values[which] for name, values in rows.items()})


@dataclass(frozen=True, eq=False)
class Bank:
    """Simulated cases, as inference needs them.

    Attributes
    ----------
    readings : numpy.ndarray
        True readings, float32, shape (cases, readings); numbers of choices; nan where one can't be taken.
    labels : numpy.ndarray
        Numbers of the faults in `FAULTS`, int8, shape (cases, 2); -1 where there is no second.
    size, heat_source : numpy.ndarray
        Numbers in `SIZES` and `HEAT_SOURCES`, int8.
    ambient : numpy.ndarray
        [K], float32.
    failed : numpy.ndarray of bool
        Whether the unit has failed.
    """

    readings: np.ndarray
    labels: np.ndarray
    size: np.ndarray
    heat_source: np.ndarray
    ambient: np.ndarray
    failed: np.ndarray

    def __len__(self) -> int:
        return self.ambient.size

    @classmethod
    def of(cls, cases: Cases) -> "Bank":
        """Return a bank of these cases."""
        number = {name: index for index, name in enumerate((*SIZES, *HEAT_SOURCES))}
        first = len(SIZES)
        return cls(
            readings=cases.readings.astype(np.float32),
            labels=cases.labels.astype(np.int8),
            size=np.array([number[name] for name in cases.size], dtype=np.int8),
            heat_source=np.array([number[name] - first for name in cases.heat_source], dtype=np.int8),
            ambient=cases.ambient.astype(np.float32),
            failed=cases.failed,
        )

    @classmethod
    def joined(cls, parts: Sequence["Bank"]) -> "Bank":
        """Return several banks as one, in this order."""
        return cls(*(np.concatenate([getattr(part, each.name) for part in parts]) for each in fields(cls)))

    def first(self, count: int) -> "Bank":
        """Return the first cases alone."""
        return type(self)(*(getattr(self, each.name)[:count] for each in fields(self)))

    @cached_property
    def nbytes(self) -> int:
        """Memory it takes [B]."""
        return sum(getattr(self, each.name).nbytes for each in fields(self))


def numbers_of(label: Label) -> tuple[int, int]:
    """Return the row of `Bank.labels` for a label."""
    first, *second = (list(FAULTS).index(name) for name in label)
    return first, second[0] if second else -1


def label_of(numbers: Sequence[int]) -> Label:
    """Return the names for a row of `Bank.labels`."""
    return tuple(list(FAULTS)[number] for number in numbers if number >= 0)


# --- drawing ----------------------------------------------------------------------------------------------


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
    parts = []
    for block in range(-(-count // BLOCK)):
        in_block = min(BLOCK, count - block * BLOCK)
        parts.append(
            _draw(_generator(seed, block), in_block, sizes, heat_sources, wanted, pair_share, ambients)
        )
    return parts[0] if len(parts) == 1 else _joined(parts)


def _check(sizes, heat_sources, wanted, pair_share):
    for name, given, known in (("size", sizes, SIZES), ("heat source", heat_sources, HEAT_SOURCES)):
        for one in given:
            if one not in known:
                raise InputError(f"There is no {name} “{one}”; there are {', '.join(known)}.")
    known = {label for size in sizes for source in heat_sources for label in sum(labels(size, source), ())}
    for label in wanted or ():
        if label not in known:
            raise InputError(
                f"{' with '.join(label)} is no explanation of a case on {', '.join(heat_sources)}; write "
                "one fault or a pair of faults that occur there, in the order of the catalogue."
            )
    if not 0.0 <= pair_share <= 1.0:
        raise InputError(f"pair_share is {pair_share}; it must be from 0 to 1.")


def _generator(seed: int, block: int) -> np.random.Generator:
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence(seed, spawn_key=(block,))))


def _joined(parts: Sequence[Cases]) -> Cases:
    rows = [each.name for each in fields(Cases) if each.name != "situation"]
    situation = {
        name: np.concatenate([part.situation[name] for part in parts]) for name in parts[0].situation
    }
    return Cases(situation=situation, **{n: np.concatenate([getattr(p, n) for p in parts]) for n in rows})


def _draw(random, count, sizes, heat_sources, wanted, pair_share, ambients) -> Cases:
    drawn = int(np.ceil(count * _SPARE)) + 20
    size = np.asarray(sizes)[random.integers(len(sizes), size=drawn)]
    shares = np.array([SOURCE_SHARES[source] for source in heat_sources])
    heat_source = np.asarray(heat_sources)[random.choice(len(shares), drawn, p=shares / shares.sum())]
    numbers = _draw_labels(random, size, heat_source, wanted, pair_share)
    severities = random.random((drawn, 2))
    severities[:, 1][numbers[:, 1] < 0] = 0.0
    ambient = random.uniform(*ambients, drawn)
    situation = _with_faults(_usual(random, size, heat_source, numbers), numbers, severities)
    situation["heat_input"] = _heat(situation, size, heat_source)
    readings, failed, found = _true_readings(situation, size, heat_source, ambient)
    cases = Cases(numbers, severities, size, heat_source, ambient, situation, readings, failed)
    kept = np.flatnonzero(found)[:count]
    if kept.size < count:
        raise RuntimeError(f"only {kept.size} of {drawn} cases have a steady state")
    return cases._select(kept)


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


def _usual(random, size, heat_source, numbers) -> dict[str, np.ndarray]:
    """Draw good installations, no two alike."""
    count = size.size

    def between(lowest, highest):
        return random.uniform(lowest, highest, count)

    def of(quantity):
        return np.select([size == name for name in SIZES], [_CABINETS[quantity][name] for name in SIZES])

    outlet_height = np.select(
        [size == name for name in SIZES],
        [_CABINETS[f"{USUAL_OUTLET[name]}_outlet_height"][name] for name in SIZES],
    )
    on = {source: heat_source == source for source in HEAT_SOURCES}
    power = np.where(on["battery"], of("battery_heat_input"), of("heat_input"))
    nominal = np.where(on["battery"], nominal_voltage("battery"), nominal_voltage("mains"))
    rear_gap = between(0.014, 0.0254)
    of_fans = [number for number, fault in enumerate(FAULTS.values()) if fault.needs_fan]
    fan = (random.random(count) < _FAN_SHARE) | np.isin(numbers, of_fans).any(axis=1)
    return {
        "top_gap": np.zeros(count),
        "side_gap": between(0.002, 0.0064),
        "rear_gap": rear_gap,
        "baffle_gap": between(0.0064, 0.0127),
        "lower_vent_area": of("lower_vent_area") * between(0.92, 1.10),
        "upper_vent_area": of("upper_vent_area") * between(0.92, 1.10),
        "lower_vent_blocked": between(0.0, 0.12),
        "upper_vent_blocked": between(0.0, 0.12),
        "fin_fouling": between(0.0, 0.10),
        "pocket_opening": between(0.0, 0.008),
        "outlet_height": outlet_height * between(0.9, 1.15),
        "wind_pressure": between(-0.05, 0.15),
        "recirculation": between(0.0, 0.04),
        "side_tilt": np.radians(between(-1.2, 1.2)),
        "front_tilt": np.radians(between(-2.0, 2.0)),
        "circulation": np.ones(count),
        "charge_pressure": of("charge_pressure") * between(0.98, 1.03),
        "boiler_insulation": between(0.93, 1.0),
        "door_seal": between(0.0, 0.04),
        "load": between(0.0, 4.0),
        "frost": between(0.0, 0.015),
        "fan_pressure": np.where(fan, between(8.0, 20.0), 0.0),
        "fan_free_flow": between(0.8, 1.2) * 0.6 * of("upper_vent_area"),
        "fan_state": np.where(fan, faults.FAN_UP, faults.FAN_NONE).astype(float),
        "voltage": nominal * between(0.965, 1.025),
        "resistance": nominal**2 / power * between(0.96, 1.03),
        "fuse": np.full(count, float(faults.FUSE_GOOD)),
        "gas_pressure": _NOMINAL_GAS * between(0.95, 1.05),
        "burner": between(0.95, 1.03),
        "setting": between(273.5, 277.6),
        "sensor_offset": between(-0.6, 0.6),
        "swing": between(2.0, 8.0),
        "food_place": np.full(count, float(faults.LOAD_USUAL)),
        "residue": np.zeros(count),
    }


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


def _heat(situation, size, heat_source):
    """Heat of heater or gas [W]."""
    gas = np.select([size == name for name in SIZES], [_CABINETS["gas_heat_input"][name] for name in SIZES])
    burnt = gas * heat_share("gas", situation["gas_pressure"] / _NOMINAL_GAS) * situation["burner"]
    return np.where(heat_source == "gas", burnt, situation["voltage"] * heater_current(situation))


def _installation(size, heat_source, situation, **changes) -> Installation:
    chosen = {name: values for name, values in situation.items() if name in _INSTALLED} | changes
    fan = Fan(situation["fan_pressure"], situation["fan_free_flow"])
    return Installation.of(size, heat_source=heat_source, fan=fan, **chosen)


# --- what the readings would be ---------------------------------------------------------------------------


def _true_readings(situation, size, heat_source, ambient):
    """Return the readings of all cases, which have failed, and which were found."""
    whole_width = np.select([size == name for name in SIZES], [_CABINETS["width"][name] for name in SIZES])
    shut, area, load = (situation[name] for name in ("lower_vent_blocked", "lower_vent_area", "load"))
    nothing = np.zeros_like(ambient)
    # as it stands through the day, with the lower vent taken off, and in a night without openings
    stands = _installation(
        size,
        heat_source,
        situation,
        lower_vent_blocked=np.stack([shut, shut, shut, nothing, shut]),
        lower_vent_area=np.stack([area, area, area, whole_width * _PANEL_HEIGHT, area]),
        load=np.stack([load, load, load, load, nothing]),
    )
    afternoon, mean_of_day, night = felt_day(ambient, situation["swing"])
    states = steady_state(stands, np.stack([afternoon, mean_of_day, night, ambient, night]))
    known = Known(situation, whole_width, stands, states)
    readings = [
        np.where(np.isin(heat_source, reading.heat_sources), reading.truth(known), np.nan)
        for reading in READINGS.values()
    ]
    return np.stack(readings, axis=-1).astype(float), known.at_mean("failed"), states.converged.all(axis=0)


# --- making and keeping -----------------------------------------------------------------------------------


def make(
    count: int = COUNT,
    seed: int = SEED,
    *,
    cluster: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Bank:
    """Make a bank.

    Parameters
    ----------
    count : int
        Cases.
    seed : int
        The same seed gives the same bank, whoever draws which block of it.
    cluster : str, optional
        Address of a dask scheduler whose workers draw the blocks; they need Warmside too.
    progress : callable, optional
        Called with how many blocks are done and how many there are.

    Returns
    -------
    Bank

    Raises
    ------
    InputError
        If the cluster can't be used.
    """
    blocks = -(-count // BLOCK)
    parts: list[Bank | None] = [None] * blocks
    here = ((block, make_block(seed, block)) for block in range(blocks))
    drawn = _on_cluster(cluster, seed, blocks) if cluster else here
    for done, (block, part) in enumerate(drawn, start=1):
        parts[block] = part
        if progress:
            progress(done, blocks)
    return Bank.joined(parts).first(count)


def make_block(seed: int, block: int) -> Bank:
    """Return one block of a bank; it is the same wherever it is drawn."""
    return Bank.of(_draw(_generator(seed, block), BLOCK, SIZES, HEAT_SOURCES, None, PAIR_SHARE, AMBIENTS))


def _on_cluster(address, seed, blocks):
    try:
        from distributed import Client, as_completed
    except ImportError:
        raise InputError("A cluster needs dask; install it with pip install 'warmside[cluster]'.") from None
    try:
        client = Client(address, timeout=20)
    except (OSError, ValueError, TimeoutError):
        raise InputError(
            f"No dask scheduler answers at {address!r}; give the address of one, as in tcp://10.0.0.5:8786."
        ) from None
    with client:
        futures = client.map(make_block, [seed] * blocks, range(blocks), pure=False)
        numbers = {future.key: block for block, future in enumerate(futures)}
        for future, part in as_completed(futures, with_results=True):
            yield numbers[future.key], part


_PACKAGE = Path(__file__).parents[1]
_MADE_FROM = ("data/*.toml", "model/*.py", "properties/*", "diagnosis/[frb]*.py")


def version(count: int = COUNT, seed: int = SEED, package: Path = _PACKAGE) -> str:
    """Return a name that changes with all that a bank is made from: tables, model, faults, readings."""
    made_from = hashlib.sha256(f"{count} {seed} {np.__version__}".encode())
    for pattern in _MADE_FROM:
        for file in sorted(package.glob(pattern)):
            if file.is_file():
                made_from.update(file.name.encode() + file.read_bytes())
    return made_from.hexdigest()[:16]


def load_bank(
    count: int = COUNT,
    seed: int = SEED,
    *,
    folder: Path | None = None,
    cluster: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Bank:
    """Return the bank from the cache folder; make it first where it isn't there, is old or is damaged.

    Parameters
    ----------
    count, seed, cluster, progress
        As in `make`.
    folder : pathlib.Path, optional
        Where it is kept; the user's cache folder by default.

    Returns
    -------
    Bank
    """
    folder = folder or platformdirs.user_cache_path("warmside", appauthor=False)
    file = folder / f"bank-{count}-{version(count, seed)}.npz"
    try:
        return _read(file, count)
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        pass
    bank = make(count, seed, cluster=cluster, progress=progress)
    try:
        _write(bank, file)
    except OSError:  # a full disk or a folder that can't be written: it is made anew next time
        return bank
    for older in folder.glob(f"bank-{count}-*.npz"):
        if older != file:
            older.unlink(missing_ok=True)
    return bank


@cache
def usual_bank() -> Bank:
    """Return the bank that inference uses unless it is given another."""
    return load_bank()


def _read(file: Path, count: int) -> Bank:
    with np.load(file, allow_pickle=False) as stored:
        bank = Bank(**{each.name: stored[each.name] for each in fields(Bank)})
    if bank.readings.shape != (count, len(READINGS)) or bank.labels.shape != (count, 2):
        raise ValueError("another bank")
    return bank


def _write(bank: Bank, file: Path) -> None:
    """Write the whole file or nothing."""
    file.parent.mkdir(parents=True, exist_ok=True)
    handle, scratch = tempfile.mkstemp(dir=file.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as out:
            np.savez(out, **{each.name: getattr(bank, each.name) for each in fields(Bank)})
        os.replace(scratch, file)
    except BaseException:
        Path(scratch).unlink(missing_ok=True)
        raise
