"""The bank in its folder: made once by one process, kept whole, made anew when what it is made of changes."""

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from banks import same

from warmside import kept
from warmside.diagnosis import drawing
from warmside.diagnosis.faults import FAULTS
from warmside.diagnosis.readings import READINGS
from warmside.diagnosis.storing import MADE_BY, WAITING, load_bank, version
from warmside.kept import PACKAGE, UNUSED_DAYS, sources

SEED = 7
DAY = 24 * 3600.0
LOADING = """
import hashlib, sys
from pathlib import Path
from warmside.diagnosis import drawing
from warmside.diagnosis.storing import load_bank

drawing.BLOCK = 100

def progress(done, of):
    print("made", done, flush=True)
    if done == 1 and "--hold" in sys.argv:
        sys.stdin.readline()

def notice(said):
    print(said, flush=True)

bank = load_bank(300, 7, folder=Path(sys.argv[1]), progress=progress, notice=notice)
print("read", hashlib.sha256(bank.readings.tobytes()).hexdigest(), flush=True)
"""


@pytest.fixture
def blocks_of_100(monkeypatch):
    monkeypatch.setattr(drawing, "BLOCK", 100)


@pytest.fixture
def loading():
    """Start processes that load a bank; they are gone at the end."""
    started = []

    def start(folder: Path, *arguments: str, package: Path | None = None, code: str = LOADING):
        path = {"PYTHONPATH": str(package)} if package else {}
        run = subprocess.Popen(
            [sys.executable, "-c", code, str(folder), *arguments],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ | path,
        )
        started.append(run)
        return run

    yield start
    for run in started:
        run.kill()
        run.communicate()


def lines(run, tell: str = "") -> list[str]:
    """What a process still says until it ends well."""
    said, _ = run.communicate(tell, timeout=120)
    assert run.returncode == 0
    return said.splitlines()


def names(folder: Path, ending: str = ".npz") -> set[str]:
    return {file.name for file in folder.iterdir() if file.suffix == ending}


# --- in the folder ----------------------------------------------------------------------------------------


def test_a_bank_is_made_once_and_read_again(tmp_path, blocks_of_100):
    told = []
    made = load_bank(150, SEED, folder=tmp_path / "cache", progress=lambda *done: told.append(done))
    read = load_bank(150, SEED, folder=tmp_path / "cache", progress=lambda *done: told.append(done))
    assert told == [(1, 2), (2, 2)]
    assert same(made, read)
    assert names(tmp_path / "cache") == {f"bank-150-{version(150, SEED)}.npz"}


@pytest.mark.parametrize("damage", [b"", b"no bank at all", None])
def test_a_damaged_bank_is_made_again(tmp_path, blocks_of_100, damage):
    made = load_bank(150, SEED, folder=tmp_path)
    (file,) = tmp_path.glob("*.npz")
    file.write_bytes(file.read_bytes()[:-2000] if damage is None else damage)
    told = []
    assert same(made, load_bank(150, SEED, folder=tmp_path, progress=lambda *done: told.append(done)))
    assert told
    assert same(made, load_bank(150, SEED, folder=tmp_path))


def test_a_bank_of_another_shape_under_the_same_name_is_made_again(tmp_path, blocks_of_100):
    made = load_bank(150, SEED, folder=tmp_path)
    (file,) = tmp_path.glob("*.npz")
    kept._write(vars(made.first(100)), file)
    assert len(load_bank(150, SEED, folder=tmp_path)) == 150


def test_what_nobody_used_for_long_goes_and_the_rest_stays(tmp_path, blocks_of_100):
    now = time.time()
    for name, days in (
        ("bank-150-0123456789abcdef.npz", UNUSED_DAYS + 1),
        ("bank-150-0123456789abcdef.lock", UNUSED_DAYS + 1),
        ("bank-200-0123456789abcdef.abc.part", UNUSED_DAYS + 1),
        ("bank-150-fedcba9876543210.npz", UNUSED_DAYS - 1),
        ("another's.npz", UNUSED_DAYS + 1),
    ):
        (tmp_path / name).write_bytes(b"old")
        os.utime(tmp_path / name, (now - days * DAY,) * 2)
    load_bank(150, SEED, folder=tmp_path)
    mine = f"bank-150-{version(150, SEED)}.npz"
    assert names(tmp_path) == {mine, "bank-150-fedcba9876543210.npz", "another's.npz"}
    assert not names(tmp_path, ".part")
    assert "bank-150-0123456789abcdef.lock" not in names(tmp_path, ".lock")


