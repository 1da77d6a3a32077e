"""What heats the boiler: mains, battery or gas, and how much of it with what is wrong.

Heat at nominal conditions stands with the cabinets. Electrical heat goes as the square of the voltage; the
heat of gas as the square root of its pressure, and as the area of the orifice. `on_electricity` and
`on_gas` put the result into an `Installation`, which the coupled model then answers for.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.errors import InputError
from warmside.model.checks import check_name, check_number
from warmside.model.circuit import heater_power, in_parallel
from warmside.model.installation import HEAT_INPUT, HEAT_SOURCES, Installation
from warmside.model.quantity import Choice
from warmside.model.sizes import RATINGS, Sizes, calibrated, elements, usual_rating
from warmside.properties import air, propane

ELECTRIC = ("mains", "battery")
_PARAMETERS = load("parameters")
_FUELS, _HEATERS, _PRACTICE = load("fuels"), load("heaters"), load("practice")
_GAS_PRESSURE = _PRACTICE.number("gas_pressure")
_DRILLS = min(_FUELS.numbers("drill_sizes")), max(_FUELS.numbers("drill_sizes"))


def boiler_share(source: str) -> float:
    """Fraction of a source's heat that reaches the boiler: all of electricity's, part of the gas's.

    Examples
    --------
    >>> boiler_share("mains"), boiler_share("gas")
    (1.0, 0.55)
    """
    check_name(source, HEAT_SOURCES, "The heat source")
    return _PARAMETERS.number("burner_efficiency") if source == "gas" else 1.0


def heat_share(source: ArrayLike, supply: ArrayLike) -> np.ndarray:
    """Heat of a source by its supply, both as fractions of the nominal.

    Parameters
    ----------
    source : array_like of str
        "mains", "battery" or "gas".
    supply : array_like
        Volts over the nominal, or gas pressure over the nominal.

    Returns
    -------
    numpy.ndarray
        Heat over the nominal: a heater's goes as the square of its volts, a burner's as the root of its
        pressure.

    Examples
    --------
    Volts, and gas pressure, a tenth too low.

    >>> heat_share(["mains", "gas"], 0.9).round(2).tolist()
    [0.81, 0.95]
    """
    supply = np.asarray(supply, dtype=float)
    return np.where(np.asarray(source) == "gas", np.sqrt(supply), np.square(supply))


def element_resistances(size: str, source: str = "mains", tolerance: float = 0.0) -> tuple[float, ...]:
    """Resistances of a heater's elements, which work side by side.

    Parameters
    ----------
    size : str
        Such as "8 cu ft".
    source : str
        "mains", or "battery", which has one element.
    tolerance : float, optional
        How far the elements lie above their nominal resistance, as a fraction of it.

    Returns
    -------
    tuple of float
        One for each element [ohm].

    Examples
    --------
    >>> [round(ohms, 1) for ohms in element_resistances("8 cu ft")]
    [88.6, 88.6]
    """
    check_name(source, ELECTRIC, "The source of a heater's voltage")
    count = elements(size) if source == "mains" else 1
    together = nominal_voltage(source) ** 2 / calibrated(HEAT_INPUT[source], size, usual_rating(size))
    return (float(count * together * (1.0 + _tolerance(tolerance))),) * count


def nominal_voltage(source: str) -> float:
    """Voltage at which a heater gives its nominal heat [V].

    Examples
    --------
    >>> nominal_voltage("mains")
    120.0
    """
    check_name(source, ELECTRIC, "The source of a heater's voltage")
    return float(_HEATERS.in_column("nominal_voltage", source))


def electric_heat(
    size: str, source: str, voltage: ArrayLike, open_elements: int = 0, tolerance: ArrayLike = 0.0
) -> np.ndarray:
    """Heat of an electric heater.

    Parameters
    ----------
    size : str
        Such as "8 cu ft".
    source : str
        "mains" or "battery".
    voltage : array_like
        Across the heater, under load [V].
    open_elements : int, optional
        How many of its elements give no heat.
    tolerance : array_like, optional
        How far the elements lie above their nominal resistance, as a fraction of it.

    Returns
    -------
    numpy.ndarray
        Heat [W].

    Raises
    ------
    InputError
        If a voltage isn't believable on such a heater, or it hasn't so many elements.

    Examples
    --------
    Eight cubic feet at 120 V, and with one of its two elements open.

    >>> [round(float(electric_heat("8 cu ft", "mains", 120.0, dead)), 1) for dead in (0, 1)]
    [325.0, 162.5]
    """
    nominal = element_resistances(size, source)
    voltage = check_voltage(source, voltage)
    above = _tolerance(tolerance)
    check_number(open_elements, "The number of open elements", 0, len(nominal), f"from 0 to {len(nominal)}")
    if open_elements != int(open_elements):
        raise InputError(f"The number of open elements is {open_elements:g}; it must be a whole number.")
    if open_elements == len(nominal):
        return np.zeros(np.broadcast(voltage, above).shape)
    return heater_power(voltage, in_parallel(nominal[int(open_elements) :]) * (1.0 + above))


def check_voltage(source: str, voltage: ArrayLike, what: str = "The voltage at the heater") -> np.ndarray:
    """Return voltages [V], or raise an `InputError` where one isn't believable on such a circuit.

    Examples
    --------
    >>> check_voltage("battery", 13.6).item()
    13.6
    """
    nominal, most = nominal_voltage(source), _HEATERS.in_column("believable_voltage", source)
    return check_number(
        voltage, what, 0.0, most, f"from 0 to {most:g} V on a {source} circuit of {nominal:g} V", "V"
    )


def on_electricity(
    installation: Installation, voltage: ArrayLike, open_elements: int = 0, tolerance: ArrayLike = 0.0
) -> Installation:
    """Return the installation with the heat that its heater gives at a voltage.

    Parameters
    ----------
    installation : Installation
        Of one size, on mains or battery.
    voltage : array_like
        Across the heater, under load [V].
    open_elements : int, optional
        How many of its elements give no heat.
    tolerance : array_like, optional
        How far the elements lie above their nominal resistance, as a fraction of it.

    Examples
    --------
    On a pedestal of 105 V.

    >>> low = on_electricity(Installation.of("8 cu ft"), 105.0)
    >>> round(float(low.heat_input))
    249
    """
    check_name(installation.heat_source, ELECTRIC, "The installation's heat source")
    heat = electric_heat(installation.size, installation.heat_source, voltage, open_elements, tolerance)
    return installation.changed(heat_input=heat)


@dataclass(frozen=True)
class Burner:
    """A gas burner: what its orifice lets through and what comes of it. Fields may be arrays.

    Attributes
    ----------
    orifice_diameter : float
        [m].
    gas_pressure : float
        At the orifice, above the air's, under load [Pa].
    fouling : float
        Part of the orifice's area that dirt has shut, 0 to less than 1.
    altitude : float
        Above the sea [m].
    """

    orifice_diameter: Any
    gas_pressure: Any = _GAS_PRESSURE
    fouling: Any = 0.0
    altitude: Any = 0.0

    def __post_init__(self):
        for name, (lowest, highest, right) in _BURNER_BOUNDS.items():
            check_number(getattr(self, name), f"{name} of the burner", lowest, highest, right)

    @classmethod
    def of(cls, size: str, **changes: Any) -> "Burner":
        """Return a burner in good order that gives a size's nominal heat, but for what is changed."""
        sizes = Sizes(size, "size of the burner")
        heat = sizes.of("gas_heat_input", Choice(sizes.usual_rating, RATINGS, "rating"))
        for name in changes:
            if name not in _BURNER_BOUNDS:
                raise InputError(f"A burner has no “{name}”; it has {', '.join(_BURNER_BOUNDS)}.")
        whole = cls(orifice_diameter=1e-3)
        return replace(whole, **{"orifice_diameter": 1e-3 * np.sqrt(heat / whole.heat), **changes})

    @property
    def _density(self):
        local = air.density(_FUELS.number("orifice_gas_temperature"), air.standard_pressure(self.altitude))
        return _FUELS.number("specific_gravity") * local

    @property
    def volume_flow(self) -> np.ndarray:
        """Gas at the air's pressure and 15 °C [m³/s]: K A √(2 Δp / ρ)."""
        area = np.pi / 4.0 * np.square(self.orifice_diameter) * np.subtract(1.0, self.fouling)
        speed = np.sqrt(2.0 * np.asarray(self.gas_pressure) / self._density)
        return _FUELS.number("orifice_coefficient") * area * speed

    @property
    def mass_flow(self) -> np.ndarray:
        """Gas [kg/s]."""
        return self.volume_flow * self._density

    @property
    def heat(self) -> np.ndarray:
        """Heat of the gas, by its higher heating value [W]."""
        return self.mass_flow * propane.higher_heating_value()

    @property
    def air_flow(self) -> np.ndarray:
        """Air for burning, with the excess that a burner draws, at 15 °C [m³/s]."""
        return self.volume_flow * propane.stoichiometric_air() * (1.0 + _FUELS.number("excess_air"))

    @property
    def flue_flow(self) -> np.ndarray:
        """What leaves by the flue, its water as vapour, taken at 15 °C [m³/s]."""
        return self.volume_flow * propane.flue_gas(_FUELS.number("excess_air"))

    def cylinder_time(self, contents: ArrayLike, duty: ArrayLike = 1.0) -> np.ndarray:
        """How long a cylinder lasts.

        Parameters
        ----------
        contents : array_like
            Propane in it [kg].
        duty : array_like, optional
            Fraction of the time that the burner is on.

        Returns
        -------
        numpy.ndarray
            Time [s]; inf where no gas flows.
        """
        contents = check_number(contents, "The cylinder's contents", 0.0, 1e4, "from 0 to 10,000 kg", "kg")
        duty = check_number(duty, "The duty", 0.0, 1.0, "a fraction from 0 to 1")
        with np.errstate(divide="ignore", invalid="ignore"):
            return contents / (self.mass_flow * duty)


