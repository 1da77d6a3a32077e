"""Questions between the paragraphs: first an answer of one's own, then whether it is right, and why.

Here they are plain HTML that opens and closes by itself, not a widget: the text stays readable and answers
in an exported page without a kernel, and the keys do what they say. (Arrow keys on radio buttons in a cell's
output are taken by JupyterLab, which goes to the next cell.) An answer opens in two steps, so that nobody
sees what is right before having chosen. On a lesson's page `self_check.js` makes of it one choice that is
remembered.

What is asked stands in `self_checks/NN.toml`, one table for each question. Its name with the module's before
it, such as ``05.air``, is the question's id, and its first answer is the right one.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib import resources

from IPython.display import HTML
from jinja2 import Environment

from warmside.blocks import bar
from warmside.colours import BAD, GOOD
from warmside.errors import InputError

# The attribute data-lm-suppress-shortcuts keeps Enter and Space from JupyterLab's own shortcuts.
_PAGE = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(
    """<div role="group" aria-label="Check yourself" data-check="{{ check.id }}" \
data-lm-suppress-shortcuts="true" style="font-size:17px">
<p><b>{{ check.question }}</b></p>
{% for answer in check.answers %}
<details data-answer="{{ answer.number }}" style="margin:6px 0">
<summary style="cursor:pointer">{{ answer.text }}</summary>
<details style="margin:6px 0 6px 24px">
<summary style="cursor:pointer">That's my answer: is it right, and why?</summary>
<p style="{{ bar(good if answer.right else bad) }}">
<b><span aria-hidden="true">{{ "✔" if answer.right else "✘" }}</span>
{{ "Yes." if answer.right else "Not quite." }}</b>
<span data-reason="{{ "right" if answer.right else "wrong" }}">{{ answer.reason }}</span></p>
</details></details>
{% endfor %}</div>"""
)


@dataclass(frozen=True)
class Answer:
    """One of the answers to choose from.

    Attributes
    ----------
    number : int
        Its place in the table, from 1, whatever order they are shown in.
    text : str
        What one chooses.
    why : str
        Why it is right, or isn't.
    tempts : str
        What speaks for a wrong one; empty for the right one.
    """

    number: int
    text: str
    why: str
    tempts: str = ""

    @property
    def right(self) -> bool:
        """Whether it is the right one: the table's first."""
        return self.number == 1

    @property
    def reason(self) -> str:
        """What is said to who chose it."""
        return f"What tempts: {self.tempts} What it misses: {self.why}" if self.tempts else self.why


@dataclass(frozen=True)
class Check:
    """A question with its answers, in the order in which they are shown."""

    id: str
    question: str
    answers: tuple[Answer, ...]


@cache
def checks(module: str) -> tuple[Check, ...]:
    """Return the questions of a module, such as ``"05"``, in the order of its table.

    Raises
    ------
    InputError
        If the module has none.

    Examples
    --------
    >>> [answer.right for answer in checks("05")[0].answers].count(True)
    1
    """
    path = resources.files("warmside.show") / "self_checks" / f"{module}.toml"
    if not path.is_file():
        raise InputError(f"There are no self-checks for module “{module}”; write its two digits, such as 05.")
    table = tomllib.loads(path.read_text("utf-8"))
    return tuple(_check(f"{module}.{name}", **asked) for name, asked in table.items())


def self_check(id: str) -> HTML:
    """Return a question to answer, such as ``"05.air"``: choose, then read whether it is right and why.

    Raises
    ------
    InputError
        If there is no question of this name.
    """
    module = id.partition(".")[0]
    found = {check.id: check for check in checks(module)}
    if id not in found:
        raise InputError(f"There is no self-check “{id}”; module {module} has {', '.join(found)}.")
    return HTML(_PAGE.render(check=found[id], bar=bar, good=GOOD, bad=BAD))


def _check(id: str, question: str, right: dict[str, str], wrong: list[dict[str, str]]) -> Check:
    """Put its answers into an order that is the id's own: the same for everybody, each time."""
    answers = [Answer(number, **answer) for number, answer in enumerate([right, *wrong], start=1)]
    return Check(id, question, tuple(sorted(answers, key=lambda answer: _place(id, answer.number))))


def _place(id: str, number: int) -> bytes:
    return sha256(f"{id}.{number}".encode()).digest()