def test_reading_a_bank_is_using_it(tmp_path, blocks_of_100):
    load_bank(150, SEED, folder=tmp_path)
    (file,) = tmp_path.glob("*.npz")
    os.utime(file, (time.time() - (UNUSED_DAYS + 5) * DAY,) * 2)
    load_bank(150, SEED, folder=tmp_path)
    load_bank(100, SEED, folder=tmp_path)  # another is made, and the unused go
    assert file.exists()


def test_what_one_that_died_began_to_write_goes(tmp_path, blocks_of_100):
    begun = tmp_path / f"bank-150-{version(150, SEED)}.abc.part"
    begun.write_bytes(b"half")
    others = tmp_path / "bank-200-0123456789abcdef.abc.part"
    others.write_bytes(b"being written by another")
    load_bank(150, SEED, folder=tmp_path)
    assert names(tmp_path, ".part") == {others.name}


@pytest.mark.parametrize("folder", ["file", "/proc"])
def test_where_nothing_can_be_written_the_bank_is_there_all_the_same(tmp_path, blocks_of_100, folder):
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    assert len(load_bank(100, SEED, folder=tmp_path / folder)) == 100


@pytest.mark.full
def test_on_a_full_disk_the_bank_is_there_all_the_same_and_nothing_half(tmp_path, loading):
    # Python itself would leave half of what it compiles behind.
    full = "import resource, sys; sys.dont_write_bytecode = True\n"
    full += "resource.setrlimit(resource.RLIMIT_FSIZE, (5_000, 5_000))\n"
    *made, read = lines(loading(tmp_path, code=full + LOADING))
    assert made == ["made 1", "made 2", "made 3"]
    assert read.startswith("read")
    assert not names(tmp_path) | names(tmp_path, ".part")


# --- several processes ------------------------------------------------------------------------------------


@pytest.mark.full
def test_one_makes_it_and_the_other_waits_says_so_and_reads(tmp_path, loading):
    one = loading(tmp_path, "--hold")
    assert one.stdout.readline() == "made 1\n"
    other = loading(tmp_path)
    assert other.stdout.readline() == WAITING + "\n"
    *made, read = lines(one, "go on\n")
    assert made == ["made 2", "made 3"]
    assert lines(other) == [read]


@pytest.mark.full
def test_a_builder_that_dies_holds_nobody_up(tmp_path, loading):
    one = loading(tmp_path, "--hold")
    assert one.stdout.readline() == "made 1\n"
    other = loading(tmp_path)
    assert other.stdout.readline() == WAITING + "\n"
    one.kill()
    *made, _ = lines(other)
    assert made == ["made 1", "made 2", "made 3"]
    assert not names(tmp_path, ".part")


@pytest.mark.full
def test_two_checkouts_keep_each_others_banks(tmp_path, loading):
    for name in ("one", "other"):
        copied(tmp_path / name)
    with (tmp_path / "other" / "warmside" / "data" / "cabinets.toml").open("a", encoding="utf-8") as table:
        table.write("\n# another value\n")
    cache = tmp_path / "cache"
    counts = [
        len(lines(loading(cache, package=tmp_path / name))) for name in ("one", "other", "one", "other")
    ]
    assert counts == [4, 4, 1, 1]
    assert len(names(cache)) == 2


# --- what it is made from ---------------------------------------------------------------------------------


def copied(folder: Path) -> Path:
    """Copy the package's sources."""
    ignored = shutil.ignore_patterns("__pycache__", "pages", "*.js", "*.css")
    return Path(shutil.copytree(PACKAGE, folder / "warmside", ignore=ignored))


