"""Free convection against published correlations as printed or as other libraries give them.

The conductances that the model is calibrated with are held against them too: of the right size, no more.
"""

import numpy as np
import pytest

from warmside.data import load
from warmside.model import convection
from warmside.properties import air


@pytest.mark.parametrize(
    ("rayleigh", "nusselt"), [(1e4, 5.432745), (1e6, 16.558403), (1e9, 122.856535), (1e10, 252.27765)]
)
def test_upright_plate(rayleigh, nusselt):
    # Churchill and Chu 1975, Pr = 0.71; Incropera et al., eq. 9.26
    assert convection.plate_nusselt(rayleigh, 0.71) == pytest.approx(nusselt, rel=1e-6)


CHANNEL = np.array([0.1, 1.0, 10.0, 100.0, 1000.0, 1e4])


def test_between_two_plates():
    # Bar-Cohen and Rohsenow 1984; Incropera et al., eq. 9.47 with table 9.3
    both = [0.004166, 0.041563, 0.387272, 1.703501, 3.308912, 5.902221]
    one = [0.008331, 0.082515, 0.652665, 1.821497, 3.316766, 5.902665]
    assert convection.channel_nusselt(CHANNEL) == pytest.approx(both, abs=1e-5)
    assert convection.channel_nusselt(CHANNEL, one_side=True) == pytest.approx(one, abs=1e-5)


def test_between_two_plates_against_the_older_correlation():
    # W. Elenbaas, Physica 9 (1942) 1; Incropera et al., eq. 9.45: within a tenth of the newer one
    elenbaas = [0.004167, 0.041667, 0.407194, 1.669166, 3.327793, 5.987837]
    assert convection.channel_nusselt(CHANNEL) == pytest.approx(elenbaas, rel=0.1)


def test_optimum_gap():
    # Bar-Cohen and Rohsenow 1984: 11.3 mm for plates 0.6 m high, 30 K warmer than the air, film at 323.15 K
    assert convection.optimum_gap(0.6, 30.0, 323.15) == pytest.approx(0.011316, rel=0.01)


def test_the_optimum_lets_most_heat_out():
    gaps = np.linspace(0.005, 0.03, 400)
    over_gap = convection.rayleigh(gaps, 30.0, 323.15) * gaps / 0.6
    heat = convection.channel_nusselt(over_gap) / gaps**2  # of plates that share a given width
    assert gaps[heat.argmax()] == pytest.approx(convection.optimum_gap(0.6, 30.0, 323.15), rel=0.02)


def test_the_absorbers_conductance_is_of_a_likely_size():
    # an upright surface of the absorber's height, 20 K warmer than the air, loses 4 to 7 W/(m² K) by free
    # convection, and as much again by radiation; 1.5 to 4 m² of tubes and fins would do for 18 W/K
    cabinets = load("cabinets")
    for size in cabinets.columns:
        height = cabinets["absorber_height"][size]
        number = convection.plate_nusselt(convection.rayleigh(height, 20.0, 330.0))
        per_area = number * air.thermal_conductivity(330.0) / height
        assert 3.0 < per_area < 7.0
        assert 1.0 < cabinets["absorber_conductance"][size] / per_area < 8.0
