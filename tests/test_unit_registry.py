"""The registry of units: as fast as it can be, and the same whether its definitions were kept or not."""

import os
import subprocess
import sys

from warmside import BEING_MARKED

LOOK = (
    "import sys; from warmside.units import Q_; "
    "print(Q_(14, 'inch_water_column').to('pascal'), Q_(1, 'Btu').to('J'), 'dask' in sys.modules)"
)
SAID = "3487.24474 pascal 1055.056 joule False"


def looked(cache, **environment):
    run = subprocess.run(
        [sys.executable, "-c", LOOK],
        env=os.environ | {"XDG_CACHE_HOME": str(cache)} | environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return " ".join(run.stdout.split())


def test_definitions_are_parsed_once_and_read_then(tmp_path):
    assert looked(tmp_path) == SAID
    (folder,) = (tmp_path / "warmside").iterdir()
    kept = {path.name: path.stat().st_mtime_ns for path in folder.iterdir()}
    assert len(kept) >= 4
    assert looked(tmp_path) == SAID
    assert {path.name: path.stat().st_mtime_ns for path in folder.iterdir()} == kept
    assert [*(tmp_path / "warmside").iterdir()] == [folder]


def test_where_nothing_can_be_kept_it_works_all_the_same(tmp_path):
    place = tmp_path / "no folder"
    place.write_text("")
    assert looked(place) == SAID


def test_the_kernel_of_a_hand_in_keeps_nothing(tmp_path):
    assert looked(tmp_path, **{BEING_MARKED: "yes"}) == SAID
    assert not any(tmp_path.iterdir())
