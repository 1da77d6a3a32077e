"""A refrigerator as it stands in its enclosure: what can be measured, set and wrong about it."""
# ruff: noqa: RUF009 - fields are declared by calls

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike

from warmside.arrays import Floats
from warmside.data import load
from warmside.errors import InputError
from warmside.model.draught import Fan
from warmside.model.quantity import (
    Choice,
    Chosen,
    described,
    first_bad,
    named,
    number,
    one_of,
    part,
    quantities,
)
from warmside.model.sizes import RATINGS, Sizes
from warmside.properties import air

_CABINETS, _PARAMETERS = load("cabinets"), load("parameters")
LITTLE_KNOWN = tuple(
    name for name in load("ensemble").fields if name in (*_PARAMETERS.fields, *_CABINETS.fields)
)
"""Parameters that may be given for each installation by itself, since nobody knows more than a range."""

OUTLETS = ("wall", "roof")
HEAT_SOURCES = ("mains", "battery", "gas")
USUAL_OUTLET = {"N": "wall", "ST": "roof", "T": "roof"}
"""By climate class."""
NO_BAFFLE = np.inf
"""Gap of a baffle that isn't there."""
HEAT_INPUT = {"mains": "heat_input", "battery": "battery_heat_input", "gas": "gas_heat_input"}
"""Name of each source's nominal heat in the table of cabinets."""


def by_size(quantity: str) -> Callable[[Chosen], Any]:
    """Return how a usual value follows from size and rating: it stands in the table of cabinets.

    Examples
    --------
    >>> by_size("charge_pressure")({"size": Sizes("8 cu ft"), "rating": Choice("T", RATINGS, "rating")})
    2500000.0
    """
    return lambda chosen: chosen["size"].of(quantity, chosen["rating"])


def _by_size_and(other: str, quantities: Mapping[str, str]) -> Callable[[Chosen], Any]:
    return lambda chosen: chosen[other].of(
        {each: by_size(quantity)(chosen) for each, quantity in quantities.items()}
    )


def _usual_heat(chosen: Chosen) -> Any:
    """Return the nominal heat; a burner as it is found gets less gas through its orifice in thin air."""
    heats = {source: by_size(quantity)(chosen) for source, quantity in HEAT_INPUT.items()}
    thinner = np.divide(air.standard_pressure(chosen["altitude"]), air.ATMOSPHERE)
    return chosen["heat_source"].of({**heats, "gas": heats["gas"] * np.sqrt(thinner)})


def _given_parameters(parameters: Any) -> Mapping[str, Any]:
    """Return the values that stand in for those of the tables, or refuse them in a sentence."""
    if not isinstance(parameters, Mapping):
        raise InputError("parameters of the installation are no values by name; give a dict of them.")
    for name, value in parameters.items():
        if name not in LITTLE_KNOWN:
            raise InputError(
                f"parameters of the installation have a “{name}”; they can be {', '.join(LITTLE_KNOWN)}."
            )
        try:
            numbers = np.asarray(value, dtype=float)
        except (TypeError, ValueError):
            raise InputError(f"{name}, a parameter of the installation, is {value!r}, no number.") from None
        if not np.isfinite(numbers).all():
            raise InputError(f"{name}, a parameter of the installation, is not a number everywhere.")
    return MappingProxyType({name: np.asarray(value, dtype=float)[()] for name, value in parameters.items()})


def _length(meaning: str, usual: float | Callable[[Chosen], Any] = 0.0) -> Any:
    return number(meaning, "m", usual, "a length", 0.0, 5.0)


def _area(meaning: str, usual: float | Callable[[Chosen], Any] = 0.0) -> Any:
    return number(meaning, "m²", usual, "an area", 0.0, 5.0)


def _fraction(meaning: str, usual: float = 0.0, lowest: float = 0.0, highest: float = 1.0) -> Any:
    return number(meaning, "1", usual, "a fraction", lowest, highest)


def _tilt(meaning: str) -> Any:
    steepest = float(np.radians(30.0))
    return number(meaning, "rad", 0.0, "an angle", -steepest, steepest, "an angle of at most 30°, in rad")


