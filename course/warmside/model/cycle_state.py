"""What a cooling unit is made of and what state its cycle is in: what the equations take and give.

`Settling` is what the search for a steady state looks for; as unknowns of which a change of one matters its
temperature of the solution is tens of kelvins above the ambient, its flows those over the rating's, its
spread thirtieths, its pressures bars, and its coils' and compartments' temperatures 33 kelvins each.

Examples
--------
>>> unit = Unit(*[1.0] * 20)._replace(design_vapour_flow=5.8e-5)
>>> begin = from_unknowns(np.array(START), unit, 300.0)
>>> float(begin.absorber_temperature), float(begin.freezer_coil_coldest)
(315.0, 255.0)
>>> [round(float(unknown), 3) for unknown in to_unknowns(begin, unit, 300.0)]
[1.5, 1.05, 1.0, 4.6, 3.0, 7.65, 7.92, 8.19]
"""

from typing import NamedTuple

import numpy as np

from warmside.arrays import Floats


class Unit(NamedTuple):
    """A cooling unit, the heat it gets, and what its coils are coupled to.

    Each is a number or an array of shape (cases,).

    Attributes
    ----------
    heat_input : float or numpy.ndarray
        Heat that reaches the boiler [W].
    charge_pressure : float or numpy.ndarray
        Pressure of the charge at 25 °C, standing [Pa].
    circulation : float or numpy.ndarray
        What is left of the solution's circulation, 1 in good order and level.
    design_vapour_flow : float or numpy.ndarray
        Ammonia that leaves the rectifier at the rating [kg/s].
    gas_flow : float or numpy.ndarray
        Hydrogen that goes round at the rating [mol/s].
    absorber_conductance, condenser_conductance : float or numpy.ndarray
        To the air [W/K]; the condenser's at the air speed of its definition.
    boiler_loss_conductance : float or numpy.ndarray
        Through the boiler's insulation [W/K].
    freezer_conductance, food_conductance : float or numpy.ndarray
        From the surroundings into the compartments [W/K].
    freezer_coil_conductance, food_coil_conductance : float or numpy.ndarray
        From the compartments to their coils [W/K].
    partition_conductance : float or numpy.ndarray
        Between the compartments [W/K].
    pressure_rise, pump_threshold, pump_bend, wetting_exponent : float or numpy.ndarray
    freezer_share, condensing_limit_width, condenser_still_share : float or numpy.ndarray
        As the table of parameters says; little is known of them.
    """

    heat_input: Floats
    charge_pressure: Floats
    circulation: Floats
    design_vapour_flow: Floats
    gas_flow: Floats
    absorber_conductance: Floats
    condenser_conductance: Floats
    boiler_loss_conductance: Floats
    freezer_conductance: Floats
    food_conductance: Floats
    freezer_coil_conductance: Floats
    food_coil_conductance: Floats
    partition_conductance: Floats
    pressure_rise: Floats
    pump_threshold: Floats
    pump_bend: Floats
    wetting_exponent: Floats
    freezer_share: Floats
    condensing_limit_width: Floats
    condenser_still_share: Floats


class Settling(NamedTuple):
    """What settles in the search for a steady cycle; arrays of shape (cases,).

    Attributes
    ----------
    absorber_temperature : numpy.ndarray
        Of the solution that leaves the absorber [K].
    vapour_flow, condensate_flow : numpy.ndarray
        Ammonia that leaves the rectifier, and what of it condenses [kg/s].
    spread : numpy.ndarray
        Ammonia that the solution from the boiler is short of equilibrium in the absorber [kg/kg].
    rich_gas_pressure : numpy.ndarray
        Pressure of the ammonia in the gas that comes to the absorber [Pa].
    freezer_coil_coldest, food_coil_coldest : numpy.ndarray
        What the coils would come to if there were ammonia enough [K].
    food_temperature : numpy.ndarray
        Of the food compartment [K].
    """

    absorber_temperature: Floats
    vapour_flow: Floats
    condensate_flow: Floats
    spread: Floats
    rich_gas_pressure: Floats
    freezer_coil_coldest: Floats
    food_coil_coldest: Floats
    food_temperature: Floats


COLDEST, WARMEST = 205.0, 400.0
"""Between which coils and compartments are looked for [K]."""
COLD = 0.03
"""Unknowns for a kelvin of coils and compartments."""
FOOD = 7
"""Which unknown is the temperature of the food compartment."""
_SPREAD = 30.0  # unknowns for a spread of 1
START = (1.5, 1.05, 1.0, 4.6, 3.0, *(COLD * each for each in (255.0, 264.0, 273.0)))
"""Where the search begins: a unit that runs."""
STANDING = (0.3, 0.05, 0.05, 2.0, 0.5, *(COLD * each for each in (295.0, 297.0, 300.0)))
DRIVEN = (4.0, 1.5, 1.5, 6.0, 6.0, *(COLD * each for each in (230.0, 240.0, 260.0)))
"""Other places to begin at: a unit that stands, and one that is driven hard."""
LOWER = (0.0, 0.0, 0.0, 0.0, 0.0001, *(COLD * COLDEST,) * 3)
UPPER = (12.0, 6.0, 6.0, 15.0, 30.0, *(COLD * WARMEST,) * 3)
"""Between which the unknowns are looked for."""


