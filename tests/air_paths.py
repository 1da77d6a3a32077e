"""An enclosure's air path to test: about that of eight cubic feet, on a day of 90 °F."""

from warmside.model.enclosure import AirPath, air_path

AMBIENT = 305.0
"""[K]."""
USUAL = dict(
    ambient_temperature=AMBIENT,
    room_temperature=AMBIENT,
    lower_area=0.075,
    upper_area=0.065,
    fin_area=0.05,
    baffle_gap=0.01,
    cavity_depth=0.105,
    width=0.6,
    absorber_height=0.9,
    outlet_height=0.6,
    side_gap=0.006,
    side_height=1.35,
    pocket_area=0.0,
)


def path(**changes) -> AirPath:
    return air_path(**{**USUAL, **changes})
