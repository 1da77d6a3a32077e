"""Feedback pages: no key before results are released, what is right and the way to it after."""

import pytest
from click.testing import CliRunner
from helpers import NAME, marked_notebook

from warmside.cli import main
from warmside.marking.exercise import Item, Job
from warmside.marking.kinds import Quantity
from warmside.marking.ways import right_answer, ways_of
from warmside.session import decisions, instructor
from warmside.session.journal import Task
from warmside.session.renew import marked as marked_tasks
from warmside.session.renew import renew

pytestmark = pytest.mark.full  # many hand-ins on real kernels


def page_of(session, trainee="ann"):
    return (session.folder / "feedback" / trainee / NAME / f"{NAME}.html").read_text("utf-8")


def warmside(*arguments):
    return CliRunner().invoke(main, ["session", *map(str, arguments)])


def test_results_are_shown_once_they_are_released(marked, exercise):
    job = Job(exercise, marked.frozen_card(exercise, "ann").card)
    keys = [
        right_answer(item, job)
        for item in exercise.items
        if isinstance(item, Item) and isinstance(item.asks, Quantity)
    ]
    ways = [sentence for way in ways_of(exercise).values() for sentence in way(job, {})]
    rubric = exercise.by_hand[0].rubric(job)
    before, notebook = page_of(marked), marked_notebook(marked, "ann")
    assert "What is right" not in before
    assert not [said for said in (*keys, *ways, *rubric) if said in before]
    said = warmside("release", marked.folder)
    assert said.exit_code == 0
    assert f"released: {NAME}.\n" in said.output
    assert "2 pages are in" in said.output
    after = page_of(marked)
    assert after.count("What is right") == len(exercise.asked)
    assert not [said for said in keys if said not in after]
    plain = after.replace("&#39;", "'").replace("&amp;", "&")
    assert not [said for said in (*ways, *rubric) if said not in plain]
    assert marked_notebook(marked, "ann") == notebook  # which never holds it
    assert "What is right" in page_of(marked, "zed.9")
    assert warmside("release", marked.folder, NAME, "--withdraw").exit_code == 0
    assert page_of(marked) == before
    assert [one.value for one in decisions.noted(marked.folder)] == ["yes", ""]


def test_a_mark_that_a_person_changed_is_told_beside_the_machines(marked):
    with marked.gradebook() as gradebook:
        gradebook.find_grade("verdict", NAME, NAME, "ann").manual_score = 1.5
        gradebook.db.commit()
    assert renew(marked, [Task("ann", NAME)]) == {}
    assert "Your instructor gave 1.5 of 3 marks here, by hand." in page_of(marked)
    assert "Marks: 18.5 of 24" in page_of(marked)


def test_pages_are_written_of_what_is_marked_whole_or_not_at_all(marked):
    tasks = [Task("ann", NAME), Task("zed.9", NAME)]
    assert marked_tasks(marked) == tasks
    assert marked_tasks(marked, "zed.9") == tasks[1:]
    before = page_of(marked)
    (marked.folder / "autograded" / "ann" / NAME / f"{NAME}.ipynb").chmod(0o600)
    (marked.folder / "autograded" / "ann" / NAME / f"{NAME}.ipynb").write_text("damaged")
    failed = renew(marked, tasks)
    assert list(failed) == tasks[:1]
    assert page_of(marked) == before
    assert warmside("feedback", marked.folder, "ann-b").exit_code == 2


def test_what_is_released_before_anything_is_marked_is_noted(session):
    assert instructor.release(session) == [NAME]
    said = warmside("release", session.folder, NAME)
    assert (said.exit_code, "0 pages are in" in said.output) == (0, True)
