"""CoolProp's fluids, imported when the first of them is asked for, since that takes three seconds."""

from functools import cache
from importlib import import_module
from types import ModuleType

import pytest

ON_ONE_WORKER = pytest.mark.xdist_group("real fluids")
"""Marks files of tests that ask for little else."""


@cache
def _coolprop(name: str) -> ModuleType:
    return import_module(f"CoolProp.{name}")


def PropsSI(*asked):
    return _coolprop("CoolProp").PropsSI(*asked)


def HAPropsSI(*asked):
    return _coolprop("HumidAirProp").HAPropsSI(*asked)
