"""Handing out: one pack per trainee, with the exercises, their own job card and how to go about it."""

import io
import zipfile
from pathlib import Path

from jinja2 import Environment, PackageLoader

from warmside.marking.exercise import Exercise
from warmside.session.folder import Session
from warmside.session.roster import Trainee

_PAGES = Environment(loader=PackageLoader("warmside.show", "pages"), autoescape=True)
_EARLIEST = (1980, 1, 1, 0, 0, 0)


def hand_out(session: Session) -> list[Path]:
    """Write one zip per trainee and exercise into the session's hand_outs folder.

    The same session gives the same bytes each time.
    """
    folder = session.folder / "hand_outs"
    folder.mkdir(exist_ok=True)
    packs = []
    for exercise in session.exercises():
        for trainee in session.trainees():
            path = folder / f"{pack_name(trainee, exercise)}.zip"
            draft = path.with_suffix(".part")
            draft.write_bytes(_pack(session, trainee, exercise))
            draft.replace(path)
            packs.append(path)
    return packs


def pack_name(trainee: Trainee, exercise: Exercise) -> str:
    """Return what a trainee's pack, and the folder in it, is called."""
    return f"{trainee.id}_{exercise.name}"


def _pack(session: Session, trainee: Trainee, exercise: Exercise) -> bytes:
    name = pack_name(trainee, exercise)
    released = session.folder / "release" / exercise.name
    files = {path.name: path.read_bytes() for path in sorted(released.iterdir()) if path.is_file()}
    card = exercise.job_card(session.secret, trainee.id)
    files |= {file: text.encode() for file, text in card.as_files().items()}
    page = _PAGES.get_template("how_to.html").render(
        session=session, trainee=trainee, exercise=exercise, card=card, pack=name, due=session.due()
    )
    files["how_to.html"] = page.encode()
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for file, content in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(f"{name}/{file}", _EARLIEST), content, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()
