"""The course's page of what the model can and can't: ``python -m warmside.show.model_page``, or ``--check``.

Rules of the trade with what the plausible refrigerators make of them, published comparisons as pictures, and
of what kind the numbers are. The pictures are kept in the page, so that it can be read without running
anything.
"""

import base64
import re
import sys
from collections import Counter
from collections.abc import Mapping

import click
import nbformat
import numpy as np
from matplotlib.figure import Figure

from warmside import project
from warmside.colours import BLUE
from warmside.data import MARKS, PUBLISHED, load, names
from warmside.errors import InputError
from warmside.model.ensemble import MEMBERS, Cost
from warmside.model.sizes import SIZES
from warmside.model.trade_rules import RULES, VERDICTS, Judged, judged
from warmside.show.air_comparisons import AIR
from warmside.show.comparison import Comparison, axes_of, picture
from warmside.show.pictures import small_png, styled
from warmside.show.unit_comparisons import UNIT

COMPARISONS = (*AIR, *UNIT)
SAID = dict(zip(VERDICTS, ("comes out", "likely", "practice says so; the model can't tell"), strict=True))
"""What the page and the lessons say of a verdict."""

_INTRODUCTION = """# What the model can tell, and what it can't

The course's labs, keys and cases come from a model: equations for the cooling unit, the box and the air
behind it. It is there to teach. It shows which way things go, what belongs together, and about how much
a fault costs. **It is no measurement. No refrigerator was measured for it, and no refrigerator has been
held against it.** Its parts stand on published physics, but many of its numbers were set so that the
whole does what the trade expects. Where the trade's rules rest on practice alone, this page says
whether the model can back them up. Ask it for one enclosure against another; don't ask it for the last
degree. When it differs from what you measure, believe the thermometer.

This page is made by `python -m warmside.show.model_page`."""

_RULES = """## The trade's rules

Nobody knows all numbers of a real refrigerator. So {members} were drawn for each size, each as
plausible as the next, and each holds its rating when nothing is wrong: 90 °F on the plate of 6 cu ft,
110 °F on the others. Then one thing was made wrong in all of them. The table says **by how many °F the
hottest day that they still hold became cooler**: first the middle one of them, then in brackets from 10
to 90 %, so that one in ten lost less and one in ten more. Less than nothing means that they held more.

- **{0}:** nine in ten of each size agree that it costs.
- **{1}:** it costs more often than not in each size, and nine in ten of at least one size agree.
- **{2}:** they don't agree. That is no word against the rule, and no reason to break it.

{table}

How wrong each thing is made is invented: another amount would cost another number of degrees."""

_COMPARISONS = """## Published, and what the model makes of it

A picture each, with the source. **In view when fitting** says whether somebody looked at it while the
model's numbers or equations were chosen. Where that is so, being near proves nothing. Where it isn't,
it proves that this part is right, not that a refrigerator made of such parts is. What is from memory
wasn't looked up again."""

_NUMBERS = """## How many numbers are of which kind

All tables that the model and the course start from, {count} entries; each stands in `tables.ipynb` with
its source. A document stands behind {published} of them, no more. *Calibrated here* means set by us so
that the model comes out right; most of what is invented belongs to cases and exercises."""

_NUMBERS_ALT = "Bar chart of the tables' entries by kind: {}."

_CANT = """## What it can't tell

- **Whether it is like yours.** There is no measured refrigerator behind it. All costs above are what
  plausible numbers give, and all ranges of these were judged, not measured.
- **How the air mixes** behind the fins. Next to nothing is published about it. This decides most of
  what follows.
{rules}
- **Air that has turned.** In a strong wind on the outlet, or with a fan that blows down, air may come
  in above and go out below. The model refuses to answer there.
- **Rain, sun on the wall, scorched insulation, fumes, smells.** It knows nothing of them.
- **How fast a part wears**, and what a rule is for besides cooling. A rule may be there for safety."""

_WHY_NOT = {
    "baffle": "In the middle it helps; in more than one of ten it doesn't.",
    "depth_with_baffle": "In the model a baffle that stands close guides the air all the same, and a deeper "
    "space holds it back less.",
    "near_baffle": "In the model less air gets past the fins so; it knows no air that must reach their edge.",
    "far_baffle": "In the middle it costs a little; in more than one of ten nothing.",
}


