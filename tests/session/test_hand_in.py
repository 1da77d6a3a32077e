"""Taking hand-ins in, the broken and the hostile among them."""

import hashlib
import io
import json
import os
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import nbformat
import pytest
from helpers import NAME, answer_cell, released_notebook, write_notebook
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from warmside.marking.cells import CARD_MIME_TYPE, card_numbers
from warmside.session import found_notebooks
from warmside.session.check import check
from warmside.session.hand_in import UNKNOWN, left_alone, take_in
from warmside.session.hand_out import hand_out
from warmside.session.received import received_hand_ins
from warmside.session.report import write_report
from warmside.session.standing import standings

GOOD = nbformat.writes(released_notebook()).encode()


def answered(**answers: str) -> bytes:
    """A notebook with these answers."""
    notebook = released_notebook()
    for item, text in answers.items():
        answer_cell(notebook, item).source = f'{item} = "{text}"'
    return nbformat.writes(notebook).encode()


def zipped(members: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()


def put(path: Path, content: bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return path


def submitted(session, trainee: str) -> bytes:
    return (session.folder / "submitted" / trainee / NAME / f"{NAME}.ipynb").read_bytes()


def test_zips_notebooks_and_folders_in_any_mix(session, tmp_path):
    paths = [
        put(tmp_path / "usb" / f"ANN_{NAME}.ipynb", GOOD),
        put(
            tmp_path / f"ann-b_{NAME}.zip", zipped({f"ann-b_{NAME}/{NAME}.ipynb": GOOD, "readme.txt": b"hi"})
        ),
    ]
    put(tmp_path / "usb" / "deep" / "zed.9" / f"{NAME}.ipynb", GOOD)
    put(tmp_path / "usb" / "deep" / "zed.9" / ".ipynb_checkpoints" / f"{NAME}-checkpoint.ipynb", b"old")
    put(tmp_path / "usb" / "deep" / "zed.9" / "temperature_log.csv", b"hour,cup_F")
    put(tmp_path / "usb" / "deep" / "zed.9" / "Report.docx", b"...")
    received, refused = take_in(session, [paths[0].parent, paths[1]])
    assert [Path(item.where).name for item in refused] == ["Report.docx", "readme.txt"]
    assert all(item.why == "it is neither a zip, a notebook (.ipynb) nor a folder." for item in refused)
    assert sorted(item.trainee for item in received) == ["ann", "ann-b", "zed.9"]
    assert submitted(session, "ann-b") == GOOD


def test_a_zip_of_zips_from_a_learning_platform(session, tmp_path):
    inner = zipped({f"{NAME}.ipynb": GOOD})
    path = put(tmp_path / "all.zip", zipped({f"ann_{NAME}.zip": inner, f"zed.9_{NAME}.zip": inner}))
    received, refused = take_in(session, [path])
    assert ([item.trainee for item in received], refused) == (["ann", "zed.9"], [])


def test_a_second_hand_in_is_kept_beside_the_first_and_counts(session, tmp_path):
    second = answered(verdict="a")
    times = [datetime(2027, 1, 1, 9, tzinfo=UTC), datetime(2027, 1, 1, 10, tzinfo=UTC)]
    for content, at in zip([GOOD, second], times, strict=True):
        take_in(session, [put(tmp_path / f"ann_{NAME}.ipynb", content)], at=at)
    kept = sorted((session.folder / "hand_ins" / "ann" / NAME).iterdir())
    assert [path.name for path in kept] == ["20270101T090000.000000Z", "20270101T100000.000000Z"]
    assert (kept[0] / f"{NAME}.ipynb").read_bytes() == GOOD
    assert submitted(session, "ann") == second
    assert [item.at for item in received_hand_ins(session)] == [at.isoformat() for at in times]


def test_an_earlier_hand_in_that_arrives_later_does_not_count(session, tmp_path):
    newer, older = answered(verdict="a"), answered(verdict="b")
    take_in(session, [put(tmp_path / f"ann_{NAME}.ipynb", newer)], at=datetime(2027, 1, 2, tzinfo=UTC))
    take_in(session, [put(tmp_path / f"ann_{NAME}.ipynb", older)], at=datetime(2027, 1, 1, tzinfo=UTC))
    assert submitted(session, "ann") == newer


def test_the_same_moment_twice_keeps_both(session, tmp_path):
    first = put(tmp_path / f"ann_{NAME}.ipynb", GOOD)
    other = put(tmp_path / "later" / f"ann_{NAME}.ipynb", GOOD.replace(b"Part 1", b"Part I"))
    at = datetime(2027, 1, 1, tzinfo=UTC)
    take_in(session, [first, other], at=at)
    assert len(received_hand_ins(session)) == 2


def test_the_very_same_file_is_taken_once(session, tmp_path):
    due = datetime(2027, 3, 13, 17, tzinfo=UTC)
    with session.gradebook() as gradebook:
        gradebook.update_or_create_assignment(NAME, duedate=due.replace(tzinfo=None))
    filled_in = answered(verdict="a")
    for content, hour in ((GOOD, 9), (filled_in, 10)):
        path = put(tmp_path / f"{hour}" / f"ann_{NAME}.ipynb", content)
        take_in(session, [path], at=due.replace(hour=hour))
    everything = put(tmp_path / f"ann_{NAME}.zip", zipped({"1.ipynb": GOOD, "2.ipynb": filled_in}))
    received, refused = take_in(session, [everything], at=due.replace(hour=20))
    assert received == []
    assert [item.why for item in refused] == [
        f"ann handed in the very same file before, at {hour}:00 on 2027-03-13 (UTC); it is taken once."
        for hour in ("09", "10")
    ]
    assert len(left_alone(session)) == 2
    assert submitted(session, "ann") == filled_in
    assert not standings(session)[0].late
    theirs = put(tmp_path / f"zed.9_{NAME}.ipynb", GOOD)  # of somebody else it is another hand-in
    assert len(take_in(session, [theirs])[0]) == 1


def test_a_file_that_came_earlier_than_was_noted_is_taken(session, tmp_path):
    path = put(tmp_path / f"ann_{NAME}.ipynb", GOOD)
    for day in (2, 1):
        assert take_in(session, [path], at=datetime(2027, 1, day, tzinfo=UTC))[1] == []
    assert len(received_hand_ins(session)) == 2


def test_a_packs_own_notebook_taken_in_by_mistake_does_not_count(session, tmp_path):
    """As when the session's own hand-outs are given in place of hand-ins, after the due date."""
    due = datetime(2027, 3, 13, 17, tzinfo=UTC)
    with session.gradebook() as gradebook:
        gradebook.update_or_create_assignment(NAME, duedate=due.replace(tzinfo=None))
    packs = hand_out(session)
    with zipfile.ZipFile(packs[0]) as pack:
        blank = pack.read(f"ann_{NAME}/{NAME}.ipynb")
    notebook = nbformat.reads(blank.decode(), as_version=4)
    answer_cell(notebook, "verdict").source = 'verdict = "a"'
    good = nbformat.writes(notebook).encode()
    take_in(session, [put(tmp_path / f"ann_{NAME}.ipynb", good)], at=due.replace(hour=10))
    received, refused = take_in(session, [packs[0].parent], at=due.replace(hour=20))
    assert refused == []
    assert [(item.trainee, item.blank) for item in received] == [
        ("ann-b", True),
        ("ann", True),
        ("zed.9", True),
    ]
    assert submitted(session, "ann") == good
    assert submitted(session, "zed.9") == blank  # where nothing else came
    rows = standings(session)
    assert [row.late for row in rows] == [False, True, True]
    assert rows[0].counting.sha256 == hashlib.sha256(good).hexdigest()
    assert len(rows[0].hand_ins) == 2
    assert check(session) == []
    assert "20:00 (nothing written)" in write_report(session)[0].read_text("utf-8")
    reopened = nbformat.reads(blank.decode(), as_version=4)  # as JupyterLab saves one that was run
    reopened.cells[-1].metadata["collapsed"] = False
    saved = put(tmp_path / "saved" / f"ann_{NAME}.ipynb", nbformat.writes(reopened).encode())
    assert take_in(session, [saved])[0][0].blank
    assert submitted(session, "ann") == good


def test_one_word_anywhere_is_something_written(session, tmp_path):
    notebook = nbformat.reads(GOOD.decode(), as_version=4)
    notebook.cells.append(nbformat.v4.new_markdown_cell("I was here."))
    path = put(tmp_path / f"ann_{NAME}.ipynb", nbformat.writes(notebook).encode())
    assert not take_in(session, [path])[0][0].blank


def test_another_trainees_card_is_flagged(session, exercise, tmp_path):
    theirs = exercise.job_card(session.secret, "zed.9").as_files()["job_card.json"].encode()
    path = put(tmp_path / f"ann_{NAME}.zip", zipped({f"{NAME}.ipynb": GOOD, "job_card.json": theirs}))
    own = exercise.job_card(session.secret, "ann-b").as_files()["job_card.json"].encode()
    put(tmp_path / f"ann-b_{NAME}" / "job_card.json", own)
    put(tmp_path / f"ann-b_{NAME}" / f"{NAME}.ipynb", GOOD)
    received, _ = take_in(session, [path, tmp_path / f"ann-b_{NAME}"])
    assert [item.other_cards for item in received] == [("zed.9",), ()]


def test_nobody_is_named_but_by_the_card_itself(session, exercise, tmp_path):
    theirs = session.frozen_card(exercise, "zed.9").card
    changed = json.loads(theirs.as_files()["job_card.json"])
    changed["entries"][0]["text"] = "1 °F"
    forged = [
        {"number": "ABCD-EFGH-and-a-long-tail", "trainee": "zed.9"},
        {"number": theirs.number},
        {"number": theirs.number, "trainee": ["zed.9"]},
        changed,
    ]
    for number, said in enumerate(forged, 1):
        members = {f"{NAME}.ipynb": GOOD + number * b"\n", "job_card.json": json.dumps(said).encode()}
        path = put(tmp_path / f"ann_{NAME}.zip", zipped(members))
        assert take_in(session, [path])[0][0].other_cards == (UNKNOWN,)


def test_many_forged_numbers_are_one_word(session, exercise, tmp_path):
    notebook = nbformat.reads(GOOD.decode(), as_version=4)
    forged = [
        session.frozen_card(exercise, "zed.9").card.number,
        *(f"AAAA-{number:04}" for number in range(2_000)),
    ]
    notebook.cells[0] = nbformat.v4.new_code_cell(
        "",
        outputs=[
            nbformat.v4.new_output("display_data", {CARD_MIME_TYPE: {"number": number}}) for number in forged
        ],
    )
    assert card_numbers(notebook.cells) >= set(forged)
    path = put(tmp_path / f"ann_{NAME}.ipynb", nbformat.writes(notebook).encode())
    assert take_in(session, [path])[0][0].other_cards == (UNKNOWN,)


def test_a_notebook_of_forty_thousand_cells_is_left_alone(session, tmp_path):
    notebook = json.loads(GOOD)
    notebook["cells"] += 40_000 * [{"cell_type": "raw", "metadata": {}, "source": "x"}]
    path = put(tmp_path / f"ann_{NAME}.ipynb", json.dumps(notebook).encode())
    assert "cells, and no exercise takes 1,000" in take_in(session, [path])[1][0].why


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        (f"bob_{NAME}.ipynb", GOOD, "no trainee's id stands in its name"),
        (f"ann５_{NAME}.ipynb", GOOD, "no trainee's id stands in its name"),
        (f"ann and zed.9 {NAME}.ipynb", GOOD, "fits more than one trainee: ann, zed.9"),
        (f"ann_{NAME}.ipynb", b"", "it is damaged"),
        (f"ann_{NAME}.ipynb", b"not a notebook", "it is damaged"),
        (f"ann_{NAME}.ipynb", b"{}", "it is damaged"),
        (f"ann_{NAME}.ipynb", b"[1]", "it is damaged"),
        (f"ann_{NAME}.ipynb", GOOD[:-200], "it is damaged"),
        (f"ann_{NAME}.ipynb", b"[" * 100_000, "it is damaged"),
        (f"ann_{NAME}.ipynb", GOOD.decode().encode("utf-16"), "it is not UTF-8 text"),
        (f"ann_{NAME}.ipynb", GOOD.replace(b'"markdown"', b'"strange"', 1), "it is damaged"),
        (f"ann_{NAME}.pdf", b"%PDF", "neither a zip, a notebook (.ipynb) nor a folder"),
        (f"ann_{NAME}.zip", b"PK\x03\x04 not a zip", "not a whole zip file"),
        (f"ann_{NAME}.zip", zipped({f"{NAME}.ipynb": GOOD})[:-30], "not a whole zip file"),
        (f"ann_{NAME}.zip", zipped({}), "no notebook was found in it"),
        (f"ann_{NAME}.zip", zipped({f"../{NAME}.ipynb": GOOD}), "points outside the zip"),
        (f"ann_{NAME}.zip", zipped({f"/etc/{NAME}.ipynb": GOOD}), "points outside the zip"),
        (f"ann_{NAME}.zip", zipped({f"C:\\{NAME}.ipynb": GOOD}), "points outside the zip"),
        (f"ann_{NAME}.zip", zipped({"a/../../b.txt": b"", f"{NAME}.ipynb": GOOD}), "points outside the zip"),
        (f"ann_{NAME}.zip", zipped({f"{NAME}.ipynb": b" " * 30_000_000}), "far more than a hand-in can hold"),
    ],
)
def test_what_is_no_hand_in_is_named_and_left_alone(session, tmp_path, name, content, why):
    path = put(tmp_path / name, content)
    good = put(tmp_path / f"zed.9_{NAME}.ipynb", GOOD)
    received, refused = take_in(session, [path, good])
    assert [item.trainee for item in received] == ["zed.9"]
    assert len(refused) == 1
    assert str(path) in refused[0].where
    assert why in refused[0].why
    assert not (session.folder / "submitted" / "ann").exists()
    assert path.read_bytes() == content


