"""Making the simulated cases ready in a notebook, with a bar that shows how far it is."""

import html

from IPython.display import HTML, display

from warmside.diagnosis.storing import load_bank


def get_ready() -> None:
    """Load the simulated cases; make them first where they aren't there, and show how far it is."""
    place = display(HTML(_bar("Looking for the simulated cases", 0, 1)), display_id=True)

    def tell(words: str, done: int | None = None, of: int = 1) -> None:
        place.update(HTML(_bar(words, done, of)))

    bank = load_bank(progress=lambda done, of: tell("Simulating, once", done, of), notice=tell)
    tell(f"{len(bank):,} simulated refrigerators are ready", 1)


def _bar(words: str, done: int | None, of: int) -> str:
    """Return words and a bar; one that goes to and fro where nobody knows how far it is."""
    value = "" if done is None else f"value='{done}' max='{of}' "
    return (
        f"<p role='status' style='font-size:17px'>{html.escape(words)} "
        f"<progress {value}aria-label='{html.escape(words)}'></progress></p>"
    )
