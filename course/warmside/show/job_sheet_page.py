"""A job sheet as a page of its own, with two figures: the chances, and the readings beside good ones."""

import textwrap
from dataclasses import dataclass

from jinja2 import Environment, PackageLoader
from matplotlib.figure import Figure

from warmside.colours import BLUE, GREEN, RED
from warmside.diagnosis import job_sheet as sheets
from warmside.diagnosis import job_sheet_text
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.causes import SOMETHING_ELSE, Causes, chance
from warmside.diagnosis.job_sheet import JobSheet
from warmside.diagnosis.readings import READINGS
from warmside.diagnosis.readings_file import HONEST
from warmside.diagnosis.storing import usual_bank
from warmside.hazards import FIRST
from warmside.show.pictures import as_figure, styled
from warmside.units import from_si, show

_PAGES = Environment(
    loader=PackageLoader("warmside.show", "pages"), autoescape=True, trim_blocks=True, lstrip_blocks=True
)
_PAGES.filters["chance"] = chance
_PAGES.globals |= {
    "remark": job_sheet_text.remark,
    "tie_text": job_sheet_text.tie_text,
    "proof_text": job_sheet_text.proof_text,
    "what_to_do": job_sheet_text.what_to_do,
    "others": job_sheet_text.OTHERS,
    "something_else": SOMETHING_ELSE,
    "taken_away": job_sheet_text.TAKEN_AWAY,
    "put_right": job_sheet_text.PUT_RIGHT,
    "proofs": job_sheet_text.PROOFS,
    "for_licensed": job_sheet_text.FOR_LICENSED,
    "proofs_first": "Nothing, before all proofs below are in.",
    "honest": HONEST,
    "first": FIRST,
}


def job_sheet_page(sheet: JobSheet, bank: Bank | None = None) -> str:
    """Return the page as HTML that needs no other file; `bank` as in `job_sheet`."""
    page = _PAGES.get_template("job_sheet.html")
    if sheet.findings is None:
        return page.render(sheet=sheet, made_with=job_sheet_text.made_with())
    causes, strips = sheet.findings.causes, _strips(sheet, bank or usual_bank())
    shown = causes if causes and causes.suspects else None
    return page.render(
        sheet=sheet,
        ambient=show(from_si(sheet.readings.ambient, "temperature")),
        refrigerator=job_sheet_text.refrigerator(sheet.readings),
        burner=job_sheet_text.burner(sheet.job),
        ambient_si=show(from_si(sheet.readings.ambient, "temperature"), "SI"),
        unanswered=job_sheet_text.unanswered(sheet.job),
        chances=as_figure(chances_figure(shown), _chances_alt(shown)) if shown else "",
        strips=as_figure(_strips_figure(strips), _strips_alt(strips)) if strips else "",
        leave_to_others=job_sheet_text.leave_to_others(sheet),
        made_with=job_sheet_text.made_with(),
    )


def _bars(causes: Causes) -> list[tuple[str, float]]:
    """Return all that the chances are shared among, so that they add up."""
    named = [(one.title, one.probability) for one in causes.suspects]
    return [*named, ("All others in the catalog", causes.others), (SOMETHING_ELSE, causes.something_else)]


def chances_figure(causes: Causes) -> Figure:
    """Draw the chances of what a sheet names, as bars, the likeliest on top, and of all else."""
    bars = _bars(causes)
    with styled():
        figure = Figure(figsize=(10, 1.2 + 0.7 * len(bars)), layout="constrained")
        axes = figure.subplots()
        for place, (_, probability) in enumerate(bars):
            percent, is_first = 100.0 * probability, place == 0
            is_named = place < len(causes.suspects)
            colour = RED if is_first else BLUE if is_named else "0.75"
            axes.barh(-place, percent, color=colour, hatch="//" if is_first else "" if is_named else "..")
            axes.text(percent + 1.0, -place, chance(probability), va="center")
        titles = [_folded(title) for title, _ in bars]
        axes.set_yticks([-place for place in range(len(bars))], titles)
        axes.set(xlim=(0, 108), xticks=(0, 25, 50, 75, 100), xlabel="Chance in the model (%)")
        axes.grid(axis="y", visible=False)
    return figure


def _folded(title: str) -> str:
    return textwrap.fill(title, 36)


def _chances_alt(causes: Causes) -> str:
    said = "; ".join(f"{title} {chance(probability)}" for title, probability in _bars(causes))
    return f"Bars of the chances: {said}."


@dataclass(frozen=True)
class _Strip:
    """A temperature that was read, and between what good ones lie [K]."""

    title: str
    value: float
    lowest: float
    highest: float

    @property
    def said(self) -> str:
        if self.value > self.highest:
            return "warmer than good ones"
        return "colder than good ones" if self.value < self.lowest else "as in good ones"


def _strips(sheet: JobSheet, bank: Bank) -> list[_Strip]:
    """Temperatures that were read and that the bank knows good ones of."""
    strips = []
    for name, value in sheet.readings.values.items():
        ends = sheets.usual_ends(sheet.job, name, bank)
        if READINGS[name].kind == "temperature" and name != "boiler" and ends:
            strips.append(_Strip(READINGS[name].title, float(value), *ends))
    return strips


def _strips_figure(strips: list[_Strip]) -> Figure:
    with styled():
        figure = Figure(figsize=(10, 1.6 + 0.75 * len(strips)), layout="constrained")
        axes = figure.subplots()
        for place, strip in enumerate(strips):
            lowest, highest = _fahrenheit(strip.lowest), _fahrenheit(strip.highest)
            good = strip.said == "as in good ones"
            axes.barh(-place, highest - lowest, left=lowest, height=0.5, color=GREEN, alpha=0.35, hatch="..")
            axes.plot(
                _fahrenheit(strip.value),
                -place,
                "o" if good else "D",
                color=BLUE if good else RED,
                markersize=13,
            )
        titles = [_folded(f"{strip.title}: {strip.said}") for strip in strips]
        axes.set_yticks([-place for place in range(len(titles))], titles)
        axes.set(
            xlabel="Temperature (°F); dotted green: nine in ten good ones",
            ylim=(-len(strips) + 0.4, 0.6),
        )
        axes.use_sticky_edges = False  # else a band would touch the frame
        axes.margins(x=0.05)
        axes.grid(axis="y", visible=False)
    return figure


def _strips_alt(strips: list[_Strip]) -> str:
    said = "; ".join(
        f"{strip.title} {show(from_si(strip.value, 'temperature'))}, {strip.said}" for strip in strips
    )
    return f"Temperatures as they were read, beside those of installations in good order: {said}."


def _fahrenheit(kelvin: float) -> float:
    return kelvin * 1.8 - 459.67
