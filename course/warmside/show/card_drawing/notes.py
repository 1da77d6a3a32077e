"""A card's lines written beside a drawing, each with a line to the place it belongs to."""

from collections.abc import Iterable, Mapping

from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.svg import Point

_VALUE = 20  # px; letters of values
_LABEL_LINE, _VALUE_LINE, _GAP = 22.0, 25.0, 12.0  # px


class Notes:
    """Lines of a job card one below the other, the value in bold below its label.

    Parameters
    ----------
    card : JobCard
        The card.
    names : iterable of str
        Which of its lines.
    width : float
        How wide they may become [px]; longer texts are broken.
    """

    def __init__(self, card: JobCard, names: Iterable[str], width: float) -> None:
        self._lines = {name: _broken(card, name, width) for name in names}

    @property
    def height(self) -> float:
        """How much room they take at least [px]."""
        return sum(map(_height, self._lines.values())) + _GAP * (len(self._lines) - 1)

    def parts(self, x: float, top: float, bottom: float = 0.0, **places: Point) -> list[str]:
        """Return them drawn between `top` and `bottom` [px], each as near as may be to its place.

        Parameters
        ----------
        x, top, bottom : float
            Where.
        **places : tuple of float
            Where in the drawing each belongs; to those that have none no line is drawn.
        """
        tops = self._tops(top, max(bottom, top + self.height), places)
        drawn = []
        for name, place in places.items():
            way = [place, (x - 8.0, tops[name] + _LABEL_LINE / 2)]
            drawn += [svg.line(way, stroke="#777777", stroke_width=2), svg.dot(*place, 5, fill="#444444")]
        for name, lines in self._lines.items():
            drawn += _written(lines, x, tops[name])
        return drawn

    def _tops(self, top: float, bottom: float, places: Mapping[str, Point]) -> dict[str, float]:
        """Return where each begins: pushed down by those above it, then up by those below it."""
        tops = {}
        for name, lines in self._lines.items():
            tops[name] = max(top, places[name][1] - _LABEL_LINE / 2) if name in places else top
            top = tops[name] + _height(lines) + _GAP
        for name, lines in reversed(self._lines.items()):
            tops[name] = min(tops[name], bottom - _height(lines))
            bottom = tops[name] - _GAP
        return tops


def _broken(card: JobCard, name: str, width: float) -> tuple[list[str], list[str]]:
    """Return label and value in lines; what stands before a label's colon is a heading of the drawing."""
    entry = card.entry(name)
    label = entry.label.partition(": ")[2] or entry.label
    return svg.broken(label, width), svg.broken(entry.text, width, _VALUE, bold=True)


def _height(lines: tuple[list[str], list[str]]) -> float:
    label, value = lines
    return _LABEL_LINE * len(label) + _VALUE_LINE * len(value)


def _written(lines: tuple[list[str], list[str]], x: float, top: float) -> list[str]:
    label, value = lines
    below = top + _LABEL_LINE * len(label) - 5.0
    return [
        *(svg.words(text, x, top + _LABEL_LINE * (at + 1) - 5.0) for at, text in enumerate(label)),
        *(
            svg.words(text, x, below + _VALUE_LINE * (at + 1), font_size=_VALUE, font_weight="bold")
            for at, text in enumerate(value)
        ),
    ]