def test_one_trainees_folder_in_anothers_zip_counts_for_nobody_unasked(session, tmp_path):
    member = f"zed.9_{NAME}/{NAME}.ipynb"
    path = put(tmp_path / f"ann_{NAME}.zip", zipped({member: answered(verdict="a")}))
    (received,), refused = take_in(session, [path])
    assert (received.trainee, received.around, refused) == ("zed.9", "ann", [])
    assert not (session.folder / "submitted" / "zed.9").exists()
    row = next(row for row in standings(session) if row.trainee.id == "zed.9")
    assert (row.state, row.late, row.score) == ("none counts until you choose", False, None)
    assert "it lay in a file or folder of ann" in " ".join(row.to_look_at)
    assert check(session) == []


def test_names_above_what_was_given_tell_nothing(session, tmp_path, monkeypatch):
    folder = tmp_path / "home" / "zed.9" / "stick"
    monkeypatch.chdir(put(folder / f"ann_{NAME}.ipynb", GOOD).parent)
    for number, argument in enumerate((folder, Path("."), Path(f"ann_{NAME}.ipynb"))):
        put(folder / f"ann_{NAME}.ipynb", GOOD + number * b"\n")  # the very same file is taken once
        received, refused = take_in(session, [argument])
        assert ([item.trainee for item in received], refused) == (["ann"], [])


