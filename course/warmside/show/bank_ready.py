"""Making the simulated cases ready in a notebook, with a bar that shows how far it is."""

import html

from IPython.display import HTML, display

from warmside.diagnosis.storing import load_bank


def get_ready() -> None:
    """Load the simulated cases; make them first where they aren't there, and show how far it is."""
    place = display(HTML(_bar("Looking for the simulated cases", 0, 1)), display_id=True)
    bank = load_bank(progress=lambda done, of: place.update(HTML(_bar("Simulating, once", done, of))))
    place.update(HTML(_bar(f"{len(bank):,} simulated refrigerators are ready", 1, 1)))


def _bar(words: str, done: int, of: int) -> str:
    return (
        f"<p role='status' style='font-size:17px'>{html.escape(words)} "
        f"<progress value='{done}' max='{of}' aria-label='{html.escape(words)}'></progress></p>"
    )
