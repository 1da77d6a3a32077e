"""A bank of simulated cases: what each reading would truly be, for all that can be wrong.

`drawing` draws the cases, `solving` has the model say what would be read, `storing` keeps the bank. What
stands in it has no meter's error; inference adds it.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np

from warmside.diagnosis import drawing
from warmside.diagnosis.drawing import Cases, draw_block
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES

COUNT = 240_000
"""Cases in the usual bank."""
SEED = 20_270_313


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
    blocks = -(-count // drawing.BLOCK)
    parts: dict[int, Bank] = {}
    here = ((block, make_block(seed, block)) for block in range(blocks))
    drawn = _on_cluster(cluster, seed, blocks) if cluster else here
    for done, (block, part) in enumerate(drawn, start=1):
        parts[block] = part
        if progress:
            progress(done, blocks)
    return Bank.joined([parts[block] for block in range(blocks)]).first(count)


def make_block(seed: int, block: int) -> Bank:
    """Return one block of a bank; it is the same wherever it is drawn."""
    return Bank.of(draw_block(seed, block, drawing.BLOCK))


def _on_cluster(address: str, seed: int, blocks: int) -> Iterator[tuple[int, Bank]]:
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
