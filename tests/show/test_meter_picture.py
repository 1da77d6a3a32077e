"""The still picture of a meter on a heater's circuit."""

from itertools import product

import pytest

from warmside.show.heater_meter import FAULTS, HEATERS, MYSTERIES, MeterOnHeater
from warmside.show.meter_because import because
from warmside.show.meter_picture import alt_text, meter_figure
from warmside.show.pictures import png


@pytest.mark.parametrize("heater", HEATERS)
def test_every_setting_gives_a_picture_of_one_size(heater):
    for fault, isolated, meter in product((*FAULTS, MYSTERIES[1]), (False, True), ("volts", "amps", "ohms")):
        setting = MeterOnHeater(heater, fault, False, isolated, meter, "F", "N")
        assert alt_text(setting).endswith(because(setting))
    figure = meter_figure(setting)
    assert figure.get_size_inches() == pytest.approx((10, 6))
    assert png(figure).startswith(b"\x89PNG")


def test_pictures_are_large_enough_to_read():
    for text in meter_figure(MeterOnHeater()).findobj(lambda artist: hasattr(artist, "get_fontsize")):
        assert text.get_fontsize() >= 14 or not text.get_text()
