"""A case on the bench: stop signs first, readings one by one at their minutes, a commit, and a debrief.

All that it shows before the commit stands in the case's file: until then it loads nothing of the diagnosis
into a trainee's kernel. What is wrong stands in no case's file, and nothing here finds it: whoever made the
case hands out its debrief.
"""

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from IPython.display import HTML, display
from jinja2 import Environment
from markupsafe import Markup

from warmside.blocks import TEXT, bar, table
from warmside.blocks import said as block
from warmside.colours import BLUE, RED
from warmside.errors import InputError
from warmside.hazards import StopSign, in_order, signs_on
from warmside.marking.job_card import PRACTICE, JobCard
from warmside.show.sealing import SIGNS_NAME, opened
from warmside.show.typed_names import named
from warmside.units import read_quantity, show, to_si

if TYPE_CHECKING:
    from warmside.diagnosis.readings import Readings
    from warmside.show.case_commit import Commit
    from warmside.show.case_debrief import Told

FILE_NAME = "case_file.json"
"""What the case of a job card is called."""

_PAGES = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
_PAGES.globals |= {"bar": bar, "table": table, "text": TEXT}
_CARD = _PAGES.from_string(
    """<div style="{{ text }}">
<p><b>Case {{ case.number }}</b> (invented). {{ case.size }}, on {{ case.heat_source }},
{{ case.season }}, {{ case.ambient }} outside.</p>
<p>The owner says: “{{ case.complaint }}”</p>
{% if folded %}<details><summary>What you can read, its minutes and cautions</summary>{% endif %}
{{ table("What you can read", ("Name to type", "What it is", "Minutes", "Caution"), rows) }}
{% if folded %}</details>{% endif %}</div>"""
)
_LOOK = _PAGES.from_string(
    """{{ table("Before any reading: look, smell, listen", ("Stop sign", "Met"), rows) }}
{% for sign in met %}
<div role="note" style="{{ bar(colour) }}">
<p><b>Stop. {{ sign.reported }}</b></p>
<ol>{% for step in sign.steps %}<li>{{ step }}</li>{% endfor %}</ol>
<p>{{ sign.never }} Who goes on: {{ sign.goes_on }}</p></div>{% endfor %}"""
)


