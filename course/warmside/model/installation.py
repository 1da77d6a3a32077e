"""A refrigerator as it stands in its enclosure: what can be measured, set and wrong about it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.errors import InputError
from warmside.model.draught import Fan

_CABINETS, _PARAMETERS = load("cabinets"), load("parameters")

SIZES = _CABINETS.columns
OUTLETS = ("wall", "roof")
HEAT_SOURCES = ("mains", "battery", "gas")
USUAL_OUTLET = {"six": "wall", "eight": "roof", "eighteen": "roof"}
NO_BAFFLE = np.inf
"""Gap of a baffle that isn't there."""

_STEEPEST = np.radians(30.0)
HEAT_INPUT = {"mains": "heat_input", "battery": "battery_heat_input", "gas": "gas_heat_input"}
"""Name of each source's nominal heat in the table of cabinets."""


class Choice:
    """One of several names, or an array of them, to look values up by.

    Parameters
    ----------
    names : str or array_like of str
        What is chosen.
    allowed : tuple of str
        The names there are.
    what : str
        What is chosen among, for the sentence that refuses another name.

    Raises
    ------
    InputError
        If a name is none of these.
    """

    def __init__(self, names: ArrayLike, allowed: tuple[str, ...], what: str):
        names = np.asarray(names)
        self._allowed = allowed
        self._index = np.full(names.shape, -1)
        for index, name in enumerate(allowed):
            self._index[names == name] = index
        if (self._index < 0).any():
            raise InputError(
                f"{what} of the installation is “{names[self._index < 0].flat[0]}”; it must be one of "
                f"{', '.join(allowed)}."
            )

    def of(self, values: Mapping[str, ArrayLike]) -> np.ndarray | float:
        """Return for each name its value; arrays of values are looked up at the name's own place."""
        listed = [values[name] for name in self._allowed]
        if self._index.ndim == 0:
            return listed[self._index]
        return np.choose(self._index, listed)


