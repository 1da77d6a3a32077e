"""What moves the air behind a refrigerator: stack effect, openings, gaps, fans and wind.

The draught (US: draft) of warm air in a tall space is stack effect, not a venturi: the column inside weighs
less than the same height of air outside, and that difference pushes air in below and out above.

Pressures are differences in Pa, flows are volume flows in m³/s; everything broadcasts.

References
----------
.. [1] ASHRAE Handbook, Fundamentals, chapter "Ventilation and Infiltration": stack flow, neutral level.
.. [2] E3S Web of Conferences 396 (2023) 02030: discharge coefficients of louvres.
.. [3] F. M. White, Viscous Fluid Flow: laminar flow between parallel plates.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.properties import air

GRAVITY = 9.80665
SHARP_EDGED = 0.65
"""Discharge coefficient of a sharp-edged opening, as in the stack flow of reference 1."""
SLOT_CONTRACTION = 0.36
"""Square of the discharge coefficient 0.6 at the mouth of a slot; common practice, no source."""

_LOUVRES = load("louvres")


def stack_pressure(
    height: ArrayLike,
    inside_temperature: ArrayLike,
    outside_temperature: ArrayLike,
    pressure: ArrayLike = air.ATMOSPHERE,
) -> np.ndarray:
    """Pressure that a warm column draws with.

    Parameters
    ----------
    height : array_like
        Height of the column between its openings [m].
    inside_temperature, outside_temperature : array_like
        Mean temperatures of the columns inside and outside [K].
    pressure : array_like
        Barometric pressure [Pa].

    Returns
    -------
    numpy.ndarray
        Draught [Pa]; negative when it is colder inside.
    """
    lighter = air.density(outside_temperature, pressure) - air.density(inside_temperature, pressure)
    return lighter * GRAVITY * height


def opening_flow(
    area: ArrayLike,
    pressure_difference: ArrayLike,
    density: ArrayLike,
    discharge_coefficient: ArrayLike = SHARP_EDGED,
) -> np.ndarray:
    """Flow through an opening.

    Parameters
    ----------
    area : array_like
        Free area [m²].
    pressure_difference : array_like
        Pressure across it [Pa]; a negative one drives the flow back.
    density : array_like
        Density of the air that flows [kg/m³].
    discharge_coefficient : array_like
        Discharge coefficient.

    Returns
    -------
    numpy.ndarray
        Volume flow [m³/s], with the sign of the pressure difference.
    """
    speed = np.sqrt(2 * np.abs(pressure_difference) / density)
    return np.sign(pressure_difference) * discharge_coefficient * area * speed


def stack_flow(
    area: ArrayLike,
    height: ArrayLike,
    inside_temperature: ArrayLike,
    outside_temperature: ArrayLike,
    discharge_coefficient: ArrayLike = SHARP_EDGED,
) -> np.ndarray:
    """Flow that stack effect drives through two equal openings.

    Parameters
    ----------
    area : array_like
        Free area of each opening [m²].
    height : array_like
        Height between the openings [m]; the neutral level is taken half-way.
    inside_temperature, outside_temperature : array_like
        Temperatures [K].
    discharge_coefficient : array_like
        Discharge coefficient of each opening.

    Returns
    -------
    numpy.ndarray
        Volume flow [m³/s]; negative (downwards) when it is colder inside. Reference 1.
    """
    inside, outside = np.asarray(inside_temperature, float), np.asarray(outside_temperature, float)
    warmer = np.maximum(inside, outside)
    head = np.sqrt(2 * GRAVITY * np.asarray(height) / 2 * np.abs(inside - outside) / warmer)
    return np.sign(inside - outside) * discharge_coefficient * area * head


def neutral_level(
    height: ArrayLike,
    lower_area: ArrayLike,
    upper_area: ArrayLike,
    inside_temperature: ArrayLike,
    outside_temperature: ArrayLike,
) -> np.ndarray:
    """Height above the lower opening at which the pressures inside and outside are the same.

    Parameters
    ----------
    height : array_like
        Height between the openings [m].
    lower_area, upper_area : array_like
        Free areas [m²].
    inside_temperature, outside_temperature : array_like
        Temperatures [K].

    Returns
    -------
    numpy.ndarray
        Height [m]; the smaller opening lies the farther from it. Reference 1.
    """
    ratio = np.divide(lower_area, upper_area) ** 2 * np.divide(inside_temperature, outside_temperature)
    return np.asarray(height) / (1 + ratio)


def stack_inflow(
    lower_area: ArrayLike,
    upper_area: ArrayLike,
    height: ArrayLike,
    inside_temperature: ArrayLike,
    outside_temperature: ArrayLike,
    discharge_coefficient: ArrayLike = SHARP_EDGED,
) -> np.ndarray:
    """Flow of outside air into the lower of two unequal openings.

    Parameters
    ----------
    lower_area, upper_area : array_like
        Free areas [m²].
    height : array_like
        Height between the openings [m].
    inside_temperature, outside_temperature : array_like
        Temperatures [K]; inside not colder than outside.
    discharge_coefficient : array_like
        Discharge coefficient of both openings.

    Returns
    -------
    numpy.ndarray
        Volume flow at outside density [m³/s]; as much mass leaves above. nan where it is colder inside, since
        the air then falls and the lower opening is the outlet.
    """
    level = neutral_level(height, lower_area, upper_area, inside_temperature, outside_temperature)
    push = stack_pressure(level, inside_temperature, outside_temperature)
    flow = opening_flow(lower_area, push, air.density(outside_temperature), discharge_coefficient)
    return np.where(push >= 0, flow, np.nan)


def loss_coefficient(discharge_coefficient: ArrayLike) -> np.ndarray:
    """Loss coefficient, on the speed in the opening's free area, of a discharge coefficient."""
    return 1.0 / np.square(discharge_coefficient)


