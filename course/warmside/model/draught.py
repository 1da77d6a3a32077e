"""What moves the air behind a refrigerator: stack effect, openings, gaps, doorways and fans.

The draught (US: draft) of warm air in a tall space is stack effect, not a venturi: the column inside weighs
less than the same height of air outside, and that difference pushes air in below and out above.

Pressures are differences in Pa, flows are volume flows in m³/s; everything broadcasts. The air path
(`warmside.model.enclosure`) is put together from these.

References
----------
.. [1] ASHRAE Handbook, Fundamentals, chapter "Ventilation and Infiltration": stack flow, openings.
.. [2] F. M. White, Viscous Fluid Flow: laminar flow between parallel plates.
.. [3] W. G. Brown, K. R. Solvason, Int. J. Heat Mass Transfer 5 (1962) 859: exchange through openings.
.. [4] W. B. Gosney, H. A. L. Olama, Heat and enthalpy gains through cold room doorways, Proc. Inst.
       Refrigeration 72 (1975) 31.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.checks import check_number
from warmside.properties import air

_LOUVRES, _PARAMETERS = load("louvres"), load("parameters")

GRAVITY = load("constants").number("gravity")
SHARP_EDGED = _LOUVRES.number("opening_discharge_coefficient")
"""Discharge coefficient of a sharp-edged opening."""
_SLOT_MOUTH = _LOUVRES.number("slot_discharge_coefficient")
_SHUT_GAP = 1e-6  # m; a narrower gap counts as this one, which lets nothing through that matters


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

    Examples
    --------
    Four feet of air at 130 °F beside air at 102 °F: two or three thousandths of an inch of water.

    >>> round(float(stack_pressure(1.22, 327.6, 312.0)), 2)
    0.64
    """
    lighter = air.density(outside_temperature, pressure) - air.density(inside_temperature, pressure)
    return lighter * GRAVITY * np.asarray(height, dtype=float)


def buoyancy(temperature: Floats, height: Floats = 1.0, pressure: Floats = air.ATMOSPHERE) -> Floats:
    """Draught of a column of warm air, for each kelvin that it is warmer [Pa/K].

    Parameters
    ----------
    temperature : float or numpy.ndarray
        Of the air outside [K].
    height : float or numpy.ndarray
        Of the column [m].
    pressure : float or numpy.ndarray
        Of the atmosphere [Pa].

    Notes
    -----
    ``rho g h/T``: what `stack_pressure` tends to for small differences. At a difference of 15 K it draws 5 %
    more.

    Examples
    --------
    >>> round(float(buoyancy(300.0)), 4)
    0.0385
    """
    return air.density(temperature, pressure) * GRAVITY * height / temperature


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
        Volume flow [m³/s], with the sign of the pressure difference. Reference 1.

    Examples
    --------
    A vent of 24 in² with half a pascal across it, in m³/h.

    >>> round(float(opening_flow(0.0155, 0.5, 1.15)) * 3600)
    34
    """
    pressure_difference = np.asarray(pressure_difference, dtype=float)
    speed = np.sqrt(2 * np.abs(pressure_difference) / np.asarray(density, dtype=float))
    through = np.multiply(discharge_coefficient, area)
    return np.sign(pressure_difference) * through * speed


def effective_area(area: Floats, loss_coefficient: Floats) -> Floats:
    """Area [m²] that would lose as much without contraction; those of openings side by side add.

    Parameters
    ----------
    area : float or numpy.ndarray
        Free area [m²].
    loss_coefficient : float or numpy.ndarray
        Pressure lost over the dynamic pressure in that area; ``1/Cd²`` of a discharge coefficient.

    Examples
    --------
    >>> round(float(effective_area(0.02, 1 / 0.65**2)), 4)
    0.013
    """
    return area * (1.0 / np.sqrt(loss_coefficient))


def loss(area: Floats, loss_coefficient: Floats = 1.0) -> Floats:
    """Loss of an opening [1/m⁴]: its coefficient over the square of its area; those in series add.

    Parameters
    ----------
    area : float or numpy.ndarray
        Free area, or effective area with a coefficient of 1, more than 0 [m²].
    loss_coefficient : float or numpy.ndarray
        Pressure lost over the dynamic pressure in that area.

    Examples
    --------
    >>> round(float(loss(0.02, 1 / 0.65**2))), round(float(loss(0.013)))
    (5917, 5917)
    """
    return loss_coefficient / np.square(area)


def resistance(density: Floats, *losses: Floats) -> Floats:
    """Resistance of openings in series, ``k`` of ``p = k V²`` [Pa/(m³/s)²].

    Parameters
    ----------
    density : float or numpy.ndarray
        Of the air [kg/m³].
    *losses : float or numpy.ndarray
        The `loss` of each opening [1/m⁴].

    Examples
    --------
    Two openings alike hold back twice as much as one.

    >>> one = resistance(1.2, loss(0.01))
    >>> round(float(one)), round(float(resistance(1.2, loss(0.01), loss(0.01)) / one))
    (6000, 2)
    """
    return 0.5 * density * sum(losses)


class Slot(NamedTuple):
    """A narrow slot that air passes, such as the gap beside a cabinet. Make one with `slot`.

    Attributes
    ----------
    inertia : float or numpy.ndarray
        Pressure lost at its mouth over the square of the mean speed [Pa/(m/s)²].
    friction : float or numpy.ndarray
        Pressure lost to friction over the speed [Pa/(m/s)].
    """

    inertia: Floats
    friction: Floats

    def speed(self, pressure_difference: Floats) -> Floats:
        """Return the mean speed [m/s] at a pressure across the slot, which isn't negative [Pa]."""
        # the positive root, in the form that loses no digits where friction rules
        root = np.sqrt(self.friction * self.friction + 4.0 * self.inertia * pressure_difference)
        return 2.0 * pressure_difference / (self.friction + root)


