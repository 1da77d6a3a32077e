"""An invented log of a substance-temperature test: what a cup and two loggers would show over 24 hours."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from warmside.model.cup import follow

_HOTTEST_CLOCK = 16  # h
_DAY = 24 * 60  # min
_CYCLE = 47  # min; of the thermostat
_WARM_AIR, _STAYS_OPEN = 24.0, 45  # °F, min; when the door is found open


def temperature_log(
    *,
    first_hour: int,
    hottest: float,
    half_range: float,
    mean_air: float,
    rise: float,
    swing: float,
    phase: float,
    time_constant: float,
    start: float,
    error: float = 0.0,
    opened: int | None = None,
) -> list[dict[str, Any]]:
    """Return a log, a row for each hour; temperatures in °F, as the loggers give them.

    Parameters
    ----------
    first_hour : int
        Clock at which the cup is put in.
    hottest, half_range : float
        Ambient of the hottest hour, and half of what lies between it and the coolest.
    mean_air, rise, swing : float
        Cabinet air at the day's mean ambient, how much it rises with each °F of ambient, and how far the
        thermostat lets it swing to each side.
    phase : float
        Where in its cycle the thermostat is at the start, 0 to 1.
    time_constant : float
        Of the cup in the cabinet's air [s].
    start : float
        Water at the start.
    error : float, optional
        What the cup's thermometer shows too much.
    opened : int, optional
        Hour at which the door was left open for a while.

    Returns
    -------
    list of dict
        ``hour``, ``clock``, ``cup_F`` (as read), ``cabinet_air_F``, ``ambient_F``, ``remark``.
    """
    minutes = np.arange(_DAY + 1)
    wave = np.cos(2 * np.pi * (first_hour + minutes / 60 - _HOTTEST_CLOCK) / 24)
    ambient = hottest + half_range * (wave - 1)
    cycle = swing * (2 * np.abs((minutes / _CYCLE + phase) % 1 * 2 - 1) - 1)
    air = mean_air + rise * half_range * wave + cycle
    remarks = {0: "cup put in, door shut"}
    if opened is not None:
        air[opened * 60 : opened * 60 + _STAYS_OPEN] += _WARM_AIR
        remarks[opened + 1] = "door found open, shut again"
    return logged(first_hour, air, ambient, time_constant, start, error, remarks)


def logged(
    first_hour: int,
    air: np.ndarray,
    ambient: np.ndarray,
    time_constant: float,
    start: float,
    error: float,
    remarks: Mapping[int, str],
) -> list[dict[str, Any]]:
    """Return the log of a cup in cabinet air that is known each minute of a day; temperatures in °F.

    Parameters
    ----------
    first_hour : int
        Clock at which the cup is put in.
    air, ambient : numpy.ndarray
        Of the cabinet and outside, each minute, from the start to the end.
    time_constant, start, error : float
        As of `temperature_log`.
    remarks : mapping of int to str
        What was written down, by the hour.

    Returns
    -------
    list of dict
        As of `temperature_log`.
    """
    cup = follow(air[1:], 60.0, start, time_constant)
    return [
        {
            "hour": hour,
            "clock": f"{(first_hour + hour) % 24:02d}:00",
            "cup_F": round(float(cup[hour * 60]) + error, 1),
            "cabinet_air_F": round(float(air[hour * 60]), 1),
            "ambient_F": round(float(ambient[hour * 60]), 1),
            "remark": remarks.get(hour, ""),
        }
        for hour in range(25)
    ]
