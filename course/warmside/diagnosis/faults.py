"""What can be wrong with a refrigerator that doesn't cool, and how each of it enters the model.

A `Fault` changes a situation: a mapping of names to arrays, the fields of `Installation` together with what
sets the heat and what a technician can see (`warmside.diagnosis.bank` draws it). Severity runs from 0, just
worth calling a fault, to 1. How often each is met is invented and marked so: pass other priors where your
own books say otherwise.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from types import MappingProxyType

import numpy as np

from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES, NO_BAFFLE, SIZES

Situation = Mapping[str, np.ndarray]
Label = tuple[str, ...]
"""What is wrong: the name of one fault or of two, in the order of `FAULTS`; ``("none",)`` for nothing."""

GROUPS = ("none", "installation", "heat source", "control", "use", "unit")
COSTS = ("free", "small", "hours of work", "cooling unit")
FUSE_GOOD, FUSE_OPEN, FUSE_WRONG = 0, 1, 2
FAN_NONE, FAN_UP, FAN_STOPPED, FAN_DOWN = 0, 1, 2, 3
LOAD_USUAL, LOAD_HEAVY, LOAD_AT_FINS = 0, 1, 2
OPEN_CIRCUIT = 1e4
"""What an open heater counts as [ohm]."""
PAIR_PRIOR = 0.1
"""How often two things are wrong at once. Invented."""

_GAS = "Gas work is for a qualified gas technician: no flame or switch when it smells of gas."
_MAINS = "Unplug and prove dead first; live measurements and repairs are for licensed people."
_SEALED = (
    "Never open, drill, heat or weld the sealed unit: ammonia is toxic, hydrogen burns, both are at 12 to "
    "25 bar."
)
_HOT = "Tubes and boiler come near 200 °C, fins are sharp: let it cool, wear gloves."
_ROOF = "Mind ladder and roof edge."


@dataclass(frozen=True, eq=False)
class Fault:
    """One thing that can be wrong.

    Attributes
    ----------
    name, title : str
        What code and what the trade call it.
    group : str
        Where it belongs, one of `GROUPS`.
    effect : callable
        ``effect(severity, situation)``: the entries of the situation that it changes, as arrays of the
        shape of `severity`, which runs from 0 to 1.
    remedy : str
        What puts it right.
    cost : str
        One of `COSTS`.
    caution : str
        What can hurt; empty where nothing does.
    not_for_owner : str
        What an owner must leave to others; empty where it is theirs to do.
    prior : float
        How often it is met among refrigerators brought in as not cooling, relative to the others. Invented.
    heat_sources, sizes : tuple of str
        Where it can occur.
    needs_fan : bool
        Whether it can occur only where a fan is fitted.
    """

    name: str
    title: str
    group: str
    effect: Callable[[np.ndarray, Situation], dict[str, np.ndarray]]
    remedy: str
    cost: str
    caution: str
    not_for_owner: str
    prior: float
    heat_sources: tuple[str, ...] = HEAT_SOURCES
    sizes: tuple[str, ...] = SIZES
    needs_fan: bool = False

    @cached_property
    def touches(self) -> frozenset[str]:
        """Names of the entries that it changes."""
        anything = defaultdict(lambda: np.ones(1))
        return frozenset(self.effect(np.full(1, 0.5), anything))


def _from_to(name: str, mild: float, severe: float):
    """Return an effect that sets an entry between two values."""
    return lambda severity, situation: {name: mild + (severe - mild) * severity}


def _times(name: str, mild: float, severe: float):
    """Return an effect that multiplies an entry by a factor between two values."""
    return lambda severity, situation: {name: situation[name] * (mild + (severe - mild) * severity)}


def _nothing(severity, situation):
    return {}


def _baffle(severity, situation):
    # the milder half stands too far off, the other half isn't there
    return {"baffle_gap": np.where(severity < 0.5, 0.022 + 0.04 * severity, NO_BAFFLE)}


def _too_deep(severity, situation):
    # a baffle made for the usual depth stops short of the fins by as much
    deeper = 0.035 + 0.10 * severity
    return {
        "rear_gap": situation["rear_gap"] + deeper,
        "baffle_gap": situation["baffle_gap"] + 0.6 * deeper,
    }


def _fan_dead(severity, situation):
    return {
        "fan_pressure": np.zeros_like(severity),
        "fan_state": np.full_like(severity, FAN_STOPPED),
    }


def _fan_backwards(severity, situation):
    return {
        "fan_pressure": np.zeros_like(severity),
        "wind_pressure": -0.5 - 1.5 * severity,  # what it blows against the draught
        "fan_state": np.full_like(severity, FAN_DOWN),
    }


def _heater_open(severity, situation):
    return {"resistance": np.full_like(severity, OPEN_CIRCUIT)}


def _fuse(severity, situation):
    # a wrong one carries on, and protects nothing
    return {"fuse": np.where(severity < 0.3, FUSE_WRONG, FUSE_OPEN).astype(float)}


def _burner(severity, situation):
    return {"burner": np.where(severity < 0.85, 0.82 - 0.4 * severity, 0.0)}


def _level(severity, situation):
    # two in three lean to the side, the others to the front; both ways
    share = np.mod(3.0 * severity, 1.0)
    leans = np.radians(np.where(severity < 2.0 / 3.0, 3.6 + 2.8 * share, 7.2 + 5.0 * share))
    to_side = severity < 2.0 / 3.0
    return {
        "side_tilt": np.where(to_side, leans, situation["side_tilt"]),
        "front_tilt": np.where(to_side, situation["front_tilt"], leans),
    }


def _load(severity, situation):
    # food against the fins stops the air there: counted as heat like an overload
    return {
        "load": 10.0 + 25.0 * severity,
        "food_place": np.where(np.mod(4.0 * severity, 1.0) < 0.7, LOAD_HEAVY, LOAD_AT_FINS).astype(float),
    }


def _thermostat(severity, situation):
    # set warm, or a sensor that feels colder than the food is
    warmer = 4.5 + 7.0 * np.mod(2.0 * severity, 1.0)
    set_warm = severity < 0.5
    return {
        "setting": np.where(set_warm, 277.0 + warmer, situation["setting"]),
        "sensor_offset": np.where(set_warm, situation["sensor_offset"], warmer),
    }


def _charge(severity, situation):
    # a leak large enough leaves its mark
    return {
        "charge_pressure": situation["charge_pressure"] * (0.80 - 0.30 * severity),
        "residue": np.where(severity > 0.4, 2.0, np.where(severity > 0.2, 1.0, 0.0)),
    }


_ELECTRIC, _FIELD = ("mains", "battery"), "installation"

FAULTS: Mapping[str, Fault] = MappingProxyType(
    {
        fault.name: fault
        for fault in (
            Fault(
                "none",
                "Nothing wrong",
                "none",
                _nothing,
                "Explain what the rating means; re-test on a hotter day if in doubt.",
                "free",
                "",
                "",
                10.0,
            ),
            Fault(
                "lower_vent_blocked",
                "Lower vent blocked",
                _FIELD,
                _from_to("lower_vent_blocked", 0.45, 0.92),
                "Clear nests, screens, winter covers and stuffed insulation from the lower vent.",
                "free",
                "",
                "",
                7.0,
            ),
            Fault(
                "upper_vent_blocked",
                "Upper vent or roof outlet blocked",
                _FIELD,
                _from_to("upper_vent_blocked", 0.45, 0.92),
                "Clear the upper vent or the roof outlet, cap and screen.",
                "free",
                _ROOF,
                "Work on the roof without a safe stand.",
                7.0,
            ),
            Fault(
                "baffle_missing",
                "Baffle missing or too far from the fins",
                _FIELD,
                _baffle,
                "Fit a sheet-metal baffle, its edge 1/4 to 1/2 in from the fins.",
                "small",
                f"{_HOT} Nothing that burns near the flue.",
                "",
                8.0,
            ),
            Fault(
                "cavity_too_deep",
                "Space behind the refrigerator too deep",
                _FIELD,
                _too_deep,
                "Line the back wall so that at most 1 in is left behind the tubes; bring the baffle up.",
                "hours of work",
                f"{_HOT} Nothing that burns near the flue.",
                "",
                6.0,
            ),
            Fault(
                "pocket_open",
                "Space over the top open to the warm side",
                _FIELD,
                _from_to("pocket_opening", 0.04, 0.24),
                "Close the space over the cabinet off from the warm side.",
                "small",
                _HOT,
                "",
                5.0,
            ),
            Fault(
                "side_gaps",
                "Gaps beside the cabinet",
                _FIELD,
                _from_to("side_gap", 0.010, 0.030),
                "Close the gaps at the sides with insulation that stays out of the air path.",
                "small",
                "",
                "",
                5.0,
            ),
            Fault(
                "fins_fouled",
                "Condenser fins fouled",
                _FIELD,
                _from_to("fin_fouling", 0.27, 0.65),
                "Brush and vacuum the fins; keep water off burner and electrics.",
                "small",
                _HOT,
                "",
                5.0,
            ),
            Fault(
                "fan_dead",
                "Fan dead",
                _FIELD,
                _fan_dead,
                "Check its fuse, sensor and plug; fit a fan that gives at least what it gave.",
                "small",
                "",
                "",
                4.0,
                needs_fan=True,
            ),
            Fault(
                "fan_backwards",
                "Fan blows down or into the draught",
                _FIELD,
                _fan_backwards,
                "Turn the fan or its two wires so that it blows up and out.",
                "free",
                "",
                "",
                2.0,
                needs_fan=True,
            ),
            Fault(
                "out_of_level",
                "Out of level now",
                _FIELD,
                _level,
                "Level the vehicle; let it stand some hours before judging.",
                "free",
                "Switch it off until it stands level: a boiler that cooks unlevel ruins the unit.",
                "",
                4.0,
            ),
            Fault(
                "low_voltage",
                "Low voltage at the heater",
                "heat source",
                _times("voltage", 0.945, 0.79),
                "Mend cable, plug, connection or supply; run on gas meanwhile.",
                "small",
                _MAINS,
                "Measurements and repairs on mains circuits.",
                6.0,
                heat_sources=_ELECTRIC,
            ),
            Fault(
                "half_heater",
                "One of two heating elements open",
                "heat source",
                _times("resistance", 1.9, 2.1),
                "Replace the heater, and find why it failed.",
                "small",
                _MAINS,
                "Measurements and repairs on mains circuits.",
                4.0,
                heat_sources=("mains",),
                sizes=("eight", "eighteen"),
            ),
            Fault(
                "heater_dead",
                "Heating element dead",
                "heat source",
                _heater_open,
                "Replace the heater with one of the same rating.",
                "small",
                _MAINS,
                "Measurements and repairs on mains circuits.",
                4.0,
                heat_sources=_ELECTRIC,
            ),
            Fault(
                "fuse",
                "Fuse blown, or a wrong one in the holder",
                "heat source",
                _fuse,
                "Find why it blew; fit a fuse of the right rating in volts and amperes.",
                "small",
                f"{_MAINS} An automotive fuse must not stand in a mains circuit.",
                "Fuses of mains circuits.",
                4.0,
                heat_sources=_ELECTRIC,
            ),
            Fault(
                "gas_pressure_low",
                "Gas pressure low",
                "heat source",
                _times("gas_pressure", 0.78, 0.35),
                "Have regulator, hoses and valves checked and set under load.",
                "small",
                _GAS,
                "Regulator, leak test and any gas fitting.",
                4.0,
                heat_sources=("gas",),
            ),
            Fault(
                "burner_weak",
                "Burner weak or out",
                "heat source",
                _burner,
                "Have burner, orifice and flue cleaned and the flame checked.",
                "small",
                f"{_GAS} A fouled flue makes carbon monoxide: keep it sealed from the living space, and an "
                "alarm there.",
                "Burner, orifice and flue.",
                7.0,
                heat_sources=("gas",),
            ),
            Fault(
                "boiler_insulation_lost",
                "Insulation of the boiler lost",
                "unit",
                _from_to("boiler_insulation", 0.68, 0.38),
                "Renew the mineral wool round the boiler and its cover.",
                "hours of work",
                f"{_HOT} {_SEALED}",
                "The boiler and what is round it.",
                2.0,
            ),
            Fault(
                "circulation_blocked",
                "Circulation blocked for good",
                "unit",
                _from_to("circulation", 0.60, 0.0),
                "Replace the cooling unit, and see to it that it stands level.",
                "cooling unit",
                _SEALED,
                "The sealed unit.",
                3.0,
            ),
            Fault(
                "charge_lost",
                "Charge lost",
                "unit",
                _charge,
                "Replace the cooling unit: it can't be recharged in the field.",
                "cooling unit",
                f"{_SEALED} Where it smells of ammonia: air the place, shut off heat and power, keep out.",
                "The sealed unit.",
                3.0,
            ),
            Fault(
                "door_seal",
                "Door seal leaks",
                "use",
                _from_to("door_seal", 0.18, 0.60),
                "Clean, warm and straighten the seal or renew it; set the hinges.",
                "small",
                "",
                "",
                6.0,
            ),
            Fault(
                "heavy_load",
                "Overloaded, or food against the fins",
                "use",
                _load,
                "Load cold food into a cold box, with room for air; keep the fins free.",
                "free",
                "",
                "",
                7.0,
            ),
            Fault(
                "frost",
                "Fins in the food compartment frosted over",
                "use",
                _from_to("frost", 0.05, 0.20),
                "Defrost by hand, no sharp tools; find where moist air comes in.",
                "free",
                "No sharp tools, no flame, no heat gun on the fins.",
                "",
                4.0,
            ),
            Fault(
                "thermostat",
                "Thermostat set warm, or its sensor out of place",
                "control",
                _thermostat,
                "Set it colder, clip the sensor back where it belongs.",
                "free",
                "",
                "",
                5.0,
            ),
        )
    }
)


def title_of(label: Label) -> str:
    """Return what is wrong in the trade's words, such as ``"Fan dead, and side gaps"``."""
    first, *others = (FAULTS[name].title for name in label)
    return ", and ".join([first, *(other[0].lower() + other[1:] for other in others)])