def from_unknowns(x: np.ndarray, unit: Unit, ambient_temperature: Floats) -> Settling:
    """Return what the unknowns stand for; `x` has shape (8, cases)."""
    return Settling(
        ambient_temperature + 10.0 * x[0],
        unit.design_vapour_flow * x[1],
        unit.design_vapour_flow * x[2],
        x[3] / _SPREAD,
        1e5 * x[4],
        x[5] / COLD,
        x[6] / COLD,
        x[7] / COLD,
    )


def to_unknowns(then: Settling, unit: Unit, ambient_temperature: Floats) -> tuple[Floats, ...]:
    """Return the rows of unknowns that stand for this."""
    return (
        0.1 * (then.absorber_temperature - ambient_temperature),
        then.vapour_flow / unit.design_vapour_flow,
        then.condensate_flow / unit.design_vapour_flow,
        _SPREAD * then.spread,
        1e-5 * then.rich_gas_pressure,
        COLD * then.freezer_coil_coldest,
        COLD * then.food_coil_coldest,
        COLD * then.food_temperature,
    )


class Cycle(NamedTuple):
    """State of a cycle; arrays of shape (cases,).

    Attributes
    ----------
    pressure : numpy.ndarray
        The total pressure [Pa].
    boiler_temperature, absorber_temperature, condensing_temperature : numpy.ndarray
        [K].
    condensing_enthalpy : numpy.ndarray
        Heat that vapour gives off when it condenses [J/kg].
    freezer_coil_temperature, food_coil_temperature : numpy.ndarray
        Where ammonia evaporates [K].
    freezer_coil_coldest, food_coil_coldest : numpy.ndarray
        What the same would come to if there were ammonia enough [K].
    freezer_temperature, food_temperature : numpy.ndarray
        Of the compartments [K].
    circulation_ratio : numpy.ndarray
        Rich solution over vapour, by mass.
    rich_fraction, weak_fraction : numpy.ndarray
        Ammonia in the solution to and from the boiler [kg/kg].
    rich_gas_pressure, weak_gas_pressure : numpy.ndarray
        Pressure of the ammonia in the gas to and from the absorber [Pa].
    vapour_flow, condensate_flow : numpy.ndarray
        Ammonia that leaves the rectifier, and what of it condensed on the last round [kg/s].
    lift : numpy.ndarray
        Solution that the pump lifts over that at the rating.
    spread : numpy.ndarray
        As in `Settling`, for the next round.
    heat_input, boiler_loss, rectifier_heat, condenser_heat, absorber_heat : numpy.ndarray
        [W], given off to the air but for the first.
    freezer_cooling, food_cooling : numpy.ndarray
        Heat taken out of the compartments [W].
    freezer_cooling_limit, food_cooling_limit : numpy.ndarray
        What could be taken out of them at most with the ammonia that condenses [W].
    """

    pressure: Floats
    boiler_temperature: Floats
    absorber_temperature: Floats
    condensing_temperature: Floats
    condensing_enthalpy: Floats
    freezer_coil_temperature: Floats
    food_coil_temperature: Floats
    freezer_coil_coldest: Floats
    food_coil_coldest: Floats
    freezer_temperature: Floats
    food_temperature: Floats
    circulation_ratio: Floats
    rich_fraction: Floats
    weak_fraction: Floats
    rich_gas_pressure: Floats
    weak_gas_pressure: Floats
    vapour_flow: Floats
    condensate_flow: Floats
    lift: Floats
    spread: Floats
    heat_input: Floats
    boiler_loss: Floats
    rectifier_heat: Floats
    condenser_heat: Floats
    absorber_heat: Floats
    freezer_cooling: Floats
    food_cooling: Floats
    freezer_cooling_limit: Floats
    food_cooling_limit: Floats

    @property
    def capacity(self) -> Floats:
        """Heat taken out of both compartments [W]."""
        return self.freezer_cooling + self.food_cooling

    @property
    def cop(self) -> Floats:
        """Coefficient of performance: capacity over heat input; 0 without heat."""
        heat = np.asarray(self.heat_input, dtype=float)
        return np.divide(self.capacity, heat, out=np.zeros_like(self.capacity), where=heat > 0)
