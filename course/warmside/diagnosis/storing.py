"""Keeping the bank of simulated cases in the user's cache folder, and making it where it isn't there."""

from collections.abc import Callable
from dataclasses import fields
from functools import cache
from pathlib import Path

from warmside import kept
from warmside.diagnosis.bank import COUNT, SEED, Bank, make
from warmside.diagnosis.faults import FAULTS
from warmside.diagnosis.readings import READINGS

WAITING = "Another program is simulating the cases; waiting until they are there."
MADE_BY = "warmside.diagnosis.bank"


def load_bank(
    count: int = COUNT,
    seed: int = SEED,
    *,
    folder: Path | None = None,
    cluster: str | None = None,
    progress: Callable[[int, int], None] | None = None,
    notice: Callable[[str], None] | None = None,
) -> Bank:
    """Return the bank from the cache folder; make it first where it isn't there, is old or is damaged.

    Parameters
    ----------
    count, seed, cluster, progress
        As in `make`.
    folder : pathlib.Path, optional
        Where it is kept; the user's cache folder by default.
    notice : callable, optional
        Called with a sentence when another process makes the bank and this one waits.

    Returns
    -------
    Bank
    """
    names = [each.name for each in fields(Bank)]

    def made() -> kept.Arrays:
        bank = make(count, seed, cluster=cluster, progress=progress)
        return {name: getattr(bank, name) for name in names}

    def fits(stored: kept.Arrays) -> bool:
        whole = stored.keys() >= set(names) and stored["readings"].shape == (count, len(READINGS))
        return whole and stored["labels"].shape == (count, 2)

    def waiting() -> None:
        if notice:
            notice(WAITING)

    file = (folder or kept.cache_folder()) / f"bank-{count}-{version(count, seed)}.npz"
    arrays = kept.load_or_make(file, made, fits, waiting)
    return Bank(**{name: arrays[name] for name in names})


@cache
def usual_bank() -> Bank:
    """Return the bank that inference uses unless it is given another."""
    return load_bank()


def version(count: int = COUNT, seed: int = SEED, package: Path = kept.PACKAGE) -> str:
    """Return a name that changes with all that a bank is made from.

    Parameters
    ----------
    count, seed : int
        As in `make`.
    package : pathlib.Path, optional
        The folder of the package's sources.
    """
    # faults and readings may have been added while this runs; that stands in no file
    return kept.version(MADE_BY, count, seed, *FAULTS, *READINGS, package=package)
