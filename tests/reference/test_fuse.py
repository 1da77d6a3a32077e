"""Fuses against the scope of their standard. Opening times are from memory and decide nothing."""

import pytest

from warmside.data import load
from warmside.model.circuit import gauge_area
from warmside.model.fuse import Fuse, Objection, fuse_check, needed_rating, wire_fuse
from warmside.units import read_quantity, to_si


def test_blade_fuses_are_for_vehicles_of_32_v():
    # ISO 8820-1:1994, scope: fuse-links for road vehicles, up to 30 A and 32 V
    assert load("fuses")["blade_voltage"] == 32
    blade = Fuse(5.0, load("fuses")["blade_voltage"])
    assert Objection.VOLTAGE in fuse_check(blade, 120.0, 2.7)
    assert fuse_check(blade, 24.0, 2.7) == fuse_check(blade, 12.0, 2.7) == ()


@pytest.mark.parametrize(("milliamps", "volts"), [("5000 mA", "32 V"), ("5 A", "0.032 kV")])
def test_the_same_fuse_in_other_units(milliamps, volts):
    read = [
        to_si(read_quantity(text, kind), kind) for text, kind in ((milliamps, "current"), (volts, "voltage"))
    ]
    assert Fuse(*read) == Fuse(5.0, 32.0)


# NFPA 70, 240.4(D), from memory: at most 15, 20 and 30 A for copper of gauges 14, 12 and 10. Areas of metric
# wires, IEC 60228: 1.5, 2.5 and 4 mm² lie below those of gauges 14, 12 and 10.
@pytest.mark.parametrize(
    ("area", "most"), [(2.08, 15.0), (3.31, 20.0), (5.26, 30.0), (2.5, 15.0), (4.0, 20.0)]
)
def test_the_largest_fuse_of_a_wire(area, most):
    assert wire_fuse(area * 1e-6) == most


@pytest.mark.parametrize(("gauge", "fuse", "thinner"), [(12, 20.0, 15.0), (10, 30.0, 20.0)])
def test_a_tenth_less_copper_is_the_next_thinner_wire(gauge, fuse, thinner):
    area = float(gauge_area(gauge))
    assert wire_fuse(area) == fuse
    assert wire_fuse(0.9 * area) == thinner
    assert fuse_check(Fuse(fuse, 32.0), 12.0, 2.0, wire_area=0.9 * area) == (Objection.WIRE,)


def test_a_continuous_load_takes_four_fifths():
    # NFPA 70, 210.20(A), from memory: a rating of at least 125 % of a continuous load
    assert needed_rating(16.0) == pytest.approx(20.0)


def test_wire_thinner_than_14_has_no_larger_fuse_than_the_code_gives_it():
    # NFPA 70, 240.4(D)(1) and (2), from memory: 7 A for 18 AWG and 10 A for 16 AWG at most. The table's 6 and
    # 8 A are those for low voltage in park trailers, 552.10(E)(1), from memory too.
    assert wire_fuse(float(gauge_area(18))) <= 7.0
    assert wire_fuse(float(gauge_area(16))) <= 10.0
