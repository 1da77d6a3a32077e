"""What a trainee reads after marking: one box under each answer, one table on top.

No key's value is in it, but for `right_cell`, which stands on pages of released results alone.
"""

from collections.abc import Iterable

import nbformat
from jinja2 import Environment
from markupsafe import Markup
from nbformat import NotebookNode

from warmside.blocks import TEXT, bar, said, table
from warmside.colours import BAD, BLUE, GOOD, NOTE_GROUND, OURS_GROUND, SOFT, UNSURE
from warmside.marking.exercise import Asked, ByHand, Exercise, Job
from warmside.marking.job_card import JobCard
from warmside.marking.marks import ItemMark, Outcome
from warmside.marking.noted import CellNoted
from warmside.marking.ways import Given, right_answer, ways_of

SIGNS = {
    Outcome.RIGHT: ("✔", GOOD),
    Outcome.CARRIED: ("✔", GOOD),
    Outcome.PARTLY: ("◐", UNSURE),
    Outcome.MISTAKE: ("!", UNSURE),
    Outcome.WRONG: ("✘", BAD),
    Outcome.NOT_UNDERSTOOD: ("?", BAD),
    Outcome.UNANSWERED: ("–", SOFT),
    Outcome.BY_HAND: ("✎", BLUE),
    Outcome.WAITS: ("…", BLUE),
    Outcome.AGAIN: ("↻", BLUE),
}
"""A sign and a colour for each outcome, from a set that colour-blind readers can tell apart."""

_PAGES = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
_PAGES.filters["g"] = "{:g}".format

_PAGES.globals |= {"bar": bar, "text": TEXT, "table": table}

_BOX = _PAGES.from_string(
    """<div style="{{ bar(colour) }}">
<p style="margin:0"><b><span aria-hidden="true">{{ sign }}</span> {{ mark.score|g }} of {{ mark.points|g }}
marks: {{ mark.outcome.value }}</b></p>
{% for sentence in sentences %}
<p style="margin:4px 0">{{ sentence }}</p>
{% endfor %}
</div>"""
)

_SUMMARY = _PAGES.from_string(
    """<div style="{{ bar(colour) }}">
<p style="margin:0"><b>{{ title }}</b>, job card {{ card.number }} of {{ card.trainee }}.
What to look at stands under each answer below.</p>
{% if notes %}
<ul>
{% for note in notes %}
<li>{{ note }}</li>
{% endfor %}
</ul>
{% endif %}
{{ table("Item by item", ("Item", "Marks", "What became of it"), rows) }}
</div>"""
)

_PRACTICE = _PAGES.from_string(
    """<div style="{{ text }}">
{% if left %}
<p><b>Not counted here, your instructor's marking alone covers:</b></p>
<ul>
{% for what, why in left %}
<li>{{ what }}: {{ why }}.</li>
{% endfor %}
</ul>
{% endif %}
<p><b>{{ title }}: {{ score|g }} of {{ points|g }} marks of what can be checked here.</b></p>
{% for mark, box in boxes %}
<h4 style="margin:12px 0 4px">{{ mark.title }}</h4>
{{ box }}
{% endfor %}
{% if unanswered %}
<p><b>Not answered yet:</b> {{ unanswered|join("; ") }}.</p>
{% endif %}
</div>
"""
)

_RIGHT = _PAGES.from_string(
    """<div style="{{ bar(colour, ground) }}">
<p style="margin:0"><b>What is right{% if right %}: {{ right }}{% endif %}</b></p>
{% for part in way %}
{% if part is string %}
<p style="margin:4px 0">{{ part }}</p>
{% else %}
{{ table(part.caption, part.head, part.rows) }}
{% endif %}
{% endfor %}
</div>"""
)

_RUBRIC = _PAGES.from_string(
    """<div style="{{ bar(colour, ground) }}">
<b>For the instructor alone.</b> {{ asked.title }}: up to {{ asked.points|g }} marks.
<ul>
{% for sentence in sentences %}
<li>{{ sentence }}</li>
{% endfor %}
</ul>
<p style="margin:4px 0">Warmside's own words have a coloured ground or bar. Whatever hasn't was
written or put out by the trainee's notebook, whatever it says it is.</p>
</div>"""
)


