"""Make the table behind `warmside.properties.ammonia_water`, and points between its nodes to test it with.

The ammonia-water formulation IAPWS G4-01 is solved for phase equilibrium on a grid of pressure and mass
fraction. teqp has the residual Helmholtz energy and the equilibrium solver; the ideal-gas part, needed for
enthalpies, stands below. Run it after a change of grid or formulation:

    pip install -e '.[build-tables]'
    python assets/ammonia_water/make_table.py

It takes half a minute and writes

- ``course/warmside/properties/ammonia_water.npz``: temperature, logarithm of the relative volatility,
  enthalpy of the saturated liquid and of the vapour in equilibrium with it, at the nodes;
- ``tests/reference/ammonia_water_points.json``: the same at random points that lie on no node.

Coordinates: the rows are equally spaced in ln p between a lowest pressure that rises with the mass fraction
(below it the liquid is colder than the 250 K that the table is made for) and the highest pressure; the
columns are equally spaced in the square root of the ammonia mass fraction of the liquid. The square root is
there since the departure function of the formulation goes with x^1.52 for small x: in x the slope of the
volatility would be infinite at pure water, in the square root it is smooth.

References
----------
R. Tillner-Roth, D. G. Friend, "A Helmholtz Free Energy Formulation of the Thermodynamic Properties of the
Mixture {Water + Ammonia}", J. Phys. Chem. Ref. Data 27 (1998) 63; IAPWS G4-01 (2001), Table 2 (ideal part).
I. H. Bell, U. K. Deiters, A. M. M. Leal, "Implementing an Equation of State without Derivatives: teqp",
Ind. Eng. Chem. Res. 61 (2022) 6010.
"""

import json
import math
from pathlib import Path

import numpy as np
import teqp

ROOT = Path(__file__).resolve().parents[2]
TABLE = ROOT / "course/warmside/properties/ammonia_water.npz"
POINTS = ROOT / "tests/reference/ammonia_water_points.json"

ROWS, COLUMNS = 25, 57
LOWEST_PRESSURE = 900.0  # over pure water [Pa]
LOWEST_PRESSURE_RATIO = 90.0  # over pure ammonia, relative to that over pure water
HIGHEST_PRESSURE = 4e6

GAS_CONSTANT = 8.314471  # as in the formulation [J/(mol K)]
MOLAR_MASS = np.array([17.03026e-3, 18.015268e-3])  # ammonia, water, as in the formulation [kg/mol]
REFERENCE_TEMPERATURE = 273.16  # enthalpy of each pure saturated liquid is zero there [K]
# Mole fractions that stand for none, since the solver takes logarithms. Less water than this among cold
# ammonia is lost in rounding; it shifts the temperature by 0.00006 K.
AMMONIA_TRACE, WATER_TRACE = 1e-8, 1e-6

MODEL = teqp.AmmoniaWaterTillnerRoth()
TIGHT = teqp.MixVLEpxFlags()
TIGHT.atol = TIGHT.axtol = 0.0
TIGHT.reltol, TIGHT.relxtol, TIGHT.maxiter = 1e-11, 1e-12, 60


def mole_fractions(mass_fraction):
    """Mole fractions of ammonia and water at an ammonia mass fraction."""
    amounts = np.array([mass_fraction, 1.0 - mass_fraction]) / MOLAR_MASS
    ammonia = min(max(amounts[0] / amounts.sum(), AMMONIA_TRACE), 1.0 - WATER_TRACE)
    return np.array([ammonia, 1.0 - ammonia])


def ideal_enthalpies(temperature):
    """Ideal-gas enthalpies of ammonia and water [J/mol], from the ideal part of the formulation, Table 2."""
    tau = 500.0 / temperature
    ammonia = -1.0 / tau + 4.036946
    for n, t in ((10.69955, 1 / 3), (-1.775436, -3 / 2), (0.82374034, -7 / 4)):
        ammonia += n * t * tau ** (t - 1.0)
    water = 3.006320 / tau + 8.649358
    for n, theta in (
        (0.012436, 1.666), (0.97315, 4.578), (1.279500, 10.018), (0.969560, 11.964), (0.248730, 35.600)
    ):  # fmt: skip
        water += n * theta / math.expm1(theta * tau)
    return GAS_CONSTANT * temperature * (1.0 + tau * np.array([ammonia, water]))