def code_derating(altitude: ArrayLike) -> np.ndarray:
    """Fraction of its heat that a code takes off a burner at an altitude [m], for want of air to burn it.

    Nothing up to a height, and over it for the whole height above the sea.

    Examples
    --------
    At 5000 ft.

    >>> round(float(code_derating(1524.0)), 2)
    0.2
    """
    altitude = check_number(altitude, "The altitude", *_BURNER_BOUNDS["altitude"], "m")
    taken_off = _FUELS.number("code_derating") * altitude / _FUELS.number("code_altitude_step")
    return np.where(altitude > _FUELS.number("code_free_altitude"), np.minimum(taken_off, 1.0), 0.0)


def drill_diameter(number: int) -> float:
    """Diameter of the drill of that number, which orifices are marked with [m].

    Examples
    --------
    Number 78, in inches.

    >>> round(drill_diameter(78) / 0.0254, 3)
    0.016
    """
    by_number = dict(zip(_FUELS.numbers("drill_sizes"), _FUELS.numbers("drill_diameters"), strict=True))
    right = f"one of the table's drills, {min(by_number):g} to {max(by_number):g}"
    checked = check_number(number, "The drill that the orifice is marked with", *_DRILLS, right)
    if checked.ndim or float(checked) not in by_number:
        raise InputError(f"The orifice is marked with no whole number; it must be {right}.")
    return by_number[float(checked)]