def test_a_link_in_a_zip_a_link_and_a_pipe_are_refused(session, tmp_path):
    link = zipfile.ZipInfo(f"{NAME}.ipynb")
    link.external_attr = 0o120777 << 16
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr(link, "/etc/passwd")
    outside = put(tmp_path / "elsewhere.ipynb", GOOD)
    paths = [put(tmp_path / f"ann_{NAME}.zip", buffer.getvalue()), tmp_path / f"ann_{NAME}.ipynb"]
    paths[1].symlink_to(outside)
    paths.append(tmp_path / f"zed.9_{NAME}.ipynb")
    os.mkfifo(paths[2])
    received, refused = take_in(session, paths)
    assert received == []
    assert ["link" in item.why for item in refused] == [True, True, True]


def test_a_link_inside_a_folder_is_not_followed(session, tmp_path):
    outside = put(tmp_path / "outside" / f"{NAME}.ipynb", GOOD)
    folder = tmp_path / "ann"
    folder.mkdir()
    (folder / f"{NAME}.ipynb").symlink_to(outside)
    received, refused = take_in(session, [folder])
    assert (received, len(refused)) == ([], 1)


def test_a_password_is_told(session, tmp_path):
    content = bytearray(zipped({f"{NAME}.ipynb": GOOD}))
    for signature, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        content[content.index(signature) + offset] |= 1
    _, refused = take_in(session, [put(tmp_path / f"ann_{NAME}.zip", bytes(content))])
    assert "locked with a password" in refused[0].why