def pressure(temperature, density, fractions):
    """Pressure [Pa] at a molar density [mol/m³]."""
    return density * GAS_CONSTANT * temperature * (1.0 + MODEL.get_Ar01(temperature, density, fractions))


def native_enthalpy(temperature, density, fractions):
    """Enthalpy [J/kg] with the zero of the formulation."""
    residual = MODEL.get_Ar01(temperature, density, fractions) + MODEL.get_Ar10(
        temperature, density, fractions
    )
    molar = fractions @ ideal_enthalpies(temperature) + GAS_CONSTANT * temperature * residual
    return molar / (fractions @ MOLAR_MASS)


def pure(component, temperature, liquid_density, vapour_density):
    """Molar densities of saturated liquid and vapour of one component."""
    fractions = mole_fractions(1.0 if component == 0 else 0.0)
    liquid, vapour = MODEL.pure_VLE_T(temperature, liquid_density, vapour_density, 30, fractions)
    return fractions, liquid, vapour


def zero_enthalpies():
    """Enthalpies of pure saturated ammonia and water at the reference temperature [J/kg], native zero."""
    zeros = []
    for component, liquid, vapour in ((0, 37.5e3, 203.0), (1, 55.5e3, 0.27)):
        fractions, liquid, _ = pure(component, REFERENCE_TEMPERATURE, liquid, vapour)
        zeros.append(native_enthalpy(REFERENCE_TEMPERATURE, liquid, fractions))
    return np.array(zeros)


ZERO = zero_enthalpies()


def enthalpy(temperature, densities):
    """Enthalpy [J/kg], zero for the saturated liquid of each pure component at 273.16 K."""
    fractions = densities / densities.sum()
    masses = fractions * MOLAR_MASS
    return native_enthalpy(temperature, densities.sum(), fractions) - masses @ ZERO / masses.sum()


def boiling_water(at_pressure):
    """Temperature and molar densities of boiling water, by steps along Clausius and Clapeyron."""
    temperature = 1.0 / (1.0 / 373.124 - math.log(at_pressure / 101325.0) * GAS_CONSTANT / 40.6e3)
    liquid, vapour = 53e3 - 21.0 * (temperature - 373.0), at_pressure / GAS_CONSTANT / temperature
    while True:
        fractions, liquid, vapour = pure(1, temperature, liquid, vapour)
        ratio = pressure(temperature, vapour, fractions) / at_pressure
        if abs(ratio - 1.0) < 1e-11:
            return temperature, liquid * fractions, vapour * fractions
        temperature = 1.0 / (1.0 / temperature + math.log(ratio) * GAS_CONSTANT / 42e3)
        vapour /= ratio


def equilibrium(at_pressure, fractions, temperature, liquid, vapour):
    """Temperature and partial molar densities of the boiling liquid and its vapour, from a guess of them."""
    volatilities = vapour / vapour.sum() / (liquid / liquid.sum())
    vapour_fractions = fractions * volatilities / (fractions @ volatilities)
    liquid, vapour = liquid.sum() * fractions, vapour.sum() * vapour_fractions
    for _ in range(4):
        _, temperature, liquid, vapour = MODEL.mixture_VLE_px(
            at_pressure, fractions, temperature, liquid, vapour, TIGHT
        )
        if imbalance(at_pressure, temperature, liquid, vapour) < 1e-6:
            return temperature, liquid, vapour
    raise ArithmeticError(f"no equilibrium at {at_pressure} Pa, mole fractions {fractions}")


def imbalance(at_pressure, temperature, liquid, vapour):
    """Largest relative difference of fugacities and pressures between the phases."""
    fugacities = [
        np.log(MODEL.get_fugacity_coefficients(temperature, phase) * phase / phase.sum())
        for phase in (liquid, vapour)
    ]
    pressures = [
        pressure(temperature, phase.sum(), phase / phase.sum()) / at_pressure - 1.0
        for phase in (liquid, vapour)
    ]
    worst = np.abs([*(fugacities[0] - fugacities[1]), *pressures]).max()
    return worst if np.isfinite(worst) else np.inf


