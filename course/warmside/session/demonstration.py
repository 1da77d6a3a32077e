"""The demonstration: a session with the invented class that ships with the project."""

import hashlib
from datetime import UTC, datetime
from pathlib import Path

from warmside import project
from warmside.session import folder as folders
from warmside.session.folder import Session
from warmside.session.hand_in import Received, Refused, take_in
from warmside.session.roster import read_roster

TITLE = "Alder Fen Training Yard (invented)"
EXERCISE = "substance_temperature_test"
SECRET = hashlib.sha256(b"known to everybody, for the invented class alone").digest()
DUE = datetime(2026, 3, 14, 17, 0, tzinfo=UTC)
ARRIVALS = {
    "early": datetime(2026, 3, 14, 9, 10, tzinfo=UTC),
    "on_time": datetime(2026, 3, 14, 15, 40, tzinfo=UTC),
    "late": datetime(2026, 3, 15, 8, 5, tzinfo=UTC),
}
"""Folders of hand-ins, and when those in them came."""


def start(folder: Path | None = None) -> Session:
    """Start the session in `folder`, or in a fresh folder of the home directory."""
    roster = read_roster(class_folder() / "roster.csv")
    return folders.start(
        folder or fresh_folder(), roster, [EXERCISE], title=TITLE, due=DUE, secret=SECRET, invented=True
    )


def hand_in(session: Session) -> tuple[list[Received], list[Refused]]:
    """Take the invented class's hand-ins in, each at its time."""
    received: list[Received] = []
    refused: list[Refused] = []
    for name, at in ARRIVALS.items():
        came, left = take_in(session, [class_folder() / "hand_ins" / name], at=at)
        received += came
        refused += left
    return received, refused


def class_folder() -> Path:
    """Return where the invented class lies."""
    return project.root() / "assets" / "demo_class"


def fresh_folder() -> Path:
    """Return a folder in the home directory that isn't there yet."""
    number = 1
    while (folder := Path.home() / f"warmside-demo-{number}").exists():
        number += 1
    return folder