class CaseOnTheBench:
    """A case whose stop signs are asked for first, and whose readings are taken one by one, at their minutes.

    Parameters
    ----------
    text : str
        Of the case's file.
    name : str
        What to call the file in what is said of a mistake.
    folder : Path or None
        Where it lies; its debrief lies there too, or beside that folder. None where somebody marks the case.

    Attributes
    ----------
    looked : bool
        Whether stop signs were looked for.
    taken : list of str
        Names of what was read, in order.
    committed : Commit or None
        To what the trainee has committed.
    """

    def __init__(self, text: str, name: str = "the case file", *, folder: Path | None = None) -> None:
        try:
            self._whole = json.loads(text)
            self._number = str(self._whole["case"])
            self._offered = {one["name"]: one for one in self._whole["readings"]}
            self._met = in_order(opened(self._whole["signs"], self._number, SIGNS_NAME))
            self._asked = signs_on(self._whole["heat_source"])
            whole = all(isinstance(self._value(reading), str) for reading in self._offered)
        except (ValueError, KeyError, TypeError, AttributeError):
            whole = False
        if not whole:
            raise InputError(
                f"{name} is not a case file any more; take the one that you were given again."
            ) from None
        self._folder = folder
        self._watchers: list[Callable[[], None]] = []
        self.looked = False
        self.taken: list[str] = []
        self.committed: Commit | None = None

    @property
    def readings(self) -> "Readings":
        """What was read so far, as the diagnosis knows it."""
        from warmside.diagnosis.performance import DAY
        from warmside.diagnosis.readings import Readings, from_text

        ambient = to_si(read_quantity(self._whole["ambient"], "temperature"), "temperature")
        values = {name: from_text(name, self._value(name)) for name in self.taken}
        return Readings(self._whole["size"], self._whole["heat_source"], ambient, values, running=DAY)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of what can be read."""
        return tuple(self._offered)

    @property
    def minutes(self) -> float:
        """What has been spent."""
        return sum(self._offered[name]["minutes"] for name in self.taken)

    @property
    def about(self) -> dict[str, Any]:
        """What is known before any reading: number, size, heat source, day and complaint."""
        known = {name: self._whole[name] for name in ("size", "heat_source", "season", "complaint")}
        ambient = f"{self._whole['ambient']} ({in_metric(self._whole['ambient'])})"
        return {"number": self._number, **known, "ambient": ambient}

    @property
    def offered(self) -> list[dict[str, Any]]:
        """What can be read: name, what it is, minutes and caution of each; not what it shows."""
        return [
            {key: one[key] for key in ("name", "what", "minutes", "caution")}
            for one in self._offered.values()
        ]

    @property
    def signs(self) -> tuple[tuple[StopSign, bool], ...]:
        """The stop signs that are asked for, and whether each is met; none before a look."""
        return tuple((sign, sign in self._met) for sign in self._asked) if self.looked else ()

    @property
    def log(self) -> tuple[tuple[str, str], ...]:
        """Name of each reading that was taken, and what it shows, in order."""
        return tuple((name, self._value(name)) for name in self.taken)

    @property
    def is_marked(self) -> bool:
        """Whether somebody marks it, so that nothing of it is debriefed here."""
        return self._folder is None

    def on_change(self, told: Callable[[], None]) -> None:
        """Have somebody told whenever something was looked for, read or committed."""
        self._watchers.append(told)

    def _changed(self) -> None:
        for told in self._watchers:
            told()

    def show(self) -> None:
        """Show the complaint, and what can be read at what cost."""
        display(HTML(self._repr_html_()))

    def look_for_signs(self) -> None:
        """Look, smell and listen for each stop sign; `signs` then has what is met."""
        self.looked = True
        self._changed()

    def look(self) -> None:
        """Look, smell and listen for each stop sign, and show what is met: there the job ends."""
        self.look_for_signs()
        said = [sentence for sign in self._met for sentence in ("Stop.", *sign.sentences)]
        plain = " ".join(said) or "Nothing that you see, hear or smell stops the job."
        rows = [(sign.question, "YES" if sign in self._met else "no") for sign in self._asked]
        page = _LOOK.render(rows=rows, met=self._met, colour=RED)
        display({"text/plain": plain, "text/html": page}, raw=True)

    def read(self, *names: str) -> None:
        """Take readings, show what they are, and note their minutes; one taken twice costs once.

        None is taken before a look for stop signs, nor where one was met.
        """
        for name in names:
            _say(partial(self.take, name))

    def commit(self, wrong: str = "", do: str = "") -> None:
        """Commit, once, to what is wrong and what is done: after that nothing is read any more.

        Parameters
        ----------
        wrong : str
            One fault, or two with a comma: codes or names from the list; "ok" for nothing; "stop" where a
            stop sign ends the job.
        do : str
            What is done: letters from the list of remedies, with commas; none for "stop".
        """
        _say(lambda: self.commit_to(wrong, do))

    def debrief(self) -> None:
        """Show what was right, after the commit only."""
        try:
            told = self.debriefed()
        except InputError as problem:
            _show_line(str(problem), RED, "?")
            return
        display({"text/plain": told.plain, "text/html": told.page}, raw=True)

    def debriefed(self) -> "Told":
        """Return what is said after the commit: what was right, and what each reading changed.

        Raises
        ------
        InputError
            One sentence, before the commit, of a case that somebody marks, and where its debrief isn't there.
        """
        if self.committed is None:
            raise InputError("A debrief comes after the commit: write what is wrong in case.commit first.")
        if self._folder is None:
            raise InputError("This case is marked: your instructor's feedback tells what was right.")
        from warmside.show.case_debrief import debrief, debrief_of_a_stop, read_debrief

        if self._met:
            return debrief_of_a_stop(self._met, self.committed)
        return debrief(read_debrief(self._number, self._folder), self.committed, self.readings, self.log)

    def commit_to(self, wrong: str, do: str) -> str:
        """Commit, and return what is said; see `commit`.

        Raises
        ------
        InputError
            One sentence, before a look, after a commit, or if either can't be understood.
        """
        if not self.looked:
            raise InputError("Stop signs come before all else: run case.look() first.")
        if self.committed is not None:
            raise InputError(f"A commit counts once, and this is yours: {self.committed.said}.")
        from warmside.show.case_commit import commit

        self.committed = commit(wrong, do, self.minutes)
        self._changed()
        more = "Your instructor marks it." if self.is_marked else "case.debrief() tells what was right."
        return f"You commit, after {self.minutes:g} min: {self.committed.said}. {more}"

    def take(self, typed: str) -> str:
        """Take one reading, and return what is said; see `read`.

        Raises
        ------
        InputError
            One sentence, if nothing may be read now, or there is no such reading.
        """
        if not self.looked:
            raise InputError("Stop signs come before any reading: run case.look() first.")
        if self._met:
            raise InputError(f"This job has stopped, so nothing is read: {self._met[0].reported}")
        if self.committed is not None:
            raise InputError("You have committed, so nothing is read any more.")
        name = named(
            typed, {name: one["what"] for name, one in self._offered.items()}, "reading in this case"
        )
        reading, value = self._offered[name], self._value(name)
        again = name in self.taken
        if not again:
            self.taken.append(name)
            self._changed()
        metric = in_metric(value)
        shown = f"{value} ({metric})" if metric else value
        cost = "read before" if again else f"{reading['minutes']:g} min"
        return f"{reading['what']}: {shown}. {cost}; {self.minutes:g} min so far."

    def _value(self, name: str) -> str:
        """Return what a reading shows; nothing is kept of it."""
        return opened(self._offered[name]["sealed"], self._number, name)

    def card(self, *, folded: bool = False) -> str:
        """Return the complaint as HTML, and what can be read: a table, which may be folded away."""
        rows = [
            (
                Markup("<code>{}</code>").format(reading["name"]),
                reading["what"],
                f"{reading['minutes']:g}",
                reading["caution"],
            )
            for reading in self.offered
        ]
        return _CARD.render(case=self.about, rows=rows, folded=folded)

    def _repr_html_(self) -> str:
        return self.card()


def _say(act: Callable[[], str]) -> None:
    """Show what comes of it, or what is wrong with it."""
    try:
        said, colour, sign = act(), BLUE, "✎"
    except InputError as problem:
        said, colour, sign = str(problem), RED, "?"
    _show_line(said, colour, sign)


def _show_line(said: str, colour: str, sign: str) -> None:
    page = block(said, colour, sign)
    display({"text/plain": said, "text/html": page}, raw=True)


_KINDS = {" °F": "temperature", " in w.c.": "pressure_gauge", " in": "length"}


def in_metric(text: str) -> str:
    """Return a reading's text in metric units; empty where these are the same or there are none."""
    kind = next((kind for unit, kind in _KINDS.items() if text.endswith(unit)), "")
    if not kind:
        return ""
    return show(read_quantity(text, kind), "SI", kind=kind, digits=2 if kind == "pressure_gauge" else 1)