def orifice_loss_coefficient(diameter_ratio: ArrayLike, discharge_coefficient: ArrayLike) -> np.ndarray:
    """Loss coefficient, on the speed in the duct, of an orifice in a duct.

    Parameters
    ----------
    diameter_ratio : array_like
        Diameter of the orifice over that of the duct, more than 0 to 1.
    discharge_coefficient : array_like
        Discharge coefficient of the orifice.

    Returns
    -------
    numpy.ndarray
        Loss coefficient: what of the pressure difference is lost for good.

    References
    ----------
    ISO 5167-2:2003, Measurement of fluid flow by means of pressure differential devices, eq. 8.
    """
    area_ratio = np.square(diameter_ratio)
    recovered = np.sqrt(1.0 - np.square(area_ratio) * (1.0 - np.square(discharge_coefficient)))
    return np.square(recovered / (discharge_coefficient * area_ratio) - 1.0)


def louvre_discharge_coefficient(blade_angle: ArrayLike) -> np.ndarray:
    """Discharge coefficient of a louvre.

    Parameters
    ----------
    blade_angle : array_like
        Angle of the blades to the flow [rad], 0 to 30°.

    Returns
    -------
    numpy.ndarray
        Discharge coefficient, between the published values at 0, 15 and 30° (reference 2); nan outside.
    """
    angles, coefficients = _LOUVRES["blade_angle"], _LOUVRES["blade_discharge_coefficient"]
    return np.interp(blade_angle, angles, coefficients, left=np.nan, right=np.nan)


def slot_speed(
    pressure_difference: ArrayLike, gap: ArrayLike, length: ArrayLike, temperature: ArrayLike
) -> np.ndarray:
    """Mean speed of air through a narrow slot, such as the gap beside a cabinet.

    Parameters
    ----------
    pressure_difference : array_like
        Pressure across the slot [Pa], not negative.
    gap : array_like
        Width between its faces [m].
    length : array_like
        Length along the flow [m].
    temperature : array_like
        Temperature of the air [K].

    Returns
    -------
    numpy.ndarray
        Speed [m/s], from the loss at the mouth and laminar friction between parallel plates (reference 3):
        ``rho u²/(2·0.36) + 12 mu L u/s² = dp``. A gap of 0 lets nothing through.

    Notes
    -----
    Friction goes with the square of the gap: this is why a narrow gap seals and a wide one doesn't.
    """
    gap = np.asarray(gap, dtype=float)
    inertia = air.density(temperature) / (2 * SLOT_CONTRACTION)
    with np.errstate(divide="ignore", invalid="ignore"):
        friction = 12 * air.viscosity(temperature) * np.asarray(length) / gap**2
        # the positive root, in the form that loses no digits where friction rules
        speed = (
            2
            * np.asarray(pressure_difference)
            / (friction + np.sqrt(friction**2 + 4 * inertia * pressure_difference))
        )
    return np.where(gap > 0, np.nan_to_num(speed), 0.0)


def wind_pressure(
    speed: ArrayLike, pressure_coefficient: ArrayLike, temperature: ArrayLike = 293.15
) -> np.ndarray:
    """Pressure of wind on an opening.

    Parameters
    ----------
    speed : array_like
        Wind speed [m/s].
    pressure_coefficient : array_like
        Share of the dynamic pressure: plus on the windward side, minus in the lee.
    temperature : array_like
        Temperature of the wind [K].

    Returns
    -------
    numpy.ndarray
        Pressure [Pa].
    """
    return 0.5 * air.density(temperature) * np.square(speed) * pressure_coefficient


@dataclass(frozen=True)
class Fan:
    """A fan with a curve ``p = p0 (1 - (Q/Q0)²)``.

    Attributes
    ----------
    shut_off_pressure : float
        Pressure at no flow, ``p0`` [Pa].
    free_flow : float
        Flow at no pressure, ``Q0`` [m³/s].
    """

    shut_off_pressure: float
    free_flow: float

    def pressure(self, flow: ArrayLike) -> np.ndarray:
        """Pressure that the fan gives at a flow [m³/s]; negative beyond its free flow: there it obstructs."""
        return self.shut_off_pressure * (1 - np.square(np.divide(flow, self.free_flow)))

    def operating_flow(self, resistance: ArrayLike, draught: ArrayLike = 0.0) -> np.ndarray:
        """Flow at which the fan and a draught balance a resistance.

        Parameters
        ----------
        resistance : array_like
            ``k`` of the system curve ``p = k Q²`` [Pa/(m³/s)²].
        draught : array_like
            Further pressure in the same direction [Pa].

        Returns
        -------
        numpy.ndarray
            Volume flow [m³/s]; nan where the draught drives it backwards.
        """
        own = self.shut_off_pressure / self.free_flow**2
        with np.errstate(invalid="ignore"):
            return np.sqrt((self.shut_off_pressure + draught) / (np.asarray(resistance) + own))


def resistance(
    areas: ArrayLike, discharge_coefficients: ArrayLike, density: ArrayLike, axis: int = -1
) -> np.ndarray:
    """Resistance of openings in series.

    Parameters
    ----------
    areas, discharge_coefficients : array_like
        Free area [m²] and discharge coefficient of each opening along `axis`.
    density : array_like
        Density of the air [kg/m³], without that axis.
    axis : int
        The axis that the openings lie along.

    Returns
    -------
    numpy.ndarray
        ``k`` of ``p = k Q²`` [Pa/(m³/s)²].
    """
    effective = np.multiply(areas, discharge_coefficients)
    with np.errstate(divide="ignore"):
        return np.asarray(density) / 2 * np.sum(1.0 / np.square(effective), axis=axis)
