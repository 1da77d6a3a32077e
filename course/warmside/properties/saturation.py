"""The table of boiling ammonia-water, and solving on it for pressures and mass fractions.

Works on one-dimensional arrays of floats, without checks of range; `warmside.properties.ammonia_water` is
what to call. Unknowns are found by Newton's method in ln p, in the mass fraction w or in its log odds
ln(w / (1 - w)), whichever makes the equation nearly linear; where it doesn't arrive, the answer is nan.
"""

from functools import cache
from importlib.resources import files

import numpy as np

from warmside.properties.bicubic import BicubicTable, Place

QUANTITIES = ("temperature", "log_relative_volatility", "liquid_enthalpy", "vapour_enthalpy")
TEMPERATURE, VOLATILITY, LIQUID_ENTHALPY, VAPOUR_ENTHALPY = range(4)

_CLOSE = 1e-6  # a last step that counts as arrived; Newton's next would be about its square
_CLOSE_TEMPERATURE = 1e-4  # the same for an error that is judged instead of a step [K]
_TRACE = 1e-9  # mass fraction that stands for none in a division by its square root
_MOST_ODDS = 25.0  # log odds that stand for all of a vapour, and twice that for all of a liquid


class SaturationTable(BicubicTable):
    """Boiling liquid and its vapour by ln p and by the ammonia mass fraction of the liquid.

    Parameters
    ----------
    nodes : numpy.ndarray
        The `QUANTITIES` at the nodes, shape (4, rows, columns). Rows are equally spaced in ln p, columns in
        the square root of the mass fraction.
    lowest_pressure, lowest_pressure_ratio, highest_pressure : float
        The first row stands at ``lowest_pressure * lowest_pressure_ratio**mass_fraction``, the last at
        ``highest_pressure`` [Pa].
    """

    def __init__(
        self, nodes: np.ndarray, lowest_pressure: float, lowest_pressure_ratio: float, highest_pressure: float
    ):
        super().__init__(nodes)
        self.low, self.low_slope = np.log(lowest_pressure), np.log(lowest_pressure_ratio)
        self.high = np.log(highest_pressure)
        self.middle = 0.5 * (self.low + self.low_slope + self.high)
        self.tried = (self.low - 1.0, self.high + 1.0)
        # Log odds of liquids and of their vapours at the middle pressure: where to begin to look.
        self._liquid_odds = np.linspace(-_MOST_ODDS, _MOST_ODDS, 401)
        place = self.place(np.full(401, self.middle), _fraction(self._liquid_odds))
        self._vapour_odds = self._liquid_odds + self.value(VOLATILITY, place)

    def place(self, log_pressure: np.ndarray, mass_fraction: np.ndarray) -> Place:
        """Find the place in the table of a boiling liquid."""
        low = self.low + self.low_slope * mass_fraction
        return self.locate((log_pressure - low) / (self.high - low), np.sqrt(mass_fraction))

    def temperature(self, log_pressure: np.ndarray, mass_fraction: np.ndarray) -> np.ndarray:
        """Boiling temperature [K]."""
        return self.value(TEMPERATURE, self.place(log_pressure, mass_fraction))

    def log_bubble_pressure(self, temperature: np.ndarray, mass_fraction: np.ndarray) -> np.ndarray:
        """Solve for ln p at which a liquid boils; 1/T is nearly linear in it."""
        log_pressure = np.full_like(temperature, self.middle)
        for _ in range(5):
            now, by_log_pressure, _ = self._with_slopes(TEMPERATURE, log_pressure, mass_fraction)
            step = (now / temperature - 1.0) * now / by_log_pressure
            log_pressure = np.clip(log_pressure - step, *self.tried)
        return np.where(np.abs(step) < _CLOSE, log_pressure, np.nan)

    def liquid_mass_fraction(self, log_pressure: np.ndarray, temperature: np.ndarray) -> np.ndarray:
        """Solve for the mass fraction of the liquid that boils at a temperature."""
        water, ammonia = (
            self.temperature(log_pressure, np.full_like(log_pressure, end)) for end in (0.0, 1.0)
        )
        warmth = np.clip((temperature - ammonia) / (water - ammonia), 0.0, 1.0)
        mass_fraction = np.maximum(1.0 - np.sqrt(warmth), _TRACE)
        for _ in range(6):
            now, _, by_mass_fraction = self._with_slopes(TEMPERATURE, log_pressure, mass_fraction)
            error = now - temperature
            mass_fraction = np.clip(mass_fraction - error / by_mass_fraction, _TRACE, 1.0)
        return np.where(np.abs(error) < _CLOSE_TEMPERATURE, mass_fraction, np.nan)

    def liquid_under_vapour(self, log_pressure: np.ndarray, vapour_mass_fraction: np.ndarray) -> np.ndarray:
        """Solve for the mass fraction of the liquid from which a vapour rises at a pressure."""
        vapour_odds = _log_odds(vapour_mass_fraction)
        odds = self._guess_liquid(vapour_odds)
        for _ in range(6):
            liquid = _fraction(odds)
            volatility, _, by_liquid = self._with_slopes(VOLATILITY, log_pressure, liquid)
            step = (odds + volatility - vapour_odds) / (1.0 + by_liquid * liquid * (1.0 - liquid))
            odds = np.clip(odds - step, -2.0 * _MOST_ODDS, 2.0 * _MOST_ODDS)
        return np.where(np.abs(step) < _CLOSE, _fraction(odds), np.nan)

    def state_of_vapour(
        self, temperature: np.ndarray, vapour_mass_fraction: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Solve for ln p and the liquid's mass fraction at the dew point of a vapour of a temperature."""
        vapour_odds = _log_odds(vapour_mass_fraction)
        odds = self._guess_liquid(vapour_odds)
        log_pressure = np.full_like(temperature, self.middle)
        for _ in range(7):
            liquid = _fraction(odds)
            by_odds = liquid * (1.0 - liquid)
            now, now_by_pressure, now_by_liquid = self._with_slopes(TEMPERATURE, log_pressure, liquid)
            volatility, by_pressure, by_liquid = self._with_slopes(VOLATILITY, log_pressure, liquid)
            # Two errors and their slopes in the two unknowns, for Cramer's rule.
            too_hot, too_rich = (now / temperature - 1.0) * now, odds + volatility - vapour_odds
            slope, now_by_odds = 1.0 + by_liquid * by_odds, now_by_liquid * by_odds
            determinant = now_by_pressure * slope - now_by_odds * by_pressure
            step = (too_hot * slope - too_rich * now_by_odds) / determinant
            odds_step = (too_rich * now_by_pressure - too_hot * by_pressure) / determinant
            log_pressure = np.clip(log_pressure - step, *self.tried)
            odds = np.clip(odds - odds_step, -2.0 * _MOST_ODDS, 2.0 * _MOST_ODDS)
        arrived = (np.abs(step) < _CLOSE) & (np.abs(odds_step) < _CLOSE)
        return np.where(arrived, log_pressure, np.nan), np.where(arrived, _fraction(odds), np.nan)

    def _with_slopes(self, quantity, log_pressure, mass_fraction):
        """Return a quantity and its derivatives with respect to ln p and to the mass fraction."""
        span = self.high - self.low - self.low_slope * mass_fraction
        value, by_row, by_column = self.value_and_slopes(quantity, self.place(log_pressure, mass_fraction))
        row_by_mass_fraction = self.low_slope * (log_pressure - self.high) / span**2
        column_by_mass_fraction = 0.5 / np.sqrt(np.maximum(mass_fraction, _TRACE))
        return value, by_row / span, by_row * row_by_mass_fraction + by_column * column_by_mass_fraction

    def _guess_liquid(self, vapour_odds):
        return np.interp(vapour_odds, self._vapour_odds, self._liquid_odds)


@cache
def saturation_table() -> SaturationTable:
    """Read the stored table."""
    with (files("warmside.properties") / "ammonia_water.npz").open("rb") as file, np.load(file) as stored:
        nodes = np.stack([stored[name] for name in QUANTITIES])
        limits = {name: float(stored[name]) for name in stored if name not in QUANTITIES}
    return SaturationTable(nodes, **limits)


def _log_odds(mass_fraction):
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.clip(np.log(mass_fraction / (1.0 - mass_fraction)), -_MOST_ODDS, _MOST_ODDS)


def _fraction(log_odds):
    return 1.0 / (1.0 + np.exp(-log_odds))