@pytest.mark.parametrize(
    ("file", "matters"),
    [
        ("data/parameters.toml", True),
        pytest.param("data/cabinets.toml", True, marks=pytest.mark.full),
        pytest.param("data/good_installation.toml", True, marks=pytest.mark.full),
        pytest.param("data/drawn_cases.toml", True, marks=pytest.mark.full),
        pytest.param("data/__init__.py", True, marks=pytest.mark.full),
        pytest.param("units.py", True, marks=pytest.mark.full),
        ("model/steady.py", True),
        pytest.param("model/ensemble.py", True, marks=pytest.mark.full),
        pytest.param("data/ensemble.toml", True, marks=pytest.mark.full),
        pytest.param("kept.py", True, marks=pytest.mark.full),
        pytest.param("model/quantity.py", True, marks=pytest.mark.full),
        pytest.param("properties/working_range.py", True, marks=pytest.mark.full),
        pytest.param("properties/ammonia_water.npz", True, marks=pytest.mark.full),
        ("diagnosis/faults.py", True),
        pytest.param("diagnosis/readings.py", True, marks=pytest.mark.full),
        pytest.param("diagnosis/bank.py", True, marks=pytest.mark.full),
        pytest.param("diagnosis/drawing.py", True, marks=pytest.mark.full),
        pytest.param("diagnosis/solving.py", True, marks=pytest.mark.full),
        ("data/fuses.toml", False),
        pytest.param("data/limits.toml", False, marks=pytest.mark.full),
        pytest.param("model/fuse.py", False, marks=pytest.mark.full),
        pytest.param("diagnosis/storing.py", False, marks=pytest.mark.full),
        pytest.param("diagnosis/__init__.py", False, marks=pytest.mark.full),
        ("diagnosis/inference.py", False),
        pytest.param("diagnosis/leading.py", False, marks=pytest.mark.full),
        pytest.param("cli.py", False, marks=pytest.mark.full),
    ],
)
def test_the_version_changes_with_what_the_bank_is_made_from(tmp_path, file, matters):
    package = copied(tmp_path)
    with (package / file).open("ab") as changed:
        changed.write(b"\n# another value\n")
    assert (version(package=package) != version()) == matters


def test_the_version_is_that_of_the_contents(tmp_path):
    assert version(package=copied(tmp_path)) == version()


def test_a_renamed_module_is_found_under_its_new_name(tmp_path):
    def renamed(folder: Path) -> Path:
        package = copied(folder)
        (package / "diagnosis" / "faults.py").rename(package / "diagnosis" / "what_can_be_wrong.py")
        for source in package.rglob("*.py"):
            text = source.read_text(encoding="utf-8")
            text = text.replace("diagnosis.faults", "diagnosis.what_can_be_wrong")
            text = text.replace("diagnosis import faults", "diagnosis import what_can_be_wrong as faults")
            source.write_text(text, encoding="utf-8")
        return package

    one, other = renamed(tmp_path / "one"), renamed(tmp_path / "other")
    assert one / "diagnosis" / "what_can_be_wrong.py" in sources(MADE_BY, one)
    with (other / "diagnosis" / "what_can_be_wrong.py").open("a", encoding="utf-8") as changed:
        changed.write("\n# another severity\n")
    assert len({version(package=one), version(package=other), version()}) == 3


def test_a_module_that_does_not_write_out_its_tables_is_made_from_all(tmp_path):
    package = copied(tmp_path)
    with (package / "diagnosis" / "faults.py").open("a", encoding="utf-8") as changed:
        changed.write(
            '\nfrom warmside.data import load\n_ALL = [load(name) for name in ("limits", "fuses")]\n'
        )
    assert set((package / "data").glob("*.toml")) <= set(sources(MADE_BY, package))


@pytest.mark.full
def test_what_drawing_and_solving_import_is_what_the_bank_is_made_from():
    """In a process of its own, which modules of the package are there once a bank was drawn."""
    code = (
        "import sys, types; import warmside; from pathlib import Path\n"
        "bare = types.ModuleType('warmside.diagnosis')\n"  # without the package's own doors
        "bare.__path__ = [str(Path(warmside.__file__).parent / 'diagnosis')]\n"
        "sys.modules['warmside.diagnosis'] = bare\n"
        "from warmside.diagnosis.bank import Bank; from warmside.diagnosis.drawing import draw_cases\n"
        "Bank.of(draw_cases(1, 5))\n"
        "print(*(m.__file__ for n, m in sys.modules.items()"
        " if n.partition('.')[0] == 'warmside' and m is not bare))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=True
    )
    there = {Path(file) for file in run.stdout.split()}
    empty = {PACKAGE / room / "__init__.py" for room in ("model", "properties")}  # come with modules
    assert there - empty == {file for file in sources(MADE_BY) if file.suffix == ".py"}


def test_the_version_changes_with_count_seed_and_numpy(monkeypatch):
    others = {version(), version(count=10), version(seed=10)}
    monkeypatch.setattr(np, "__version__", "1.0")
    others.add(version())
    assert len(others) == 4


def test_the_version_changes_with_what_is_added_while_it_runs(monkeypatch):
    before = version()
    monkeypatch.setitem(READINGS, "another", READINGS["cup"])
    with_a_reading = version()
    monkeypatch.setitem(FAULTS._faults, "another", FAULTS["frost"])
    assert len({before, with_a_reading, version()}) == 3
