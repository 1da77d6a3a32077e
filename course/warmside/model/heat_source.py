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
from warmside.model.installation import HEAT_INPUT, HEAT_SOURCES, SIZES, Installation
from warmside.model.quantity import Choice
from warmside.properties import air, propane

ELECTRIC = ("mains", "battery")
_CABINETS, _PARAMETERS = load("cabinets"), load("parameters")
_FUELS, _HEATERS, _PRACTICE = load("fuels"), load("heaters"), load("practice")
_DRILLS = min(_FUELS["drill_sizes"]), max(_FUELS["drill_sizes"])
_STANDARD_TEMPERATURE = 288.15  # K; of the gas, as tables of orifices have it
_CODE_FREE_ALTITUDE, _CODE_STEP = 609.6, 304.8  # m; 2000 ft and 1000 ft of the code's derating


def boiler_share(source: str) -> float:
    """Fraction of a source's heat that reaches the boiler: all of electricity's, part of the gas's."""
    check_name(source, HEAT_SOURCES, "The heat source")
    return float(_PARAMETERS["burner_efficiency"]) if source == "gas" else 1.0


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
    """
    supply = np.asarray(supply, dtype=float)
    return np.where(np.asarray(source) == "gas", np.sqrt(supply), np.square(supply))


def element_resistances(size: str, source: str = "mains", tolerance: float = 0.0) -> tuple[float, ...]:
    """Resistances of a heater's elements, which work side by side.

    Parameters
    ----------
    size : str
        "six", "eight" or "eighteen".
    source : str
        "mains", or "battery", which has one element.
    tolerance : float, optional
        How far the elements lie above their nominal resistance, as a fraction of it.

    Returns
    -------
    tuple of float
        One for each element [ohm].
    """
    check_name(source, ELECTRIC, "The source of a heater's voltage")
    check_name(size, SIZES, "The size")
    count = int(_CABINETS["mains_elements"][size]) if source == "mains" else 1
    together = nominal_voltage(source) ** 2 / _CABINETS[HEAT_INPUT[source]][size]
    return (float(count * together * (1.0 + _tolerance(tolerance))),) * count


def nominal_voltage(source: str) -> float:
    """Voltage at which a heater gives its nominal heat [V]."""
    check_name(source, ELECTRIC, "The source of a heater's voltage")
    return float(_HEATERS["nominal_voltage"][source])


def electric_heat(
    size: str, source: str, voltage: ArrayLike, open_elements: int = 0, tolerance: ArrayLike = 0.0
) -> np.ndarray:
    """Heat of an electric heater.

    Parameters
    ----------
    size : str
        "six", "eight" or "eighteen".
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
    """
    nominal = element_resistances(size, source)
    voltage = check_voltage(source, voltage)
    tolerance = _tolerance(tolerance)
    check_number(open_elements, "The number of open elements", 0, len(nominal), f"from 0 to {len(nominal)}")
    if open_elements != int(open_elements):
        raise InputError(f"The number of open elements is {open_elements:g}; it must be a whole number.")
    if open_elements == len(nominal):
        return np.zeros(np.broadcast(voltage, tolerance).shape)
    return heater_power(voltage, in_parallel(nominal[int(open_elements) :]) * (1.0 + tolerance))


def check_voltage(source: str, voltage: ArrayLike, what: str = "The voltage at the heater") -> np.ndarray:
    """Return voltages [V], or raise an `InputError` where one isn't believable on such a circuit."""
    nominal, most = nominal_voltage(source), _HEATERS["believable_voltage"][source]
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
    gas_pressure: Any = float(_PRACTICE["gas_pressure"])
    fouling: Any = 0.0
    altitude: Any = 0.0

    def __post_init__(self):
        for name, (lowest, highest, right) in _BURNER_BOUNDS.items():
            check_number(getattr(self, name), f"{name} of the burner", lowest, highest, right)

    @classmethod
    def of(cls, size: str, **changes: Any) -> "Burner":
        """Return a burner in good order that gives a size's nominal heat, but for what is changed."""
        heat = Choice(size, SIZES, "size").of(_CABINETS["gas_heat_input"])
        for name in changes:
            if name not in _BURNER_BOUNDS:
                raise InputError(f"A burner has no “{name}”; it has {', '.join(_BURNER_BOUNDS)}.")
        whole = cls(orifice_diameter=1e-3)
        return replace(whole, **{"orifice_diameter": 1e-3 * np.sqrt(heat / whole.heat), **changes})

    @property
    def _density(self):
        local = air.density(_STANDARD_TEMPERATURE, air.standard_pressure(self.altitude))
        return _FUELS["specific_gravity"] * local

    @property
    def volume_flow(self) -> np.ndarray:
        """Gas at the air's pressure and 15 °C [m³/s]: K A √(2 Δp / ρ)."""
        area = np.pi / 4.0 * np.square(self.orifice_diameter) * np.subtract(1.0, self.fouling)
        speed = np.sqrt(2.0 * np.asarray(self.gas_pressure) / self._density)
        return _FUELS["orifice_coefficient"] * area * speed

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
        return self.volume_flow * propane.stoichiometric_air() * (1.0 + _FUELS["excess_air"])

    @property
    def flue_flow(self) -> np.ndarray:
        """What leaves by the flue, its water as vapour, reckoned at 15 °C [m³/s]."""
        return self.volume_flow * propane.flue_gas(_FUELS["excess_air"])

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
    """Fraction of its heat that a code takes off a burner at an altitude [m], for want of air to burn it."""
    altitude = check_number(altitude, "The altitude", *_BURNER_BOUNDS["altitude"], "m")
    steps = np.maximum(np.subtract(altitude, _CODE_FREE_ALTITUDE), 0.0) / _CODE_STEP
    return np.minimum(_FUELS["code_derating"] * steps, 1.0)


def drill_diameter(number: int) -> float:
    """Diameter of the drill of that number, which orifices are marked with [m]."""
    by_number = dict(zip(_FUELS["drill_sizes"], _FUELS["drill_diameters"], strict=True))
    right = f"one of the table's drills, {min(by_number):g} to {max(by_number):g}"
    number = check_number(number, "The drill that the orifice is marked with", *_DRILLS, right)
    if number.ndim or float(number) not in by_number:
        raise InputError(f"The orifice is marked with no whole number; it must be {right}.")
    return float(by_number[float(number)])


def on_gas(installation: Installation, burner: Burner) -> Installation:
    """Return the installation with the heat of a burner; only `boiler_share` of it reaches the boiler."""
    check_name(installation.heat_source, ("gas",), "The installation's heat source")
    return installation.changed(heat_input=burner.heat)


def _tolerance(tolerance):
    return check_number(tolerance, "The tolerance of the elements", -0.5, 0.5, "a fraction from -0.5 to 0.5")


_BURNER_BOUNDS = {
    "orifice_diameter": (1e-4, 5e-3, "a diameter from 0.0001 to 0.005 m"),
    "gas_pressure": (0.0, 20e3, "a pressure from 0 to 20,000 Pa above the air's"),
    "fouling": (0.0, 0.999, "a fraction from 0 to less than 1"),
    "altitude": (-500.0, 5000.0, "an altitude from -500 to 5000 m"),
}
