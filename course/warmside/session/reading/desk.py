"""What is the reader's own: what was answered, where the reader was, and copies that may be written in.

The course's own notebooks are only read. What was answered is one file in the user's data folder, which
stays when a copy is put back as it was.
"""

import json
import re
import shutil
import tempfile
import threading
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import platformdirs

from warmside.errors import InputError
from warmside.private_file import write_private
from warmside.session.reading.lessons import Lesson
from warmside.show.self_check import checks

LESSONS = "lessons"
"""The folder of copies of lessons, among those of exercises."""
WAYS = ("apprentice", "owner", "instructor")
"""The ways into the course."""
_ANCHOR = re.compile(r"[^\s<>\"\\]{1,200}")
_EMPTY: dict[str, Any] = {"checks": {}, "place": None, "way": WAYS[0]}


class Progress:
    """What a reader answered, where the reader was and which way was chosen, in one file.

    Parameters
    ----------
    file : Path
        The file; it need not be there yet.
    lessons : sequence of Lesson
        What can be answered and read.

    Examples
    --------
    >>> import tempfile
    >>> progress = Progress(Path(tempfile.mkdtemp()) / "reader.json", [])
    >>> progress.keep({"check": "02.1", "choice": 2})
    >>> progress.kept["checks"]
    {'02.1': 2}
    """

    def __init__(self, file: Path, lessons: Sequence[Lesson]) -> None:
        self._file = file
        self._lessons = {lesson.file for lesson in lessons}
        self._one_at_a_time = threading.Lock()

    @property
    def kept(self) -> dict[str, Any]:
        """What is kept: ``checks`` by their name, the ``place`` as lesson and anchor, and the ``way``."""
        try:
            read = json.loads(self._file.read_text("utf-8"))
        except (OSError, ValueError):  # none yet, or a damaged one: a reader begins anew
            read = {}
        read = read if isinstance(read, dict) else {}
        told: dict[str, Any] = {}
        for name, value in (read.get("checks") or {}).items() if isinstance(read.get("checks"), dict) else ():
            if isinstance(value, int):
                told[name] = value
        place = read.get("place")
        is_place = isinstance(place, list) and len(place) == 2 and place[0] in self._lessons
        way = read.get("way") if read.get("way") in WAYS else WAYS[0]
        return {"checks": told, "place": place if is_place else None, "way": way}

    def answered(self, lesson: Lesson) -> int:
        """Return how many of a lesson's self-checks are answered."""
        return len(set(check_names(lesson.number)) & set(self.kept["checks"])) if lesson.checks else 0

    def keep(self, told: Any) -> None:
        """Keep what a page tells.

        Parameters
        ----------
        told : dict
            ``{"check": "05.1", "choice": 2}``, ``{"place": ["05_x.ipynb", "id"]}`` or ``{"way": "owner"}``.

        Raises
        ------
        InputError
            One sentence, if it is none of these.
        """
        change = self._change(told)
        with self._one_at_a_time:
            kept = self.kept
            kept["checks"] |= change.pop("checks", {})
            self._file.parent.mkdir(parents=True, exist_ok=True)
            write_private(self._file, json.dumps(kept | change, indent=1))

    def _change(self, told: Any) -> dict[str, Any]:
        match told:
            case {"check": str(name), "choice": int(choice), **further} if not further:
                return {"checks": {_known_check(name, choice): choice}}
            case {"place": [str(file), str(anchor)], **further} if not further:
                if file in self._lessons and (not anchor or _ANCHOR.fullmatch(anchor)):
                    return {"place": [file, anchor]}
            case {"way": str(way), **further} if not further and way in WAYS:
                return {"way": way}
        raise InputError(
            "What was told can't be kept: it must be a check's answer, a place in a lesson or a way in."
        )


def _known_check(name: str, choice: int) -> str:
    """Return a check's name; InputError where there is no such check or answer."""
    module = name.partition(".")[0]
    known = check_names(module) if re.fullmatch(r"\d\d", module) else {}
    if name not in known:
        raise InputError(f"There is no check “{name[:40]}”.")
    if isinstance(choice, bool) or choice not in known[name]:
        raise InputError(f"Check {name} has the answers {known[name]}; {str(choice)[:10]} is none.")
    return name


def check_names(module: str) -> dict[str, list[int]]:
    """Return the names of a module's self-checks, each with the numbers of its answers."""
    return {check.id: [answer.number for answer in check.answers] for check in checks(module)}


def progress_file() -> Path:
    """Return the file that holds what this user answered."""
    return platformdirs.user_data_path("warmside", appauthor=False) / "reader.json"


class Copies:
    """Copies of lessons and exercises for a reader to write in.

    Parameters
    ----------
    folder : Path
        Where they lie.
    lessons : sequence of Lesson
        Of which there may be copies.
    exercises : Path
        The project's own exercises, a folder each.

    Examples
    --------
    >>> import tempfile
    >>> home = Path(tempfile.mkdtemp())
    >>> (home / "exercises" / "venting").mkdir(parents=True)
    >>> _ = (home / "exercises" / "venting" / "venting.ipynb").write_text("{}")
    >>> copies = Copies(home / "mine", [], home / "exercises")
    >>> copies.of("venting").as_posix()
    'venting/venting.ipynb'
    >>> copies.is_changed("venting")
    False
    """

    def __init__(self, folder: Path, lessons: Sequence[Lesson], exercises: Path) -> None:
        self._folder = folder
        self._sources = {lesson.file: lesson.path for lesson in lessons}
        if exercises.is_dir():
            self._sources |= {path.name: path for path in sorted(exercises.iterdir()) if path.is_dir()}

    @property
    def exercises(self) -> list[str]:
        """The names of the exercises."""
        return [name for name, source in self._sources.items() if not name.endswith(".ipynb")]

    def of(self, name: str) -> Path:
        """Return the notebook of a copy, from the folder of copies on; it is made where it isn't there.

        Raises
        ------
        InputError
            If there is no lesson or exercise of that name.
        """
        source, copy, notebook = self._places(name)
        if not copy.exists():
            copy.parent.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryDirectory(dir=self._folder, prefix=".") as scratch:
                draft = Path(scratch) / copy.name
                shutil.copytree(source, draft) if source.is_dir() else shutil.copyfile(source, draft)
                draft.rename(copy)
        return notebook.relative_to(self._folder)

    def is_changed(self, name: str) -> bool:
        """Tell whether a copy's notebook is other than the original's."""
        source, _, notebook = self._places(name)
        original = source / notebook.name if source.is_dir() else source
        try:
            return notebook.read_bytes() != original.read_bytes()
        except OSError:  # there is no copy
            return False

    def put_back(self, name: str) -> Path:
        """Put a copy back as it was, and return where the old one lies now, beside it.

        Raises
        ------
        InputError
            If there is no lesson or exercise of that name.
        """
        _, copy, _ = self._places(name)
        aside = copy.with_name(f"{copy.stem} until {datetime.now():%Y-%m-%d %H.%M.%S}{copy.suffix}")
        if copy.exists():
            copy.rename(aside)
        self.of(name)
        return aside.relative_to(self._folder)

    def _places(self, name: str) -> tuple[Path, Path, Path]:
        """Return original, copy and the copy's notebook; only of names that were found on disk."""
        source = self._sources.get(name)
        if source is None:
            raise InputError(f"“{name[:40]}” is no lesson or exercise; there are {', '.join(self._sources)}.")
        if source.is_dir():
            copy = self._folder / name
            return source, copy, copy / f"{name}.ipynb"
        copy = self._folder / LESSONS / name
        return source, copy, copy