@described
@dataclass(frozen=True, eq=False)
class Installation:
    """One refrigerator in its enclosure, or many at once.

    Make one with `Installation.of`, change it with `changed`. Every field is a number or an array; all
    broadcast. Names may be arrays of names. A field is declared once, with its meaning, unit, bounds and what
    is usual; `of`, the bounds and this text are made from that, for a class derived from this one too.
    """

    size: Any = named(
        "Nominal volume", "a volume from 4 to 20 cu ft, such as “8 cu ft”; 6, 8 and 18 are calibrated", Sizes
    )
    rating: Any = one_of(
        "Climate class on its plate, which says up to which ambient it holds: 90, 100 or 110 °F",
        RATINGS,
        lambda chosen: chosen["size"].usual_rating,
    )
    parameters: Mapping[str, Any] = part(
        "Values in SI units that stand in for calibrated ones, by name, one of `LITTLE_KNOWN`; numbers or "
        "arrays",
        MappingProxyType({}),
    )
    top_gap: Any = _length("Height of the gap between the cabinet's top and the enclosure; 0 is right")
    side_gap: Any = _length("Gap on each side", _PARAMETERS["side_gap"])
    rear_gap: Any = _length(
        "From the tubes to the wall behind them", _PARAMETERS["cavity_depth"] - _PARAMETERS["fin_depth"]
    )
    baffle_gap: Any = number(
        "From the baffle's edge to the fins; `NO_BAFFLE`, or None on the way in, where there is none",
        "m",
        _PARAMETERS["baffle_gap"],
        lowest=0.0,
        must_be="a length from 0 on, or None where there is no baffle",
    )
    lower_vent_area: Any = _area("Free area of the lower vent", by_size("lower_vent_area"))
    upper_vent_area: Any = _area("Free area of the upper vent", by_size("upper_vent_area"))
    lower_vent_blocked: Any = _fraction("Part of the lower vent that is shut")
    upper_vent_blocked: Any = _fraction("Part of the upper vent that is shut")
    fin_fouling: Any = _fraction("Part of the way between the condenser's fins that dirt has shut")
    pocket_opening: Any = _area("Opening from the warm side to the space over the cabinet; 0 is right")
    outlet: Any = one_of(
        "Where the warm air leaves", OUTLETS, lambda chosen: chosen["rating"].of(USUAL_OUTLET)
    )
    outlet_height: Any = _length(
        "Height of the outlet above the fins",
        _by_size_and("outlet", {outlet: f"{outlet}_outlet_height" for outlet in OUTLETS}),
    )
    fan: Fan | None = part("A fan that helps the draft, its fields numbers or arrays; None for none")
    wind_pressure: Any = number(
        "Wind's pressure on the lower vent less that on the upper",
        "Pa",
        0.0,
        lowest=-_PARAMETERS["adverse_pressure"],
        highest=100.0,
        must_be=f"from -{_PARAMETERS['adverse_pressure']} to 100 Pa: the model knows no reverse flow, which "
        "an adverse wind of 1 m/s and more, or a fan that blows down, may cause",
    )
    recirculation: Any = _fraction(
        "Part of the air at the lower vent that has come round from the outlet; none in still air, in wind "
        "at most `warmside.model.wind.recirculation`",
        highest=0.9,
    )
    altitude: Any = number("Height above the sea, which thins the air", "m", 0.0, "an altitude", 0.0, 4000.0)
    heat_source: Any = one_of("What heats the boiler", HEAT_SOURCES, "mains")
    heat_input: Any = number(
        "Electrical power, or heat rate of the gas",
        "W",
        _usual_heat,
        "a power",
        0.0,
        5000.0,
    )
    flue_baffle: Any = _fraction(
        "What a flue baffle that is missing or has fallen leaves of the part of the gas's heat that reaches "
        "the boiler",
        1.0,
    )
    side_tilt: Any = _tilt("How far out of level it stands to the side")
    front_tilt: Any = _tilt("How far out of level it stands to the front")
    circulation: Any = _fraction("What blocked tubes have left of the solution's circulation", 1.0)
    charge_pressure: Any = number(
        "Of the charge at 25 °C, standing",
        "Pa",
        by_size("charge_pressure"),
        lowest=8e5,
        highest=30e5,
        must_be="from 8 to 30 bar, in Pa",
    )
    boiler_insulation: Any = _fraction("What is left of the boiler's insulation", 1.0, lowest=0.05)
    door_seal: Any = number(
        "Conductance of a leaking seal, added to that of the food compartment's walls; 0 is right",
        "W/K",
        0.0,
        "a conductance",
        0.0,
        10.0,
    )
    load: Any = number(
        "Conductance from the room into the food compartment that opened doors make on average",
        "W/K",
        0.0,
        "a conductance",
        0.0,
        10.0,
    )
    frost: Any = number("Frost on the food compartment's coil", "kg", 0.0, "a mass", 0.0, 1.0)
    air_inside: Any = _fraction(
        "What packed food leaves of the coil's conductance to the food compartment's air", 1.0, lowest=0.05
    )
    _given: Mapping[str, Any] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, size: ArrayLike, **changes: Any) -> Self:
        """Return a refrigerator in good order, correctly installed, but for what is changed.

        Parameters
        ----------
        size : str or array_like of str
            Such as "8 cu ft".
        **changes
            Fields of this class. `cavity_depth` may be given instead of `rear_gap`.

        Raises
        ------
        InputError
            One sentence, if a field is unknown, or the installation is impossible.
        """
        declared = quantities(cls)
        for name in changes:
            if name not in declared and name != "cavity_depth":
                raise InputError(
                    f"An installation has no “{name}”; it has {', '.join(declared)} and cavity_depth."
                )
        asked = {"size": size, **_with_rear_gap(changes)}
        if asked.get("baffle_gap", 0.0) is None:
            asked["baffle_gap"] = NO_BAFFLE
        if "parameters" in asked:
            asked["parameters"] = _given_parameters(asked["parameters"])
        values: dict[str, Any] = {}
        chosen: dict[str, Any] = {}
        for name, quantity in declared.items():
            values[name] = asked[name] if name in asked else quantity.usual_for(chosen)
            quantity.check(name, values[name])
            chosen[name] = quantity.read(name, values[name])
        return cls(**values, _given=MappingProxyType(dict(changes)))

    def changed(self, **changes: Any) -> Self:
        """Return the same with other changes; what wasn't ever changed stays as is usual for the new ones."""
        given = {**self._given, **changes}
        if "cavity_depth" in changes and "rear_gap" not in changes:
            given.pop("rear_gap", None)
        if "rear_gap" in changes and "cavity_depth" not in changes:
            given.pop("cavity_depth", None)
        return type(self).of(given.pop("size", self.size), **given)

    @cached_property
    def sizes(self) -> Sizes:
        """The sizes, to look values up by."""
        return Sizes(self.size)

    @cached_property
    def ratings(self) -> Choice:
        """The ratings, to look values up by."""
        return Choice(self.rating, RATINGS, "rating")

    @cached_property
    def sources(self) -> Choice:
        """The heat sources, to look values up by."""
        return Choice(self.heat_source, HEAT_SOURCES, "heat_source")

    def of_size(self, quantity: str) -> Floats:
        """Return a quantity of the table of cabinets for this size, if none is given, in SI units."""
        given = self.parameters.get(quantity)
        return self.sizes.of(quantity, self.ratings) if given is None else given

    def parameter(self, name: str) -> Floats:
        """Return a parameter that all sizes share, if none is given, in SI units."""
        given = self.parameters.get(name)
        return _PARAMETERS.number(name) if given is None else given

    @property
    def air_pressure(self) -> np.ndarray:
        """Pressure of the atmosphere at this altitude [Pa]."""
        return air.standard_pressure(self.altitude)

    @property
    def food_conductance(self) -> np.ndarray:
        """Conductance from the surroundings into the food compartment, walls and seal [W/K]."""
        return np.add(self.of_size("food_conductance"), self.door_seal)

    @property
    def food_coil_conductance(self) -> np.ndarray:
        """Conductance from the food compartment to its coil [W/K], with frost and packed food."""
        clean = 1.0 / np.multiply(self.of_size("food_coil_conductance"), self.air_inside)
        return 1.0 / (clean + np.multiply(self.parameter("frost_resistance"), self.frost))

    @property
    def boiler_share(self) -> Floats:
        """Part of the heat that reaches the boiler: all of electricity's, part of the gas's."""
        of_gas = self.parameter("burner_efficiency") * np.asarray(self.flue_baffle)
        return self.sources.of({"mains": 1.0, "battery": 1.0, "gas": of_gas})

    @property
    def flue_share(self) -> Floats:
        """Part of the heat that the flue brings into the air above the condenser."""
        correct = 1.0 - self.parameter("burner_efficiency")
        of_gas = self.parameter("flue_share") * (1.0 - self.boiler_share) / correct
        return self.sources.of({"mains": 0.0, "battery": 0.0, "gas": of_gas})

    @property
    def cavity_depth(self) -> np.ndarray:
        """Depth of the space behind the cabinet [m]."""
        return np.add(self.rear_gap, self.parameter("fin_depth"))

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape to which all fields broadcast."""
        values = [getattr(self, name) for name in quantities(type(self)) if name not in ("fan", "parameters")]
        values += self.parameters.values()
        if self.fan is not None:
            values += [self.fan.shut_off_pressure, self.fan.free_flow]
        return np.broadcast_shapes(*(np.shape(value) for value in values))

    def __post_init__(self):
        for name, quantity in quantities(type(self)).items():
            quantity.check(name, getattr(self, name))
        gap = np.asarray(self.baffle_gap, dtype=float)
        space = self.cavity_depth
        if np.any(bad := np.isfinite(gap) & (gap > space)):
            raise InputError(
                f"baffle_gap of the installation is {first_bad(gap, bad):.6g} m, but the space it stands in "
                f"is {first_bad(np.broadcast_to(space, bad.shape), bad):.6g} m deep; leave the baffle out "
                "(None), or make the gap narrower."
            )
        try:
            _ = self.shape
        except ValueError:
            raise InputError(
                "The installation's fields have shapes that don't go together; give numbers, or arrays of "
                "one shape."
            ) from None


def _with_rear_gap(changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return changes with the rear gap that the depth of the cavity makes, where that is given."""
    asked = dict(changes)
    depth = asked.pop("cavity_depth", None)
    if depth is None:
        return asked
    gap = np.subtract(depth, _PARAMETERS["fin_depth"])
    if "rear_gap" in asked and not np.allclose(gap, asked["rear_gap"], rtol=0.0, atol=1e-6):
        raise InputError(
            "cavity_depth and rear_gap of the installation disagree; give one of them: the depth is the gap "
            f"plus {_PARAMETERS['fin_depth']} m of fins."
        )
    return {**asked, "rear_gap": gap}