def slot(gap: Floats, length: Floats, temperature: Floats, pressure: Floats = air.ATMOSPHERE) -> Slot:
    """Return what a slot holds air back with.

    Parameters
    ----------
    gap : float or numpy.ndarray
        Width between its faces [m].
    length : float or numpy.ndarray
        Length along the flow [m].
    temperature, pressure : float or numpy.ndarray
        Of the air [K], of the atmosphere [Pa].

    Returns
    -------
    Slot
        Loss at the mouth and laminar friction between parallel plates (reference 2):
        ``rho u²/(2 Cd²) + 12 mu L u/s² = dp``.

    Notes
    -----
    Friction goes with the inverse square of the gap: this is why a narrow gap seals and a wide one doesn't.

    Examples
    --------
    Air beside a cabinet at a tenth of a pascal, with gaps of 1/4 in and 1 in.

    >>> [round(float(slot(gap, 1.0, 310.0).speed(0.1)), 2) for gap in (0.00635, 0.0254)]
    [0.02, 0.16]
    """
    inertia = air.density(temperature, pressure) / (2.0 * _SLOT_MOUTH**2)
    friction = 12.0 * air.viscosity(temperature) * length / np.square(np.maximum(gap, _SHUT_GAP))
    return Slot(inertia, friction)


def drawn_share(ratio: Floats, lift: Floats) -> Floats:
    """Part of a flow that takes the first of two ways side by side, whose own warm air draws it.

    Parameters
    ----------
    ratio : float or numpy.ndarray
        Resistance of the first way over that of the second.
    lift : float or numpy.ndarray
        How much more the air in the first draws than that in the second, over what the whole flow would lose
        in the second; 0 or more.

    Returns
    -------
    float or numpy.ndarray
        The root ``f`` of ``r f² - (1 - f)² = lift``, at most 1: beyond it air would come back down the
        second.

    Examples
    --------
    Two ways alike, and with half as much draught in one as all the flow would lose in the other.

    >>> round(float(drawn_share(1.0, 0.0)), 2), round(float(drawn_share(1.0, 0.5)), 2)
    (0.5, 0.75)
    """
    root = np.sqrt(np.maximum(ratio + lift * (ratio - 1.0), 0.0))
    return np.minimum((1.0 + lift) / (1.0 + root), 1.0)


