"""A trainee who is to be forgotten."""

import pytest
from helpers import NAME, mark, released_notebook, typed_for, write_notebook

from warmside.errors import InputError
from warmside.session import hand_in
from warmside.session.backup import back_up, copies
from warmside.session.check import check
from warmside.session.forget import forget
from warmside.session.hand_in import left_alone, take_in
from warmside.session.hand_out import hand_out
from warmside.session.mark import to_mark
from warmside.session.received import received_hand_ins
from warmside.session.report import write_report
from warmside.session.standing import standings

pytestmark = pytest.mark.full  # many hand-ins on real kernels


def everything(session) -> str:
    """All names and contents of a session's folder as one text."""
    files = [path for path in session.folder.rglob("*") if path.is_file()]
    return " ".join(str(path) + path.read_bytes().decode("latin-1") for path in files)


def test_nothing_of_them_is_left_and_everything_of_the_others(session, tmp_path):
    hand_out(session)
    shared = released_notebook()
    paths = [
        write_notebook(tmp_path / f"zed.9_{NAME}.ipynb", typed_for(session, "zed.9")),
        write_notebook(tmp_path / f"ann_{NAME}.ipynb", shared),
        tmp_path / f"zed.9_{NAME}.pdf",
    ]
    paths[2].write_bytes(b"%PDF")
    card = session.exercises()[0].job_card(session.secret, "zed.9").as_files()["job_card.json"]
    (tmp_path / "job_card.json").write_text(card, encoding="utf-8")
    take_in(session, paths)
    mark(session, to_mark(session))
    back_up(session)
    write_report(session)
    assert received_hand_ins(session)[0].other_cards == ("zed.9",)
    assert len(left_alone(session)) == 1
    assert "zed.9" in everything(session)
    remains = forget(session, "zed.9")
    assert "The report named them" in remains[0]
    left = everything(session)
    assert "zed.9" not in left
    assert "=1+1" not in left  # their last name, in the gradebook and in its copies
    assert len(copies(session)) == 2
    assert [row.trainee.id for row in standings(session)] == ["ann", "ann-b"]
    assert standings(session)[0].score == 0
    assert check(session) == []
    assert (session.folder / hand_in.LEFT_ALONE).read_text("utf-8") == ""


def test_nobody_by_that_name(session):
    with pytest.raises(InputError, match="There is no trainee “nobody”"):
        forget(session, "nobody")
