"""Questions between the paragraphs that answer with a reason.

They are plain HTML that opens and closes by itself, not a widget: the text stays readable and answers in an
exported page without a kernel, and the keys do what they say. (Arrow keys on radio buttons in a cell's output
are taken by JupyterLab, which goes to the next cell.)
"""

import tomllib
from dataclasses import dataclass
from importlib import resources

from IPython.display import HTML
from jinja2 import Environment

from warmside.colours import BLUE, RED
from warmside.errors import InputError

# The attribute data-lm-suppress-shortcuts keeps Enter and Space from JupyterLab's own shortcuts.
_PAGE = Environment(autoescape=True).from_string(
    """<div role="group" aria-label="Check yourself" data-lm-suppress-shortcuts="true" style="font-size:17px">
<p><b>{{ check.question }}</b></p>
{% for answer in check.answers %}<details style="margin:6px 0">
<summary style="cursor:pointer">{{ answer.text }}</summary>
<p style="border-left:6px solid {{ blue if answer.right else red }};margin:6px 0;padding:4px 12px">
<b><span aria-hidden="true">{{ "✔" if answer.right else "✘" }}</span>
{{ "Yes." if answer.right else "Not quite." }}</b> {{ answer.reason }}</p></details>
{% endfor %}</div>"""
)


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


def self_check(module: str, number: int) -> HTML:
    """Return a question to answer: open an answer, and read why."""
    return HTML(_PAGE.render(check=checks(module)[number - 1], blue=BLUE, red=RED))
