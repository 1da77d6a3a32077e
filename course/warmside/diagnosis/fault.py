"""What a fault is: all that the course says of one thing that can be wrong, in one entry.

`warmside.diagnosis.fault_table` holds the entries, `warmside.diagnosis.faults` what follows from them.
"""

import math
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

import numpy as np

from warmside.diagnosis.fault_effects import Effect
from warmside.errors import InputError
from warmside.hazards import cautions_of, check_works, in_order, not_for_owner
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES


@dataclass(frozen=True)
class Listed:
    """What a list offers to choose from.

    Attributes
    ----------
    code : str
        What one types to choose it; it stays the same when the list grows.
    title : str
        What it says.
    """

    code: str
    title: str


GROUPS: Mapping[str, Listed] = MappingProxyType(
    {
        "none": Listed("a", "Nothing is wrong."),
        "installation": Listed("b", "In the installation: air, vents, gaps, fins, fan, level."),
        "heat source": Listed("c", "In the heat source: mains, battery or gas."),
        "control": Listed("d", "In the control."),
        "use": Listed("e", "In how it is used, or the door."),
        "unit": Listed("f", "In the cooling unit, or the insulation of its boiler."),
    }
)
"""Where a fault can lie."""

REMEDIES: Mapping[str, Listed] = MappingProxyType(
    {
        "explain": Listed("a", "Nothing to mend: explain what it can do on which day."),
        "clear": Listed("b", "Clear or clean: vents, fins."),
        "build": Listed("c", "Build: baffle, lining behind, gaps closed, a shield at a vent."),
        "fan": Listed("d", "See to the fan."),
        "level": Listed("e", "Level the vehicle."),
        "electric": Listed("f", "Have the electric supply or the heater mended by licensed people."),
        "gas": Listed("g", "Have gas, ignition, burner or flue seen to by a qualified gas technician."),
        "use": Listed("h", "See to load, setting, frost or the door's seal."),
        "insulate": Listed("i", "Renew the insulation round the boiler."),
        "new unit": Listed("j", "Replace the cooling unit."),
        "control": Listed("k", "See to the control, its sensor or its supply of 12 V."),
    }
)
"""Kinds of remedies."""

FIRST_STEPS: Mapping[str, Listed] = MappingProxyType(
    {
        "usual": Listed("a", "Nothing beyond the stop signs, which are asked for at every job."),
        "dead": Listed("b", "Power off at the supply, battery's negative post off, and prove it dead."),
        "gas off": Listed("c", "Gas off, no flame; leave it to a qualified gas technician."),
        "cool": Listed("d", "Gas off and power off, and let it cool: hot tubes, sharp fins. Gloves."),
        "stand": Listed("e", "See to a safe stand: ladder secured, not alone, not in wind or wet."),
        "level": Listed("f", "Switch it off until it stands level; chock the wheels."),
        "sealed": Listed("g", "Gas off and power off, and never open the sealed unit."),
        "blunt": Listed("h", "No sharp tools, no flame and no heat gun."),
    }
)
"""What comes first, for safety."""
ISOLATES = "cool"
"""The one of `FIRST_STEPS` that isolates all, and so is right wherever anything can hurt."""

COSTS = ("free", "small", "hours of work", "cooling unit")


@dataclass(frozen=True)
class Noticed:
    """What an owner notices of a fault, in words that don't name it.

    Attributes
    ----------
    words : tuple of str
        One of these is said.
    by_the_hour : tuple of str
        So may be one of these, where it is neither cold nor warm for good.
    """

    words: tuple[str, ...]
    by_the_hour: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False, kw_only=True)
