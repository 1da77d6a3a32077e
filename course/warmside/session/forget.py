"""Taking a trainee out of a session: their data in its folder and its gradebook."""

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

from nbgrader.api import Gradebook

from warmside.autograde import hand_marks
from warmside.marking import frozen_card
from warmside.private_file import write_private
from warmside.session import decisions, hand_in, journal
from warmside.session.backup import copies, drop_unfinished
from warmside.session.folder import Session
from warmside.session.nbgrader_runs import gradebook_url
from warmside.session.received import NOTE
from warmside.session.recognise import id_pattern

_REMOVED = "somebody who was removed"
_FOLDERS = (frozen_card.FOLDER, "hand_ins", "submitted", "autograded", "feedback", journal.FOLDER)


def forget(session: Session, trainee: str) -> list[str]:
    """Remove a trainee and everything of theirs.

    Parameters
    ----------
    session : Session
        From where.
    trainee : str
        Their id.

    Returns
    -------
    list of str
        What remains and where, in sentences.

    Raises
    ------
    InputError
        If there is no such trainee.
    """
    session.trainee_ids(trainee)
    with session.alone():
        drop_unfinished(session)
        for path in [session.folder / "gradebook.db", *copies(session)]:
            _remove_from(path, trainee)
        for name in _FOLDERS:
            shutil.rmtree(session.folder / name / trainee, ignore_errors=True)
        (session.folder / "hand_outs" / f"{trainee}.zip").unlink(missing_ok=True)
        _remove_mentions(session, trainee)
        report = session.folder / "report"
        had_report = report.is_dir()
        shutil.rmtree(report, ignore_errors=True)
    remains = [
        "Packs, feedback pages, reports and exports that left this folder are where you put them.",
        "The file they handed in may still be on the stick or the platform it came from.",
        "Backups of this computer hold what they held.",
    ]
    if had_report:
        remains.insert(0, "The report named them and was removed; `warmside session report` writes it anew.")
    return remains


def _remove_from(path: Path, trainee: str) -> None:
    with Gradebook(gradebook_url(path)) as gradebook:
        if trainee in [student.id for student in gradebook.students]:
            gradebook.remove_student(trainee)
        hand_marks.remove(gradebook, trainee)
    with closing(sqlite3.connect(path)) as database:
        database.execute("VACUUM")  # so that no freed page still holds their name


def _remove_mentions(session: Session, trainee: str) -> None:
    """Take the trainee's id out of what is noted of other people's hand-ins and of what was left alone."""
    for path in sorted((session.folder / "hand_ins").glob(f"*/*/*/{NOTE}")):
        fields = json.loads(path.read_text("utf-8"))
        others, around = fields["other_cards"], fields.get("around", "").split(", ")
        if trainee in others or trainee in around:
            fields["other_cards"] = [_REMOVED if other == trainee else other for other in others]
            fields["around"] = ", ".join(_REMOVED if other == trainee else other for other in around)
            fields["where"] = id_pattern(trainee).sub("…", fields["where"])
            write_private(path, json.dumps(fields, indent=1, ensure_ascii=False) + "\n")
    made = decisions.noted(session.folder)
    if any(decision.trainee == trainee for decision in made):
        decisions.write(session.folder, [decision for decision in made if decision.trainee != trainee])
    named = id_pattern(trainee)
    left_alone = session.folder / hand_in.LEFT_ALONE
    if left_alone.is_file():
        lines = left_alone.read_text("utf-8").splitlines(keepends=True)
        write_private(left_alone, "".join(line for line in lines if not named.search(line)))