def on_gas(installation: Installation, burner: Burner) -> Installation:
    """Return the installation with the heat of a burner; only `boiler_share` of it reaches the boiler.

    Examples
    --------
    An eight's burner, in Btu/h.

    >>> lit = on_gas(Installation.of("8 cu ft", heat_source="gas"), Burner.of("8 cu ft"))
    >>> round(float(lit.heat_input) / 0.29307)
    2000
    """
    check_name(installation.heat_source, ("gas",), "The installation's heat source")
    if np.any(np.not_equal(burner.altitude, installation.altitude)):
        raise InputError("The burner stands at another altitude than the installation; give both the same.")
    return installation.changed(heat_input=burner.heat)


def _tolerance(tolerance: ArrayLike) -> np.ndarray:
    return check_number(tolerance, "The tolerance of the elements", -0.5, 0.5, "a fraction from -0.5 to 0.5")


_BURNER_BOUNDS = {
    "orifice_diameter": (1e-4, 5e-3, "a diameter from 0.0001 to 0.005 m"),
    "gas_pressure": (0.0, 20e3, "a pressure from 0 to 20,000 Pa above the air's"),
    "fouling": (0.0, 0.999, "a fraction from 0 to less than 1"),
    "altitude": (-500.0, 5000.0, "an altitude from -500 to 5000 m"),
}