def my_case(card: JobCard) -> CaseOnTheBench:
    """Return the case that belongs to a job card; only the practice card's is debriefed."""
    folder = Path() if card.trainee == PRACTICE else None
    return CaseOnTheBench(card.files[FILE_NAME], FILE_NAME, folder=folder)


def case_notebook(number: str) -> str:
    """Return the notebook, as text, in which the case beside it is worked."""
    import nbformat  # which a trainee's kernel needn't load

    cells = [
        nbformat.v4.new_markdown_cell(_HOW_TO_WORK.format(number=number), id="how"),
        nbformat.v4.new_code_cell(_OPEN.format(file=FILE_NAME), id="open"),
        nbformat.v4.new_code_cell("case.look()\ncase.show()", id="look"),
        nbformat.v4.new_code_cell('case.read("load")', id="read"),
        nbformat.v4.new_code_cell(_CHOICES, id="choices"),
        nbformat.v4.new_code_cell(_COMMIT, id="commit"),
        nbformat.v4.new_code_cell("case.debrief()", id="debrief"),
        nbformat.v4.new_markdown_cell(_YOUR_WORDS, id="words"),
    ]
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    return nbformat.writes(nbformat.v4.new_notebook(cells=cells, metadata=kernel)) + "\n"


_HOW_TO_WORK = """# Case {number}

*Invented. Nobody's refrigerator.*

Click into the first cell below and press <kbd>Shift</kbd>+<kbd>Enter</kbd>: it shows the bench, and there
you do all of this.

1. Look, smell and listen for stop signs. It costs no minutes. Where there is one, the job ends there.
2. Else take readings at their parts, by click, touch or <kbd>Tab</kbd> and <kbd>Enter</kbd>. Each costs its
   minutes; what you have read before costs nothing more.
3. Stop when you know. Then commit to what is wrong and what you would do. A commit counts once.
4. The debrief comes after it: what was right, and what your minutes bought. It stands in the file
   `case_{number}_debrief.json`, which whoever gave you the case gives you then: put it beside this notebook.

Who would rather type runs the other cells one by one: it is the same case with the same log. Add a line for
each reading, as in `case.read("cup")`; capitals don't matter.

**On a real refrigerator:** stop signs first. Work on mains, gas and sealed units is for licensed people."""
_OPEN = """from warmside.show.case_bench import case_bench
from warmside.show.case_pages import open_case

case = open_case("{file}")
case_bench(case)"""
_CHOICES = """from warmside.show.choices import show_choices

show_choices("faults")
show_choices("remedies")"""
_COMMIT = """# for example case.commit("lv", do="b"); or case.commit("stop")
case.commit("          ", do="          ")"""
_YOUR_WORDS = """## What I found

*Double-click here, click once more, and write: whether the job stops, and what you do then; else what is
wrong, on what evidence, what you would do, and what comes first for safety.*"""


def open_case(path: str | Path) -> CaseOnTheBench:
    """Return the case in a file that ``warmside case new`` made.

    Raises
    ------
    InputError
        If it isn't there or is no case.
    """
    try:
        text = Path(path).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise InputError(f"{path} can't be read; give the file of a case.") from None
    return CaseOnTheBench(text, str(path), folder=Path(path).parent)
