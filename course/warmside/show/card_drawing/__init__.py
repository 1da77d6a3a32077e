"""The drawing of a job card: its situation, with the card's own texts where they belong.

Each exercise has a module here, called as it is. It says in words what is drawn (`SCENE`) and draws it
(`draw`), from the card alone: no key, nothing that the model solved.
"""

from warmside.errors import InputError
from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.card_drawing import (
    absorption_cycle,
    clearances,
    diagnosis,
    everyday_use,
    heat_sources_and_circuits,
    substance_temperature_test,
    venting,
)

DRAWINGS = {
    module.__name__.rpartition(".")[2]: module
    for module in (
        absorption_cycle,
        clearances,
        diagnosis,
        everyday_use,
        heat_sources_and_circuits,
        substance_temperature_test,
        venting,
    )
}


def card_drawing(card: JobCard) -> str:
    """Return the drawing of a card as SVG, 1000 wide; empty where there is none.

    There is none for an exercise without one, and for a card that lacks a line: one of another year.
    """
    if card.exercise not in DRAWINGS:
        return ""
    try:
        parts, height = DRAWINGS[card.exercise].draw(card)
    except InputError:
        return ""
    return svg.picture(parts, 1000, height, alt_text(card))


def alt_text(card: JobCard) -> str:
    """Say what is drawn, with the card's values."""
    lines = "; ".join(f"{entry.label}: {entry.text}" for entry in card.entries)
    return f"Drawing. {DRAWINGS[card.exercise].SCENE} It shows: {lines}."


def card_image(card: JobCard) -> str:
    """Return the drawing of a card as an HTML image; empty where there is none."""
    drawn = card_drawing(card)
    return svg.as_image(drawn, alt_text(card)) if drawn else ""