def possible(size: str, heat_source: str) -> tuple[str, ...]:
    """Return the names of the faults that a refrigerator of this size can have on this heat source."""
    return tuple(
        fault.name for fault in FAULTS.values() if size in fault.sizes and heat_source in fault.heat_sources
    )


def labels(size: str, heat_source: str) -> tuple[tuple[Label, ...], tuple[Label, ...]]:
    """Return what can be wrong: the single faults, and the pairs.

    Pairs are two faults of the installation, one of these with one of the heat source, and one of use with
    either; not two that are the same thing, such as a fan that stands still and blows down.
    """
    names = possible(size, heat_source)
    pairs = tuple((a, b) for a, b in combinations(names, 2) if _go_together(FAULTS[a], FAULTS[b]))
    return tuple((name,) for name in names), pairs


_PAIRS = (
    {"installation"},
    {"installation", "heat source"},
    {"use", "installation"},
    {"use", "heat source"},
)


def _go_together(a: Fault, b: Fault) -> bool:
    groups = {a.group, b.group}
    return groups in _PAIRS and not (a.needs_fan and b.needs_fan)


def prior(
    size: str,
    heat_source: str,
    priors: Mapping[str, float] | None = None,
    pair_prior: float = PAIR_PRIOR,
) -> dict[Label, float]:
    """How likely each explanation is before anything was read.

    Parameters
    ----------
    size, heat_source : str
        Of the refrigerator.
    priors : mapping of str to float, optional
        How often faults are met, relative to each other, in place of the invented values of the catalogue;
        faults left out keep theirs.
    pair_prior : float
        Share of cases in which two things are wrong.

    Returns
    -------
    dict of Label to float
        They sum to 1. A pair's is in proportion to the product of its faults'.

    Raises
    ------
    InputError
        If a fault is unknown, or a prior is no number from 0 on, or all are 0.
    """
    given = dict(priors or {})
    for name, value in given.items():
        if name not in FAULTS:
            raise InputError(f"priors: there is no fault “{name}”; there are {', '.join(FAULTS)}.")
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value < np.inf:
            raise InputError(f"priors: {value!r} was read for {name}; write a number from 0 on.")
    weight = {name: float(given.get(name, FAULTS[name].prior)) for name in FAULTS}
    singles, pairs = labels(size, heat_source)
    one = {label: weight[label[0]] for label in singles}
    two = {label: weight[label[0]] * weight[label[1]] for label in pairs}
    if not sum(one.values()):
        raise InputError("priors: every fault has 0; give at least one of them more.")
    pair_share = pair_prior if sum(two.values()) else 0.0
    shares = {label: (1.0 - pair_share) * value / sum(one.values()) for label, value in one.items()}
    if pair_share:
        shares |= {label: pair_share * value / sum(two.values()) for label, value in two.items()}
    return shares
