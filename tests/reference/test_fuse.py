"""Fuses against the scope of their standard. Opening times are from memory and decide nothing."""

import pytest

from warmside.data import load
from warmside.model.fuse import Fuse, Objection, fuse_check
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