def exchange_speed(height: Floats, temperature: Floats, coefficient: Floats) -> Floats:
    """Speed of air that goes both ways through an upright opening, over the root of what one is warmer.

    Parameters
    ----------
    height : float or numpy.ndarray
        Of the opening [m].
    temperature : float or numpy.ndarray
        Of the air outside [K].
    coefficient : float or numpy.ndarray
        ``C`` below: a third of the opening's discharge coefficient.

    Returns
    -------
    float or numpy.ndarray
        Volume flow over the whole area and the root of the difference in temperature [m/s/K^½]:
        ``C sqrt(g H/T)`` (reference 3).

    Examples
    --------
    Through a tenth of a square metre, a foot high, between airs 16 K apart, in m³/h.

    >>> round(0.1 * float(exchange_speed(0.3, 305.0, 0.2)) * 16**0.5 * 3600)
    28
    """
    return coefficient * np.sqrt(GRAVITY * height / temperature)


def doorway_flow(
    width: ArrayLike, height: ArrayLike, inside_temperature: ArrayLike, outside_temperature: ArrayLike
) -> np.ndarray:
    """Air that the open doorway of a cold room exchanges: cold air falls out, warm air comes in above.

    Parameters
    ----------
    width, height : array_like
        Of the doorway [m].
    inside_temperature, outside_temperature : array_like
        Temperatures of the air [K].

    Returns
    -------
    numpy.ndarray
        Volume flow of the cold air [m³/s]; 0 where it isn't colder inside. Reference 4:
        ``0.221 A sqrt(g H) (1 - rho_o/rho_i)^0.5 (2/(1 + (rho_i/rho_o)^(1/3)))^1.5``.

    Examples
    --------
    The door of a refrigerator at 38 °F, opened at 90 °F, in litres a second.

    >>> round(float(doorway_flow(0.52, 0.8, 276.5, 305.4)) * 1000)
    77
    """
    inside, outside = np.asarray(inside_temperature, float), np.asarray(outside_temperature, float)
    height = np.asarray(height, dtype=float)
    ratio = inside / outside  # of densities, outside over inside
    lighter = np.maximum(1.0 - ratio, 0.0)
    spread = (2.0 / (1.0 + ratio ** (-1.0 / 3.0))) ** 1.5
    area = np.multiply(width, height)
    return _PARAMETERS.number("door_discharge") * area * np.sqrt(GRAVITY * height * lighter) * spread


@dataclass(frozen=True)
class Fan:
    """A fan that helps the draught, with a curve ``p = p0 (1 - (V/V0)²)``. Fields may be arrays.

    Attributes
    ----------
    shut_off_pressure : float
        Pressure at no flow, ``p0`` [Pa]; 0 or more.
    free_flow : float
        Flow at no pressure, ``V0``, more than 0 [m³/s]; beyond it the fan obstructs.

    Raises
    ------
    InputError
        If it blows down, or can't be.
    """

    shut_off_pressure: Any
    free_flow: Any

    def __post_init__(self) -> None:
        check_number(
            self.shut_off_pressure,
            "The shut-off pressure of the fan",
            0.0,
            1000.0,
            "from 0 to 1000 Pa: air that a fan blows down is none that the model knows",
            "Pa",
        )
        check_number(
            self.free_flow, "The free flow of the fan", 1e-6, 10.0, "more than 0, to 10 m³/s", "m³/s"
        )

    @property
    def resistance(self) -> Floats:
        """Pressure that it gives less with flow, over the square of the flow [Pa/(m³/s)²]."""
        return np.divide(self.shut_off_pressure, np.square(self.free_flow))