def describe(temperature, liquid, vapour):
    """Temperature [K], ln of the relative volatility, enthalpies of liquid and vapour [J/kg]."""
    volatility = math.log(vapour[0] / vapour[1] * liquid[1] / liquid[0])
    return temperature, volatility, enthalpy(temperature, liquid), enthalpy(temperature, vapour)


def lowest_pressure(mass_fraction):
    """Pressure of the first row [Pa]."""
    return LOWEST_PRESSURE * LOWEST_PRESSURE_RATIO**mass_fraction


def along(states):
    """Solve equilibrium at (pressure, mass fraction) after (pressure, mass fraction), from pure water on."""
    state, previous = boiling_water(states[0][0]), None
    solved = []
    for at_pressure, mass_fraction in states:
        guess = state
        if previous is not None:
            guess = (2.0 * state[0] - previous[0], *state[1:])
        previous = state
        state = equilibrium(at_pressure, mole_fractions(mass_fraction), *guess)
        solved.append(describe(*state))
    return np.array(solved)


def row(place, roots):
    """Solve one row of the table: `place` from 0 at the lowest to 1 at the highest pressure."""
    low = [lowest_pressure(root**2) for root in roots]
    return along([(p * (HIGHEST_PRESSURE / p) ** place, root**2) for p, root in zip(low, roots, strict=True)])


def make_table():
    """Return the nodes, shape (4, ROWS, COLUMNS)."""
    fine = 4  # steps between columns, so that each is a good guess for the next
    roots = np.linspace(0.0, 1.0, (COLUMNS - 1) * fine + 1)
    return np.moveaxis([row(place, roots)[::fine] for place in np.linspace(0.0, 1.0, ROWS)], -1, 0)


def make_points(count=400):
    """Return random points off the grid, at 250 K and 2 kPa or more, as dictionaries."""
    random = np.random.default_rng(19980101)
    points = []
    while len(points) < count:
        place, target = random.random(2)
        roots = np.linspace(0.0, target, 200)
        mass_fraction = target**2
        low = lowest_pressure(mass_fraction)
        at_pressure = low * (HIGHEST_PRESSURE / low) ** place
        temperature, volatility, liquid, vapour = row(place, roots)[-1]
        if temperature < 250.0 or at_pressure < 2e3:
            continue
        odds = math.exp(volatility) * mass_fraction / (1.0 - mass_fraction)
        points.append(
            {
                "pressure": at_pressure,
                "liquid_mass_fraction": mass_fraction,
                "temperature": temperature,
                "vapour_mass_fraction": odds / (1.0 + odds),
                "liquid_enthalpy": liquid,
                "vapour_enthalpy": vapour,
            }
        )
    return points


def check_formulation():
    """Compare pressures with the verification values of IAPWS G4-01, Table 6, before anything is made."""
    for ammonia, temperature, density, published in (
        (0.1, 600.0, 35e3, 32.1221333e6),
        (0.1, 600.0, 4e3, 12.772109e6),
        (0.5, 500.0, 1e3, 3.642308e6),
        (0.9, 400.0, 30e3, 22.2830797e6),
    ):
        found = pressure(temperature, density, np.array([ammonia, 1.0 - ammonia]))
        if abs(found / published - 1.0) > 1e-6:
            raise ArithmeticError(f"{found} Pa in place of {published} Pa at {temperature} K, x = {ammonia}")


def main():
    check_formulation()
    temperature, volatility, liquid, vapour = make_table()
    np.savez_compressed(
        TABLE,
        temperature=temperature,
        log_relative_volatility=volatility,
        liquid_enthalpy=liquid,
        vapour_enthalpy=vapour,
        lowest_pressure=LOWEST_PRESSURE,
        lowest_pressure_ratio=LOWEST_PRESSURE_RATIO,
        highest_pressure=HIGHEST_PRESSURE,
    )
    source = f"IAPWS G4-01, solved with teqp {teqp.__version__} by assets/ammonia_water/make_table.py"
    lines = ",\n".join(json.dumps(point) for point in make_points())
    POINTS.write_text(f'{{"source": {json.dumps(source)},\n"points": [\n{lines}\n]}}\n')
    for path in (TABLE, POINTS):
        print(f"{path.relative_to(ROOT)}: {path.stat().st_size / 1024:.0f} kB")


if __name__ == "__main__":
    main()