def outputs(mark: ItemMark, error: str = "") -> list[NotebookNode]:
    """Return the outputs of a graded cell: the feedback, then the marks as nbgrader reads them.

    nbgrader takes a last result that is no number for full marks, and one above the cell's points for an
    error; so the number is written here, plain and within bounds.
    """
    sentences = mark.feedback
    if error and mark.outcome is Outcome.UNANSWERED:
        stopped = "ran too long and was stopped" if error == "KeyboardInterrupt" else f"stopped with {error}"
        sentences = (*sentences, f"The cell {stopped}; everything else was marked all the same.")
    score = min(max(float(mark.score), 0.0), float(mark.points))
    text = f"{score:g} of {mark.points:g} marks: {mark.outcome.value}. " + " ".join(sentences)
    page = _box(mark, sentences)
    return [
        nbformat.v4.new_output("display_data", {"text/html": page, "text/plain": text}),
        nbformat.v4.new_output("execute_result", {"text/plain": repr(score)}, execution_count=1),
    ]


def _box(mark: ItemMark, sentences: Iterable[str]) -> str:
    sign, colour = SIGNS[mark.outcome]
    return _BOX.render(mark=mark, sentences=sentences, sign=sign, colour=colour)


def practice_page(title: str, marks: Iterable[ItemMark], left: Iterable[tuple[str, str]]) -> str:
    """Return the page that tells at once how answers on the practice card did.

    Parameters
    ----------
    title : str
        The exercise's.
    marks : iterable of ItemMark
        Of what can be checked.
    left : iterable of (str, str)
        Title of what can't be, and why.
    """
    marks = list(marks)
    answered = [mark for mark in marks if mark.outcome is not Outcome.UNANSWERED]
    return _PRACTICE.render(
        title=title,
        score=sum(mark.score for mark in marks),
        points=sum(mark.points for mark in marks),
        boxes=[(mark, Markup(_box(mark, mark.feedback))) for mark in answered],
        unanswered=[mark.title for mark in marks if mark.outcome is Outcome.UNANSWERED],
        left=list(left),
    )


def summary_cell(
    exercise: Exercise, card: JobCard, marks: Iterable[ItemMark], notes: Iterable[str]
) -> NotebookNode:
    """Return the cell that stands on top of a marked notebook."""
    rows = [(mark.title, f"{mark.score:g} of {mark.points:g}", _became(mark)) for mark in marks]
    rows += [(asked.title, f"up to {asked.points:g}", _READ_BY_HAND) for asked in exercise.by_hand]
    page = _SUMMARY.render(title=exercise.title, card=card, rows=rows, notes=list(notes), colour=BLUE)
    return nbformat.v4.new_markdown_cell(page, id="warmside-summary")


def _became(mark: ItemMark) -> str:
    sign, colour = SIGNS[mark.outcome]
    text = mark.mistake or mark.outcome.value
    return Markup('<b aria-hidden="true" style="color:{}">{}</b> {}').format(colour, sign, text)


_READ_BY_HAND = "marked by your instructor, by hand: see under your answer"


def rubric_cell(asked: ByHand, job: Job) -> NotebookNode:
    """Return the cell that tells the formgrader's user what earns marks; feedback pages leave it out."""
    page = _RUBRIC.render(asked=asked, sentences=asked.rubric(job), colour=BLUE, ground=OURS_GROUND)
    cell = nbformat.v4.new_markdown_cell(page, id=f"rubric-{asked.name}"[:64])
    CellNoted(instructor_only=True).note(cell)
    return cell


def right_cell(asked: Asked | ByHand, job: Job, given: Given) -> NotebookNode:
    """Return the cell that says what is right, and the way to it on this card; for released pages alone."""
    if isinstance(asked, ByHand):
        page = _RIGHT.render(way=asked.rubric(job), colour=GOOD, ground=NOTE_GROUND)
    else:
        write = ways_of(job.exercise).get(asked.name)
        way = write(job, given) if write else ()
        page = _RIGHT.render(right=right_answer(asked, job), way=way, colour=GOOD, ground=NOTE_GROUND)
    return nbformat.v4.new_markdown_cell(page, id=f"right-{asked.name}"[:64])


def by_hand(score: float, points: float) -> NotebookNode:
    """Return the output that says what a person gave where a machine had marked."""
    told = f"Your instructor gave {score:g} of {points:g} marks here, by hand."
    return nbformat.v4.new_output(
        "display_data", {"text/html": said(told, *reversed(SIGNS[Outcome.BY_HAND])), "text/plain": told}
    )
