"""The course's page that lists every table: the values, their units, and where each comes from."""

import nbformat

from warmside.data import MARKS, PUBLISHED, Field, Table, load, names
from warmside.units import KINDS, Q_, describe, show, ureg

_INTRODUCTION = """# Where the numbers come from

Every number that the model and the course start from, with its unit and its source. **This is a teaching
model. It is calibrated to common-practice figures and not validated against measured refrigerators.**

What stands in the last column:

- a document: the number is published there;
- *common practice, no source*: the trade goes by it, and nobody has shown where it comes from;
- *calibrated here*: set by us so that the model comes out right; it proves nothing;
- *from memory*: not looked up. Some of these decide what is called right in exercises and checks: the
  sizes of fuses, 125 % of a load that stays on for hours (here 80 % of the fuse), the largest fuse for a
  wire, the 5 % that wires may take, and how far a sound element's ohms may be off. Hold them against the
  code where you work;
- *invented*: made up for cases and exercises, of a likely size; it says nothing of real refrigerators.

A number is given as its source has it, in brackets in the other units. This page is made from the files in
`warmside/data` by `python -m warmside.data`."""


def page() -> nbformat.NotebookNode:
    """Return the page as a notebook of text alone: an introduction, then a cell for each table."""
    tables = [load(name) for name in names()]
    cells = [("introduction", f"{_INTRODUCTION}\n\n{_counts(tables)}")]
    cells += [(table.name, _table(table)) for table in tables]
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_markdown_cell(source, id=identifier) for identifier, source in cells],
        metadata={"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}},
    )
    nbformat.validate(notebook)
    return notebook


def _counts(tables: list[Table]) -> str:
    fields = [field for table in tables for field in table.fields.values()]
    counts = [f"{mark}: {sum(field.basis == mark for field in fields)}" for mark in (PUBLISHED, *MARKS)]
    return f"Of the {len(fields)} entries: {'; '.join(counts)}."


def _table(table: Table) -> str:
    values = list(table.columns) or ["Value"]
    rows = [["Quantity", *values, "Source"], ["---"] * (len(values) + 2)]
    for field in table.fields.values():
        rows.append([f"{field.meaning} (`{field.name}`)", *_values(field), field.source])
    lines = ["| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |" for row in rows]
    return "\n".join([f"## {table.title}", "", " ".join(table.about.split()), "", *lines])


def _values(field: Field) -> list[str]:
    """Return what stands in a field's row: a text for each column, or one for the only value or the list."""
    if not field.unit:
        return ["<br>".join(_worded(name, texts) for name, texts in field.given.items())]
    if isinstance(field.given, dict):
        return [_number(number, field) for number in field.given.values()]
    if field.names:
        return ["<br>".join(_row(row, field) for row in zip(field.names, field.given, strict=True))]
    numbers = field.given if isinstance(field.given, list) else [field.given]
    return [", ".join(_number(number, field) for number in numbers)]


def _worded(name: str, texts: str | tuple[str, ...]) -> str:
    """Return texts as they stand in a row: a list is numbered, since its order counts."""
    listed = [texts] if isinstance(texts, str) else [f"{n}. {text}" for n, text in enumerate(texts, start=1)]
    return f"{name.replace('_', ' ')}: {' '.join(listed)}"


def _row(named: tuple[str, list[float]], field: Field) -> str:
    """Return a row of a square: what is true, then what is reported how often; noughts are left out."""
    name, numbers = named
    told = [
        f"{other} {_number(number, field)}"
        for other, number in zip(field.names, numbers, strict=True)
        if number
    ]
    return f"{name}: {', '.join(told)}"


def _number(number: float, field: Field) -> str:
    """Return a number as it is given, with the other system's units in brackets where they differ."""
    if not field.kind:
        return f"{number:g}" if field.unit == "1" else f"{number:g} {field.unit}"
    quantity = Q_(float(number), field.unit)
    written = describe(quantity, field.kind).rpartition(", ")[0]
    other = "SI" if quantity.units == ureg.Unit(KINDS[field.kind].us) else "US"
    converted = show(quantity, other, kind=field.kind)
    return written if _label(converted) == _label(written) else f"{written} ({converted})"


def _label(text: str) -> str:
    return text.partition(" ")[2]
