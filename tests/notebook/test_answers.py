"""What leaves a trainee's kernel."""

import pytest
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output

from warmside.marking.cells import MIME_TYPE
from warmside.notebook.answers import record
from warmside.units import Q_

NAMES = ("cup", "load", "vent_air")


@pytest.fixture(autouse=True, scope="module")
def shell():
    """Displays are only captured where there is a shell."""
    InteractiveShell.instance()
    yield
    InteractiveShell.clear_instance()


def recorded(name: str, value: object, kind: str, choices: str = "") -> dict:
    """Record a value as a notebook cell would, and return the output's data."""
    namespace = {"record": record, name: value}
    with capture_output() as captured:
        exec(f'record("{name}", "{kind}", "{choices}")', namespace)
    return captured.outputs[0].data


def test_text_and_quantity_say_what_was_understood():
    for value in ("38.5 degF", "38.5F", Q_(38.5, "degF")):
        data = recorded("cup", value, "temperature")
        assert data["text/plain"] == "Recorded: 38.5 °F, a temperature."
        assert data[MIME_TYPE]["name"] == "cup"


def test_nothing_yet_and_not_understood_are_said_at_once():
    assert "Nothing recorded yet for cup" in recorded("cup", "", "temperature")["text/plain"]
    assert "Nothing recorded yet for cup" in recorded("cup", None, "temperature")["text/plain"]
    said = recorded("cup", 38.5, "temperature")
    assert said["text/plain"].startswith("Recorded, but not understood.")
    assert said[MIME_TYPE]["text"] == "38.5"


def test_what_is_said_back_never_depends_on_the_key():
    right, wrong = (recorded("cup", text, "temperature") for text in ("38.5 degF", "238.5 degF"))
    assert wrong["text/html"] == right["text/html"].replace("38.5", "238.5")


def test_markup_in_an_answer_is_shown_as_text():
    data = recorded("cup", "<script>alert(1)</script>", "temperature")
    assert "<script>" not in data["text/html"]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (["cup", "load"], "cup, load"),
        (("cup",), "cup"),
        ("cup load", "cup load"),
        ([], None),
        ("", None),
        (["cup", 3], "['cup', 3]"),
    ],
)
def test_a_list_is_recorded_as_text(value, text):
    with capture_output() as captured:
        exec(f'record("read", "names", {NAMES!r})', {"record": record, "read": value})
    assert captured.outputs[0].data[MIME_TYPE] == {"name": "read", "text": text}
