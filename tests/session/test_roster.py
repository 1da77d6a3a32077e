"""Rosters: what is read, and how a bad row is told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from warmside.errors import InputError
from warmside.session.roster import Trainee, parse_roster, read_roster

HEADER = "trainee,first name,last name,email\n"


def test_names_with_commas_quotes_and_other_scripts():
    text = HEADER + 't1,"Ann ""Bo""","O\'Neil, jr",a@b.example\nt2,שרה,كريم,\nt3,🙂,,\n'
    assert parse_roster(text, "r.csv") == [
        Trainee("t1", 'Ann "Bo"', "O'Neil, jr", "a@b.example"),
        Trainee("t2", "שרה", "كريم", ""),
        Trainee("t3", "🙂", "", ""),
    ]


def test_columns_in_any_order_with_others_between():
    text = "Email,group,Trainee,Last Name,First Name\nx@y,A,t1,Bell,Ann\n\n"
    assert parse_roster(text, "r.csv") == [Trainee("t1", "Ann", "Bell", "x@y")]


@pytest.mark.parametrize("separator", [";", "\t"])
def test_other_separators(separator):
    text = HEADER.replace(",", separator) + separator.join(["t1", '"Ann, or Bo"', "Bell", ""])
    assert parse_roster(text, "r.csv") == [Trainee("t1", "Ann, or Bo", "Bell", "")]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "line 1: the header needs one column “trainee”"),
        ("trainee,first name,email\n", "line 1: the header needs one column “last name”"),
        (HEADER, "names no trainee"),
        (HEADER + "t1,Ann,Bell\n", "line 2: 3 fields stand where the header has 4"),
        (HEADER + "t1,Ann,Bell,,\n", "line 2: 5 fields"),
        (HEADER + "t1,Ann,Bell,\n,Bo,Cole,\n", "line 3, field trainee: “” is no id"),
        (HEADER + "../x,Ann,Bell,\n", "line 2, field trainee: “../x” is no id"),
        (HEADER + "t 1,Ann,Bell,\n", "field trainee: “t 1” is no id"),
        (HEADER + f"{'t' * 33},Ann,Bell,\n", "is no id"),
        (HEADER + "t1,Ann,Bell,\nT1,Bo,Cole,\n", "line 3, field trainee: “T1” stands on line 2 already"),
        (HEADER + "t1,Ann,Bell,nowhere\n", "line 2, field email: “nowhere” is no address"),
        (HEADER + f"t1,{'A' * 101},Bell,\n", "line 2, field first name: a name has at most 100"),
    ],
)
def test_a_bad_row_names_file_line_and_field(text, said):
    with pytest.raises(InputError) as raised:
        parse_roster(text, "r.csv")
    assert str(raised.value).startswith("r.csv")
    assert said in str(raised.value)


def test_files_that_are_no_roster(tmp_path):
    path = tmp_path / "roster.csv"
    with pytest.raises(InputError, match=r"roster\.csv can't be read as a roster"):
        read_roster(path)
    path.write_bytes("trainee;é".encode("latin-1"))
    with pytest.raises(InputError, match="not UTF-8 text"):
        read_roster(path)
    path.write_bytes(b"\0" * 2_000_000)
    with pytest.raises(InputError, match="larger than a roster"):
        read_roster(path)


def test_a_byte_order_mark_is_no_part_of_the_header(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_bytes(b"\xef\xbb\xbf" + (HEADER + "t1,Ann,Bell,\n").encode())
    assert read_roster(path)[0].id == "t1"


@given(st.text())
def test_any_text_is_a_roster_or_one_sentence(text):
    try:
        assert parse_roster(HEADER + text, "r.csv")
    except InputError as problem:
        assert "\n" not in str(problem).replace(text, "")