@dataclass(frozen=True, eq=False)
class Installation:
    """One refrigerator in its enclosure, or many at once.

    Make one with `Installation.of`, change it with `changed`. Every field is a number or an array; all
    broadcast. Names may be arrays of names.

    Attributes
    ----------
    size : str
        Nominal cubic feet: "six", "eight" or "eighteen".
    top_gap : float
        Height of the gap between the cabinet's top and the enclosure [m]; 0 is right.
    side_gap : float
        Gap on each side [m].
    rear_gap : float
        From the tubes to the wall behind them [m].
    baffle_gap : float
        From the baffle's edge to the fins [m]; `NO_BAFFLE`, or None on the way in, where there is none.
    lower_vent_area, upper_vent_area : float
        Free areas of the vents [m²].
    lower_vent_blocked, upper_vent_blocked : float
        Part of these that is shut, 0 to 1.
    fin_fouling : float
        Part of the way between the condenser's fins that dirt has shut, 0 to 1.
    pocket_opening : float
        Opening from the warm side to the space over the cabinet [m²]; 0 is right.
    outlet : str
        "wall" or "roof".
    outlet_height : float
        Height of the outlet above the fins [m].
    fan : Fan or None
        A fan that helps the draught; its fields may be arrays.
    wind_pressure : float
        Wind's pressure on the lower vent less that on the upper [Pa].
    recirculation : float
        Part of the air at the lower vent that has come round from the outlet, 0 to less than 1.
    heat_source : str
        "mains", "battery" or "gas".
    heat_input : float
        Electrical power, or heat rate of the gas [W].
    side_tilt, front_tilt : float
        How far out of level it stands, to the side and to the front [rad].
    circulation : float
        What blocked tubes have left of the solution's circulation, 0 to 1.
    charge_pressure : float
        Of the charge at 25 °C, standing [Pa].
    boiler_insulation : float
        What is left of the boiler's insulation, more than 0 to 1.
    door_seal : float
        Conductance of a leaking seal, added to that of the food compartment's walls [W/K]; 0 is right.
    load : float
        Heat put into the food compartment on average: warm food, a lamp, opened doors [W].
    frost : float
        Frost on the food compartment's coil [kg].
    """

    size: Any
    top_gap: Any
    side_gap: Any
    rear_gap: Any
    baffle_gap: Any
    lower_vent_area: Any
    upper_vent_area: Any
    lower_vent_blocked: Any
    upper_vent_blocked: Any
    fin_fouling: Any
    pocket_opening: Any
    outlet: Any
    outlet_height: Any
    fan: Fan | None
    wind_pressure: Any
    recirculation: Any
    heat_source: Any
    heat_input: Any
    side_tilt: Any
    front_tilt: Any
    circulation: Any
    charge_pressure: Any
    boiler_insulation: Any
    door_seal: Any
    load: Any
    frost: Any
    _given: Mapping[str, Any] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, size: str, **changes: Any) -> "Installation":
        """Return a refrigerator in good order, correctly installed, but for what is changed.

        Parameters
        ----------
        size : str
            "six", "eight" or "eighteen".
        **changes
            Fields of this class. `cavity_depth` may be given instead of `rear_gap`.

        Raises
        ------
        InputError
            One sentence, if a field is unknown, or the installation is impossible.
        """
        known = [each.name for each in fields(cls) if not each.name.startswith("_")]
        for name in changes:
            if name not in [*known, "cavity_depth"]:
                raise InputError(
                    f"An installation has no “{name}”; it has {', '.join(known)} and cavity_depth."
                )
        sizes = Choice(size, SIZES, "size")
        outlet = changes.get("outlet", sizes.of(USUAL_OUTLET))
        outlets = Choice(outlet, OUTLETS, "outlet")
        source = changes.get("heat_source", "mains")
        sources = Choice(source, HEAT_SOURCES, "heat_source")

        def usual(quantity):
            return sizes.of(_CABINETS[quantity])

        correct = dict(
            size=size,
            top_gap=0.0,
            side_gap=_PARAMETERS["side_gap"],
            baffle_gap=_PARAMETERS["baffle_gap"],
            lower_vent_area=usual("lower_vent_area"),
            upper_vent_area=usual("upper_vent_area"),
            lower_vent_blocked=0.0,
            upper_vent_blocked=0.0,
            fin_fouling=0.0,
            pocket_opening=0.0,
            outlet=outlet,
            outlet_height=outlets.of({name: usual(f"{name}_outlet_height") for name in OUTLETS}),
            fan=None,
            wind_pressure=0.0,
            recirculation=0.0,
            heat_source=source,
            heat_input=sources.of({name: usual(quantity) for name, quantity in HEAT_INPUT.items()}),
            side_tilt=0.0,
            front_tilt=0.0,
            circulation=1.0,
            charge_pressure=usual("charge_pressure"),
            boiler_insulation=1.0,
            door_seal=0.0,
            load=0.0,
            frost=0.0,
        )
        asked = dict(changes)
        asked["rear_gap"] = _rear_gap(asked)
        if asked.get("baffle_gap", 0.0) is None:
            asked["baffle_gap"] = NO_BAFFLE
        asked.pop("cavity_depth", None)
        return cls(**{**correct, **asked}, _given=MappingProxyType(dict(changes)))

    def changed(self, **changes: Any) -> "Installation":
        """Return the same with other changes; what wasn't ever changed stays as is usual for the new ones."""
        given = {**self._given, **changes}
        if "cavity_depth" in changes and "rear_gap" not in changes:
            given.pop("rear_gap", None)
        if "rear_gap" in changes and "cavity_depth" not in changes:
            given.pop("cavity_depth", None)
        return type(self).of(given.pop("size", self.size), **given)

    @cached_property
    def sizes(self) -> Choice:
        """The sizes, to look values up by."""
        return Choice(self.size, SIZES, "size")

    @cached_property
    def sources(self) -> Choice:
        """The heat sources, to look values up by."""
        return Choice(self.heat_source, HEAT_SOURCES, "heat_source")

    def of_size(self, quantity: str) -> np.ndarray | float:
        """Return a quantity of the table of cabinets for this size, in SI units."""
        return self.sizes.of(_CABINETS[quantity])

    @property
    def food_conductance(self) -> np.ndarray:
        """Conductance from the surroundings into the food compartment, walls and seal [W/K]."""
        return np.add(self.of_size("food_conductance"), self.door_seal)

    @property
    def food_coil_conductance(self) -> np.ndarray:
        """Conductance from the food compartment to its coil [W/K], with the frost that is on it."""
        clean = 1.0 / np.asarray(self.of_size("food_coil_conductance"))
        return 1.0 / (clean + np.multiply(_PARAMETERS["frost_resistance"], self.frost))

    @property
    def cavity_depth(self) -> np.ndarray:
        """Depth of the space behind the cabinet [m]."""
        return np.add(self.rear_gap, _PARAMETERS["fin_depth"])

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape to which all fields broadcast."""
        values = [getattr(self, each.name) for each in fields(self) if each.name not in ("fan", "_given")]
        if self.fan is not None:
            values += [self.fan.shut_off_pressure, self.fan.free_flow]
        return np.broadcast_shapes(*(np.shape(value) for value in values))

    def __post_init__(self):
        for name, (wrong, right) in _BOUNDS.items():
            try:
                value = np.asarray(getattr(self, name), dtype=float)
            except (TypeError, ValueError):
                raise InputError(
                    f"{name} of the installation is {getattr(self, name)!r}; it must be {right}."
                ) from None
            bad = wrong(value)
            if np.any(bad):
                raise InputError(
                    f"{name} of the installation is {_first(value, bad):.6g}; it must be {right}."
                )
        gap = np.asarray(self.baffle_gap, dtype=float)
        space = np.add(self.rear_gap, _PARAMETERS["bypass_without_baffle"])
        if np.any(bad := np.isfinite(gap) & (gap > space)):
            raise InputError(
                f"baffle_gap of the installation is {_first(gap, bad):.6g} m, but the space it stands in is "
                f"{_first(np.broadcast_to(space, bad.shape), bad):.6g} m wide; leave the baffle out (None), "
                "or make the gap narrower."
            )
        try:
            _ = self.shape
        except ValueError:
            raise InputError(
                "The installation's fields have shapes that don't go together; give numbers, or arrays of "
                "one shape."
            ) from None


def _rear_gap(changes: Mapping[str, Any]) -> Any:
    depth = changes.get("cavity_depth")
    if depth is None:
        usual = _PARAMETERS["cavity_depth"] - _PARAMETERS["fin_depth"]
        return changes.get("rear_gap", usual)
    gap = np.subtract(depth, _PARAMETERS["fin_depth"])
    if "rear_gap" in changes and not np.allclose(gap, changes["rear_gap"], rtol=0.0, atol=1e-6):
        raise InputError(
            "cavity_depth and rear_gap of the installation disagree; give one of them: the depth is the gap "
            f"plus {_PARAMETERS['fin_depth']} m of fins."
        )
    return gap


def _first(values: np.ndarray, bad: np.ndarray) -> float:
    return float(np.broadcast_to(values, np.shape(bad))[bad].flat[0])


def _outside(lowest: float, highest: float) -> Callable[[np.ndarray], np.ndarray]:
    return lambda value: ~((value >= lowest) & (value <= highest))


_FRACTION = _outside(0.0, 1.0), "a fraction from 0 to 1"
_LENGTH = _outside(0.0, 5.0), "a length from 0 to 5 m"
_AREA = _outside(0.0, 5.0), "an area from 0 to 5 m²"
_ANGLE = _outside(-_STEEPEST, _STEEPEST), "an angle of at most 30°, in rad"
_BOUNDS = {
    "top_gap": _LENGTH,
    "side_gap": _LENGTH,
    "rear_gap": _LENGTH,
    "baffle_gap": (lambda value: ~(value >= 0.0), "a length from 0 on, or None where there is no baffle"),
    "lower_vent_area": _AREA,
    "upper_vent_area": _AREA,
    "lower_vent_blocked": _FRACTION,
    "upper_vent_blocked": _FRACTION,
    "fin_fouling": _FRACTION,
    "pocket_opening": _AREA,
    "outlet_height": _LENGTH,
    "wind_pressure": (
        _outside(-_PARAMETERS["adverse_pressure"], 100.0),
        f"from -{_PARAMETERS['adverse_pressure']} to 100 Pa: the model knows no reverse flow, which an "
        "adverse wind of 2 m/s and more may cause",
    ),
    "recirculation": (lambda value: ~((value >= 0.0) & (value <= 0.9)), "a fraction from 0 to 0.9"),
    "heat_input": (_outside(0.0, 5000.0), "a power from 0 to 5000 W"),
    "side_tilt": _ANGLE,
    "front_tilt": _ANGLE,
    "circulation": _FRACTION,
    "charge_pressure": (_outside(8e5, 30e5), "from 8 to 30 bar, in Pa"),
    "boiler_insulation": (_outside(0.05, 1.0), "a fraction from 0.05 to 1"),
    "door_seal": (_outside(0.0, 10.0), "a conductance from 0 to 10 W/K"),
    "load": (_outside(0.0, 500.0), "a heat from 0 to 500 W"),
    "frost": (_outside(0.0, 1.0), "a mass from 0 to 1 kg"),
}