class Fault:
    """One thing that can be wrong.

    Attributes
    ----------
    name, title : str
        What code and what the trade call it.
    code : str
        Two to four letters that trainees type for it; no other fault has them, and they never change.
    group : str
        Where it belongs, one of `GROUPS`.
    effect : callable
        ``effect(severity, situation)``: the entries of the situation that it changes, as arrays of the
        shape of `severity`, which runs from 0, just worth calling a fault, to 1.
    prior : float
        How often it is met among refrigerators brought in as not cooling, relative to the others. Invented.
    remedy : str
        What puts it right.
    remedy_kind : str
        One of `REMEDIES`.
    cost : str
        One of `COSTS`.
    first_steps : tuple of str
        What comes first, for safety: any of these `FIRST_STEPS` is right.
    works : tuple of str
        What its remedy takes, by names of `warmside.hazards.WORK`: cautions, and what isn't for owners,
        follow from these.
    stop_signs : tuple of str
        Names of the stop signs that may come with it.
    noticed : Noticed or None
        What the owner says of it; without it, what is true of any fault that occurs where this one does.
    heat_sources, sizes : tuple of str
        Where it can occur.
    needs_fan : bool
        Whether it can occur only where a fan is fitted.
    leaves_no_heat : bool
        Whether the unit gets no heat at all: what else is wrong shows only once it runs again, so that no
        pair is made with it.
    """

    name: str
    code: str
    title: str
    group: str
    effect: Effect
    prior: float
    remedy: str
    remedy_kind: str
    cost: str
    first_steps: tuple[str, ...]
    works: tuple[str, ...] = ()
    stop_signs: tuple[str, ...] = ()
    noticed: Noticed | None = None
    heat_sources: tuple[str, ...] = HEAT_SOURCES
    sizes: tuple[str, ...] = SIZES
    needs_fan: bool = False
    leaves_no_heat: bool = False

    def __post_init__(self) -> None:
        """Refuse what no fault can be, in one sentence."""
        if not re.fullmatch(r"[a-z]{2,4}", self.code):
            raise InputError(f"fault {self.name}: its code is “{self.code}”; write two to four letters a-z.")
        if not 0.0 <= self.prior < math.inf:
            raise InputError(f"fault {self.name}: its prior is {self.prior!r}; write a number from 0 on.")
        for what, given, known in (
            ("group", (self.group,), GROUPS),
            ("cost", (self.cost,), COSTS),
            ("remedy_kind", (self.remedy_kind,), REMEDIES),
            ("first_steps", self.first_steps, FIRST_STEPS),
            ("heat_sources", self.heat_sources, HEAT_SOURCES),
            ("sizes", self.sizes, SIZES),
        ):
            if not given:
                raise InputError(f"fault {self.name}: {what} is empty; write one of {', '.join(known)}.")
            for one in given:
                if one not in known:
                    there = ", ".join(known)
                    raise InputError(f"fault {self.name}: {what} has no “{one}”; there are {there}.")
        check_works(self.works, f"fault {self.name}")
        in_order(self.stop_signs)

    def cautions(self, heat_source: str) -> tuple[str, ...]:
        """Return what can hurt where it is put right, on this heat source."""
        return cautions_of(self.works, heat_source)

    def not_for_owner(self, heat_source: str) -> tuple[str, ...]:
        """Return what an owner must leave to others, on this heat source; none where all is theirs to do."""
        return not_for_owner(self.works, heat_source)

    @cached_property
    def touches(self) -> frozenset[str]:
        """Names of the entries that it changes."""
        anything: Mapping[str, np.ndarray] = defaultdict(lambda: np.ones(1))
        return frozenset(self.effect(np.full(1, 0.5), anything))


class Catalogue(Mapping[str, Fault]):
    """Faults by name, in the order in which they were added; those that follow from it look here each time.

    Parameters
    ----------
    *faults : Fault
        The first ones.
    """

    def __init__(self, *faults: Fault) -> None:
        self._faults: dict[str, Fault] = {}
        for fault in faults:
            self.add(fault)

    def add(self, fault: Fault) -> None:
        """Add a fault.

        Raises
        ------
        InputError
            If another one has its name, its code or its title.
        """
        for other in self._faults.values():
            for what in ("name", "code", "title"):
                if getattr(fault, what) == getattr(other, what):
                    raise InputError(
                        f"fault {fault.name}: {other.name} has the {what} “{getattr(other, what)}” already; "
                        "give it another."
                    )
        self._faults[fault.name] = fault

    def __getitem__(self, name: str) -> Fault:
        """Return the fault of a name."""
        return self._faults[name]

    def __iter__(self) -> Iterator[str]:
        """Go through the names."""
        return iter(self._faults)

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._faults)

    def of_code(self, code: str) -> Fault:
        """Return the fault of a code; KeyError if there is none."""
        return {fault.code: fault for fault in self._faults.values()}[code]