def test_a_zip_that_lies_about_its_sizes_is_read_within_bounds(session, tmp_path, monkeypatch):
    monkeypatch.setattr(found_notebooks, "LARGEST_UNPACKED", 50_000)
    many = zipped({f"ann_{n}/{NAME}.ipynb": b" " * 20_000 for n in range(5)})
    _, refused = take_in(session, [put(tmp_path / "ann.zip", many)])
    assert "far more than a hand-in can hold" in refused[0].why


def test_too_many_members(session, tmp_path, monkeypatch):
    monkeypatch.setattr(found_notebooks, "MOST_MEMBERS", 3)
    _, refused = take_in(session, [put(tmp_path / "ann.zip", zipped({f"{n}.txt": b"" for n in range(4)}))])
    assert "more than 3 files" in refused[0].why


def test_missing_file_and_too_large_a_notebook(session, tmp_path, monkeypatch):
    monkeypatch.setattr(found_notebooks, "LARGEST_NOTEBOOK", 1000)
    path = put(tmp_path / f"ann_{NAME}.ipynb", GOOD)
    _, refused = take_in(session, [path, tmp_path / "nowhere.zip"])
    assert "larger than" in refused[0].why
    assert "can't be read" in refused[1].why


def test_an_older_notebook_format_is_taken(session, tmp_path):
    path = write_notebook(tmp_path / f"ann_{NAME}.ipynb", nbformat.v4.downgrade(released_notebook()))
    received, refused = take_in(session, [path])
    assert (len(received), refused) == (1, [])


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.binary(max_size=400), suffix=st.sampled_from([".zip", ".ipynb"]))
def test_any_bytes_are_left_alone_with_a_reason(session, tmp_path, content, suffix):
    received, refused = take_in(session, [put(tmp_path / f"ann_{NAME}{suffix}", content)])
    assert received == []
    assert all(item.why for item in refused)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_zip_with_any_bytes_changed_never_raises(session, tmp_path, data):
    content = bytearray(zipped({f"{NAME}.ipynb": GOOD[:3000]}))
    for _ in range(data.draw(st.integers(1, 6))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    take_in(session, [put(tmp_path / f"ann_{NAME}.zip", bytes(content))])


def test_a_much_older_notebook_format_is_taken_in(session, tmp_path):
    older = nbformat.convert(nbformat.reads(GOOD.decode(), as_version=4), 3)
    text = nbformat.writes(older, version=3)
    received, refused = take_in(session, [put(tmp_path / f"ann_{NAME}.ipynb", text.encode())])
    assert (len(received), refused) == (1, [])


def test_a_hard_link_is_a_link(session, tmp_path):
    other = put(tmp_path / "somewhere", GOOD)
    os.link(other, tmp_path / f"ann_{NAME}.ipynb")
    received, refused = take_in(session, [tmp_path / f"ann_{NAME}.ipynb"])
    assert received == []
    assert "it is a link" in refused[0].why


def test_fifty_megabytes_and_nul_bytes(session, tmp_path):
    large = put(tmp_path / f"ann_{NAME}.ipynb", GOOD + b" " * 50_000_000)
    nul = put(tmp_path / f"zed.9_{NAME}.ipynb", GOOD.replace(b"Part 1", b"Part\0 1"))
    received, refused = take_in(session, [large, nul])
    assert received == []
    assert "larger than 20 MB" in refused[0].why
    assert "damaged" in refused[1].why


def test_what_is_left_alone_is_noted_and_shown(session, tmp_path):
    take_in(session, [put(tmp_path / f"ann_{NAME}.pdf", b"%PDF")])
    take_in(session, [put(tmp_path / "<script>alert(1)</script>.zip", b"PK")])
    noted = left_alone(session)
    assert [item.why for _, item in noted] == [
        "it is neither a zip, a notebook (.ipynb) nor a folder.",
        "it is not a whole zip file; copy or download it again.",
    ]
    page = write_report(session)[0].read_text("utf-8")
    assert "Left alone" in page
    assert "<script>alert(1)" not in page
    assert "Left alone" not in write_report(session, ids_only=True)[0].read_text("utf-8")


def test_a_report_by_ids_names_nobody(session):
    page, table = (path.read_text("utf-8") for path in write_report(session, ids_only=True))
    for text in (page, table):
        assert "O'Neil" not in text.replace("&#39;", "'")
        assert "ann-b" in text
