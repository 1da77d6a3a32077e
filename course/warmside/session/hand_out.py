"""Handing out: one pack per trainee, with the exercises, their own job cards and how to go about it."""

import io
import zipfile
from datetime import datetime
from pathlib import Path

from jinja2 import Environment, PackageLoader

from warmside.marking.exercise import Exercise
from warmside.session import decisions
from warmside.session.folder import Session
from warmside.session.roster import Trainee

_PAGES = Environment(loader=PackageLoader("warmside.show", "pages"), autoescape=True)
_EARLIEST = (1980, 1, 1, 0, 0, 0)


def hand_out(session: Session) -> list[Path]:
    """Write one zip per trainee into the session's hand_outs folder, with a folder for each exercise in it.

    Each trainee's cards are frozen first, so that the same session gives the same bytes each time.
    """
    with session.alone():
        return _hand_out(session)


def _hand_out(session: Session) -> list[Path]:
    folder = session.folder / "hand_outs"
    folder.mkdir(exist_ok=True)
    exercises, due, made = session.exercises(), session.due(), decisions.noted(session.folder)
    for exercise in exercises:
        session.demand_as_released(exercise)
    packs = []
    for trainee in session.trainees():
        files: dict[str, bytes] = {}
        for exercise in exercises:
            own = decisions.due_for(due, made, exercise.name, trainee.id)
            files |= exercise_files(session, trainee, exercise, own)
        path = folder / f"{trainee.id}.zip"
        draft = path.with_suffix(".part")
        draft.write_bytes(_zipped(files))
        draft.replace(path)
        packs.append(path)
    return packs


def exercise_files(
    session: Session, trainee: Trainee, exercise: Exercise, due: datetime | None
) -> dict[str, bytes]:
    """Return what a trainee gets for one exercise, by path in the zip; its folder carries their id."""
    folder = f"{trainee.id}_{exercise.name}"
    released = session.folder / "release" / exercise.name
    files = {path.name: path.read_bytes() for path in released.iterdir() if path.is_file()}
    card = session.frozen_card(exercise, trainee.id).card
    files |= {file: text.encode() for file, text in card.as_files().items()}
    page = _PAGES.get_template("how_to.html").render(
        trainee=trainee, exercise=exercise, card=card, folder=folder, due=due
    )
    files["how_to.html"] = page.encode()
    return {f"{folder}/{name}": content for name, content in files.items()}


def _zipped(files: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, content in sorted(files.items()):
            member = zipfile.ZipInfo(name, _EARLIEST)
            member.external_attr = 0o644 << 16
            archive.writestr(member, content, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()