def page(count: int = MEMBERS) -> nbformat.NotebookNode:
    """Return the page as a notebook of text with pictures; the costs are over so many refrigerators."""
    rules = judged(count)
    cells = [
        _cell("introduction", _INTRODUCTION),
        _cell("rules", _RULES.format(*SAID.values(), members=count, table=_table(rules))),
        _cell("comparisons", _COMPARISONS),
        *(_compared(each) for each in COMPARISONS),
        _numbers(),
        _cell("limits", _CANT.format(rules="\n".join(_untold(rules)))),
    ]
    notebook = nbformat.v4.new_notebook(
        cells=cells,
        metadata={"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}},
    )
    nbformat.validate(notebook)
    return notebook


def is_in_step(stored: nbformat.NotebookNode, made: nbformat.NotebookNode) -> bool:
    """Return whether two pages say the same, but for pictures' dots and last digits of decimal numbers."""
    both = [
        [(cell.id, cell.source, *cell.get("attachments", {})) for cell in one.cells] for one in (stored, made)
    ]
    texts, others = ("\n".join("\n".join(cell) for cell in cells) for cells in both)
    if _DECIMAL.split(texts) != _DECIMAL.split(others):
        return False
    pairs = zip(_DECIMAL.findall(texts), _DECIMAL.findall(others), strict=True)
    return all(abs(float(a) - float(b)) < 1.5 * 10.0 ** -len(b.partition(".")[2]) for a, b in pairs)


_DECIMAL = re.compile(r"-?\d+\.\d+")


def _cell(name: str, source: str, pictures: Mapping[str, Figure] | None = None) -> nbformat.NotebookNode:
    cell = nbformat.v4.new_markdown_cell(source, id=name)
    if pictures:
        cell["attachments"] = {
            file: {"image/png": base64.b64encode(small_png(figure)).decode()}
            for file, figure in pictures.items()
        }
    return cell


def _table(rules: Mapping[str, Judged]) -> str:
    rows = [["The trade's rule", "What is wrong", *SIZES, "The model"], ["---"] * (len(SIZES) + 3)]
    for name, (costs, verdict) in rules.items():
        each = [in_fahrenheit(costs[size]) if size in costs else "it is so there" for size in SIZES]
        rows.append([RULES[name].words, RULES[name].departure, *each, f"**{SAID[verdict]}**"])
    return "\n".join("| " + " | ".join(row) + " |" for row in rows)


def in_fahrenheit(cost: Cost) -> str:
    r"""Return a cost in °F as tables say it.

    Examples
    --------
    >>> in_fahrenheit(Cost(-0.01, 1.0, 2.0))
    '1.8\xa0[0.0\xa0to\xa03.6]'
    """
    low, median, high = (f"{round(1.8 * float(each), 1) + 0.0:.1f}" for each in cost)
    return f"{median} [{low} to {high}]".replace(" ", "\N{NO-BREAK SPACE}")


def _compared(comparison: Comparison) -> nbformat.NotebookNode:
    figure, found = picture(comparison)
    name = re.sub(r"[^a-z]+", "-", comparison.title.lower())
    in_view = "yes" if comparison.was_in_view else "no"
    source = (
        f"### {comparison.title}",
        f"![{comparison.alt}](attachment:{name}.png)",
        f"{found} {comparison.why}",
        f"*Source:* {comparison.source}. **In view when fitting: {in_view}.**",
    )
    return _cell(name, "\n\n".join(source), {f"{name}.png": figure})


def _numbers() -> nbformat.NotebookNode:
    counts = Counter(field.basis for name in names() for field in load(name).fields.values())
    bases = (PUBLISHED, *MARKS)
    with styled():
        figure = Figure(figsize=(8.0, 3.2), layout="constrained")
        axes = axes_of(figure, xlabel="Entries of the tables")
        bars = axes.barh(np.arange(len(bases)), [counts[basis] for basis in bases], color=BLUE)
        axes.bar_label(bars, padding=4)
        axes.set_yticks(np.arange(len(bases)), bases)
        axes.invert_yaxis()
        axes.grid(visible=False, axis="y")
        axes.margins(x=0.1)
    told = _NUMBERS_ALT.format(", ".join(f"{basis} {counts[basis]}" for basis in bases))
    text = _NUMBERS.format(count=counts.total(), published=counts[PUBLISHED])
    return _cell("numbers", f"{text}\n\n![{told}](attachment:numbers.png)", {"numbers.png": figure})


def _untold(rules: Mapping[str, Judged]) -> list[str]:
    lines = []
    for name, (_, verdict) in rules.items():
        if verdict == VERDICTS[-1]:
            rule = RULES[name]
            lines.append(f"- **{rule.words}** ({rule.departure}). {_WHY_NOT.get(name, '')}".rstrip())
    return lines


@click.command()
@click.option("--check", is_flag=True, help="Write nothing; end with status 1 if the page is out of step.")
def main(check: bool) -> None:
    """Write course/model.ipynb from the model, the tables and what is published."""
    try:
        path = project.root() / "course" / "model.ipynb"
        made = page()
        if not check:
            path.write_text(nbformat.writes(made) + "\n", encoding="utf-8")
        elif not path.exists() or not is_in_step(nbformat.read(path, as_version=4), made):
            command = "python -m warmside.show.model_page"
            click.echo(f"{path.name} is out of step with the model; run {command}.", err=True)
            sys.exit(1)
    except InputError as error:
        click.echo(error, err=True)
        sys.exit(2)
    click.echo(f"{path.name} is in step with the model.")


if __name__ == "__main__":
    main()
