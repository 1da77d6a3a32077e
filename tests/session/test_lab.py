"""Copies of the exercises to practise with."""

from warmside import project
from warmside.session.lab import PRACTICE_FOLDER, practice_copies

EXERCISES = project.root() / "exercises"


def test_every_exercise_is_copied_once_and_what_was_written_stays(tmp_path):
    folder = practice_copies(EXERCISES, tmp_path)
    assert folder == tmp_path / PRACTICE_FOLDER
    assert sorted(path.name for path in folder.iterdir()) == project.exercise_names()
    for name in project.exercise_names():
        assert (folder / name / f"{name}.ipynb").read_bytes() == (
            EXERCISES / name / f"{name}.ipynb"
        ).read_bytes()
    mine = folder / project.exercise_names()[0] / "job_card.json"
    mine.write_text("mine", encoding="utf-8")
    practice_copies(EXERCISES, tmp_path)
    assert mine.read_text("utf-8") == "mine"
