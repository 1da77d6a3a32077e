"""Random installations, faults and all, for tests and benchmarks."""

import numpy as np

from warmside.model.refrigerator import NO_BAFFLE, Installation

COOLEST, HOTTEST = 294.0, 319.0  # K; 70 to 115 °F


def random_installations(count: int, seed: int) -> tuple[Installation, np.ndarray]:
    """Installations of all sizes, most with a fault or several, and an ambient for each [K]."""
    random = np.random.default_rng(seed)

    def sometimes(share, lowest, highest):
        return np.where(random.random(count) < share, random.uniform(lowest, highest, count), 0.0)

    correct = Installation.of(random.choice(["6 cu ft", "8 cu ft", "18 cu ft"], count))
    return correct.changed(
        baffle_gap=np.where(random.random(count) < 0.3, NO_BAFFLE, random.uniform(0.005, 0.03, count)),
        rear_gap=0.02 + sometimes(0.3, 0.0, 0.12),
        side_gap=random.uniform(0.002, 0.025, count),
        fin_fouling=sometimes(0.4, 0.0, 0.6),
        lower_vent_blocked=sometimes(0.3, 0.0, 0.85),
        upper_vent_blocked=sometimes(0.3, 0.0, 0.85),
        pocket_opening=sometimes(0.3, 0.0, 0.2),
        recirculation=sometimes(0.2, 0.0, 0.3),
        heat_input=correct.heat_input * random.uniform(0.7, 1.12, count),
        side_tilt=np.radians(sometimes(0.3, 0.0, 6.0)),
        charge_pressure=correct.charge_pressure * random.uniform(0.8, 1.05, count),
        load=sometimes(0.3, 0.0, 0.6),
        wind_pressure=sometimes(0.3, -0.3, 0.5),
    ), random.uniform(COOLEST, HOTTEST, count)


def wild_installations(count: int, seed: int) -> tuple[Installation, dict[str, np.ndarray]]:
    """Installations with anything wrong with them, by itself and together, from none of it to all of it.

    With ambient, room and setting for each, as `steady_state` takes them [K]; half have no thermostat, which
    is a setting that the unit never comes to.
    """
    random = np.random.default_rng(seed)

    def sometimes(share, lowest, highest, usual):
        return np.where(random.random(count) < share, random.uniform(lowest, highest, count), usual)

    correct = Installation.of(
        random.choice(["6 cu ft", "8 cu ft", "18 cu ft"], count),
        heat_source=random.choice(["mains", "battery", "gas"], count),
    )
    installation = correct.changed(
        heat_input=correct.heat_input * sometimes(0.4, 0.0, 1.3, 1.0),
        side_tilt=np.radians(sometimes(0.2, 0.0, 8.0, 0.0)),
        circulation=sometimes(0.2, 0.0, 1.0, 1.0),
        charge_pressure=sometimes(0.2, 8e5, 30e5, correct.charge_pressure),
        boiler_insulation=sometimes(0.2, 0.1, 1.0, 1.0),
        fin_fouling=sometimes(0.3, 0.0, 0.9, 0.0),
        lower_vent_blocked=sometimes(0.3, 0.0, 1.0, 0.0),
        upper_vent_blocked=sometimes(0.2, 0.0, 1.0, 0.0),
        top_gap=sometimes(0.3, 0.0, 0.1, 0.0),
        side_gap=sometimes(0.4, 0.0, 0.03, 0.006),
        baffle_gap=np.where(random.random(count) < 0.3, NO_BAFFLE, 0.01),
        recirculation=sometimes(0.2, 0.0, 0.4, 0.0),
        load=sometimes(0.5, 0.0, 0.8, 0.0),
        door_seal=sometimes(0.2, 0.0, 2.0, 0.0),
        frost=sometimes(0.2, 0.0, 0.3, 0.0),
    )
    ambient = random.uniform(277.6, 322.0, count)  # 40 to 120 °F
    return installation, {
        "ambient_temperature": ambient,
        "room_temperature": ambient + sometimes(0.3, -7.0, 5.0, 0.0),
        "setting": np.where(random.random(count) < 0.5, 275.9, 0.0),
    }
