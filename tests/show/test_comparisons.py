"""Published comparisons: what they draw is what the tests against published values hold the model to."""

import importlib
import re

import numpy as np
import pytest
from matplotlib.colors import to_hex

from warmside import project
from warmside.colours import ORANGE
from warmside.data import load
from warmside.show import air_comparisons, unit_comparisons
from warmside.show.air_comparisons import AIR
from warmside.show.comparison import OURS, picture
from warmside.show.unit_comparisons import UNIT

ALL = (*AIR, *UNIT)
REFERENCE = project.root() / "tests" / "reference"
each = pytest.mark.parametrize("comparison", ALL, ids=lambda one: one.title)


def by_title(title: str):
    return next(one for one in ALL if one.title == title)


def held(name: str):
    """A module of the tests against published values."""
    return importlib.import_module(f"reference.{name}")


@each
def test_ours_and_the_published_differ_by_more_than_colour(comparison):
    figure, found = picture(comparison)
    assert found.endswith(".")
    for axes in figure.axes:
        drawn = [
            (line.get_linestyle(), line.get_marker()) for line in axes.lines if line.get_label()[0] != "_"
        ]
        assert len(drawn) + len(axes.collections) + len(axes.patches) >= 2
        assert len(set(drawn)) == len(drawn)
        assert any(line.get_label().startswith(OURS["label"]) for line in axes.lines)
        assert axes.get_ylabel()


@each
def test_it_names_its_source_and_says_what_its_picture_shows(comparison):
    assert len(comparison.source) > 12
    assert len(comparison.alt.split()) > 15
    assert comparison.why.endswith(".")


def test_what_was_in_view():
    assert {one.title for one in ALL if one.was_in_view} == {
        "Vents and louvers",
        "A cooling unit on a bench",
        "Where ammonia condenses",
        "Where ammonia boils out of water",
        "Water in the cup",
        "Fuses for wires",
    }


def test_no_test_asserts_the_bench_that_was_in_view():
    assert "V001T09A004" in by_title("A cooling unit on a bench").source
    text = "".join(path.read_text("utf-8") for path in REFERENCE.glob("test_*.py"))
    assert "V001T09A004" not in text


def test_the_drawn_points_are_those_of_the_tests():
    atmosphere = [
        (f"{feet:.0f} ft", f"{psi:.3f} psia") for feet, psi in zip(*air_comparisons.ATMOSPHERE, strict=True)
    ]
    assert atmosphere == held("test_air").ATMOSPHERES
    mixture = held("test_ammonia_water")
    assert set(unit_comparisons.BOILING) <= {row[:3] for row in mixture.EQUILIBRIA}
    assert set(unit_comparisons.SECOND_OPINION) <= {
        (10 * megapascals, part, kelvins) for _, megapascals, part, kelvins in mixture.CORRELATED
    }
    assert list(zip(*unit_comparisons.HEAT_OF_WATER, strict=True)) == held("test_water").COOLPROP


@pytest.mark.parametrize(
    ("points", "file"),
    [
        (unit_comparisons.CONDENSING, "test_ammonia.py"),
        (unit_comparisons.CUP, "test_cup.py"),
        (unit_comparisons.WIRES, "test_circuit.py"),
        (unit_comparisons.FUSES, "test_fuse.py"),
        (((), unit_comparisons.FOAM), "test_cabinet.py"),
    ],
    ids=lambda given: given if isinstance(given, str) else "",
)
def test_other_drawn_points_stand_in_the_tests(points, file):
    numbers = {float(each) for each in re.findall(r"-?\d+\.?\d*", (REFERENCE / file).read_text("utf-8"))}
    assert set(points[1]) <= numbers


def test_louvres_are_drawn_from_their_table():
    figure, _ = picture(by_title("Vents and louvers"))
    points = next(line for line in figure.axes[0].lines if to_hex(line.get_color()) == ORANGE.lower())
    assert tuple(points.get_ydata()) == load("louvres").numbers("blade_discharge_coefficient")


def test_the_bench_is_shown_as_it_is():
    figure, found = picture(by_title("A cooling unit on a bench"))
    best, published = (
        [max(np.atleast_1d(axes.lines[which].get_ydata())) for axes in figure.axes] for which in (0, 1)
    )
    assert published == [0.28, 110.0]
    assert f"{best[0]:.2f} and {best[1]:.0f} W" in found
