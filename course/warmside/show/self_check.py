"""Questions between the paragraphs that answer with a reason."""

import html
import tomllib
from dataclasses import dataclass
from importlib import resources

import ipywidgets as widgets

from warmside.errors import InputError
from warmside.show.pictures import BLUE, RED


@dataclass(frozen=True)
class Answer:
    """One of the answers to choose from: its text, whether it is right, and why."""

    text: str
    right: bool
    reason: str


@dataclass(frozen=True)
class Check:
    """A question with its answers."""

    question: str
    answers: tuple[Answer, ...]


def checks(module: str) -> tuple[Check, ...]:
    """Return the questions of a module, such as ``"05"``.

    Raises
    ------
    InputError
        If the module has none.
    """
    path = resources.files("warmside.show") / "self_checks" / f"{module}.toml"
    if not path.is_file():
        raise InputError(f"There are no self-checks for module “{module}”; write its two digits, such as 05.")
    return tuple(
        Check(check["question"], tuple(Answer(**answer) for answer in check["answers"]))
        for check in tomllib.loads(path.read_text("utf-8"))["check"]
    )


def self_check(module: str, number: int) -> widgets.VBox:
    """Return a question to answer: choose, and read why."""
    check = checks(module)[number - 1]
    choice = widgets.RadioButtons(
        options=[(answer.text, index) for index, answer in enumerate(check.answers)],
        value=None,
        layout={"width": "max-content"},
    )
    reply = widgets.HTML()

    def respond(change: dict) -> None:
        answer = check.answers[change["new"]]
        colour, sign, word = (BLUE, "✔", "Yes.") if answer.right else (RED, "✘", "Not quite.")
        reply.value = (
            f"<p role='status' style='font-size:17px;border-left:6px solid {colour};padding:4px 12px'>"
            f"<b><span aria-hidden='true'>{sign}</span> {word}</b> {html.escape(answer.reason)}</p>"
        )

    choice.observe(respond, names="value")
    question = widgets.HTML(f"<p style='font-size:17px'><b>{html.escape(check.question)}</b></p>")
    return widgets.VBox([question, choice, reply])
