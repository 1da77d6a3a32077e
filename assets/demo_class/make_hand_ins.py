"""Make the hand-ins of the invented class; with --check, tell whether they are in step.

Each is the released exercise with a trainee's answers typed in, run on a real kernel beside the trainee's job
card. Pictures are dropped from the outputs, and so is the button that writes a hand-in.
"""

import io
import json
import re
import shutil
import sys
import tempfile
import zipfile
from copy import deepcopy
from pathlib import Path

import nbformat
from jupyter_client.manager import AsyncKernelManager
from jupyter_client.utils import run_sync
from nbclient import NotebookClient
from nbformat import NotebookNode

from warmside import project
from warmside.marking.cells import ANSWER_SUFFIX, grade_id
from warmside.marking.exercise import Exercise, Item, Job, load_exercise
from warmside.marking.job_card import JobCard
from warmside.marking.kinds import Answer
from warmside.session.demonstration import EXERCISE, SECRET
from warmside.units import from_si

HAND_INS = Path(__file__).parent / "hand_ins"
US = {"temperature": "degF", "temperature_difference": "delta_degF", "energy": "Btu", "time": "hour"}
SI = {"temperature": "degC", "temperature_difference": "delta_degC", "energy": "kJ", "time": "minute"}
_PICTURE = re.compile(r"<img [^>]*data:image[^>]*>")
_DROPPED = re.compile(r"data:image|image/png|widget-view\+json")
SPELLED = {"degF": "°F", "delta_degF": "°F", "degC": "°C", "delta_degC": "°C", "hour": "h", "minute": "min"}


def typed(item: Item, value: Answer, units: dict[str, str] = US) -> str:
    """Return an answer as a trainee would type it."""
    if item.kind == "choice":
        return f'"{value}"'
    unit = units[item.kind]
    return f'"{from_si(value, item.kind, unit).magnitude:.4g} {SPELLED.get(unit, unit)}"'


def right(exercise: Exercise, card: JobCard, units: dict[str, str] = US) -> dict[str, str]:
    """Return all the right answers, typed."""
    job = Job(exercise, card)
    return {item.name: typed(item, item.key(job), units) for item in exercise.items}


def mistaken(exercise: Exercise, card: JobCard, wanted: dict[str, str]) -> dict[str, str]:
    """Return the answers that named mistakes lead to, typed: `wanted` maps items to names of mistakes."""
    job = Job(exercise, card)
    answers = {}
    for name, called in wanted.items():
        item = exercise.item(name)
        mistake = next(mistake for mistake in item.mistakes if mistake.name == called)
        answers[name] = typed(item, mistake.answer(job))
    return answers


NOTES = {
    "t01": "The cup of water was at {cup} after 24 hours, corrected for my thermometer. The limit is "
    "{limit}. The hottest hour was {hottest}, and the refrigerator is rated for {rated}. Both stand on the "
    "job sheet. Vents and level were not looked at in this test.",
    "t02": "Cup {cup}, limit {limit}, hottest hour {hottest}.",
    "t03": "Measured for 24 hours with a cup of water, the door shut: {cup}, corrected. Allowed: {limit}. It "
    "was {hottest} at most, which I hold against the {rated} it is rated for. Next I look at the remarks and "
    "at the air's way, and test again before anybody pays for a part.",
    "t04": "It is broken. Order a new cooling unit.",
    "t10": "The cup showed that the refrigerator is all right.",
}
"""What some wrote on the job sheet; the others wrote nothing."""


def note(exercise: Exercise, card: JobCard, trainee: str) -> str:
    """Return a trainee's note on the job sheet, with the card's numbers; empty where none was written."""
    job = Job(exercise, card)

    def said(kelvin: float, digits: int) -> str:
        return f"{from_si(kelvin, 'temperature', 'degF').magnitude:.{digits}f} °F"

    return NOTES.get(trainee, "").format(
        cup=said(job.value("cup_at_24_hours"), 1),
        limit=said(job["food_limit"], 0),
        hottest=said(job.value("highest_ambient"), 1),
        rated=said(job["rated_ambient"], 0),
    )


def answered(release: NotebookNode, answers: dict[str, str], words: str = "") -> NotebookNode:
    """Return the released notebook with answers typed in, as Python expressions, and the words of a note."""
    notebook = deepcopy(release)
    if words:
        notebook.cells[cell_of(notebook, "job_note")].source = words
    for cell in notebook.cells:
        name = (grade_id(cell) or "").removesuffix(ANSWER_SUFFIX)
        if cell.cell_type == "code" and name in answers and grade_id(cell) != name:
            cell.source = f"{name} = {answers[name]}"
    return notebook


def without_picture(output: NotebookNode) -> NotebookNode | None:
    """Return an output without the picture in it; None where that, or a button, was all there is."""
    html = output.get("data", {}).get("text/html", "")
    if _PICTURE.search(html):
        output.data["text/html"] = html = _PICTURE.sub("", html)
        if not html:
            return None
    return None if _DROPPED.search(json.dumps(output)) else output


def run(notebook: NotebookNode, card: JobCard, kernel: AsyncKernelManager) -> NotebookNode:
    """Run a notebook beside a job card, as the trainee did; drop pictures and buttons."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in card.as_files().items():
            Path(folder, name).write_text(text, encoding="utf-8")
        nbformat.write(notebook, Path(folder, f"{EXERCISE}.ipynb"))
        client = NotebookClient(notebook, kernel, allow_errors=True, record_timing=False)
        with client.setup_kernel():
            client.kc.execute(f"import os; os.chdir({folder!r}); get_ipython().reset()", silent=True)
            for index, cell in enumerate(notebook.cells):
                client.execute_cell(cell, index)
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs = [output for output in map(without_picture, cell.outputs) if output is not None]
    notebook.metadata.language_info = {"name": "python"}
    return notebook


def cell_of(notebook: NotebookNode, name: str) -> int:
    """Return the index of the cell with an nbgrader id."""
    return next(index for index, cell in enumerate(notebook.cells) if grade_id(cell) == name)


def make() -> dict[str, bytes]:
    """Return all hand-ins by path below the folder hand_ins; one kernel runs them, afresh for each."""
    kernel = AsyncKernelManager(transport_encryption="auto")
    try:
        return made(kernel)
    finally:
        run_sync(kernel.shutdown_kernel)(now=True)


def made(kernel: AsyncKernelManager) -> dict[str, bytes]:
    exercise = load_exercise(EXERCISE)
    source = project.root() / "exercises" / EXERCISE / f"{EXERCISE}.ipynb"
    release = nbformat.read(source, as_version=4)
    worked = nbformat.read(project.root() / "solutions_private" / EXERCISE / source.name, as_version=4)
    cards = {f"t{n:02d}": exercise.job_card(SECRET, f"t{n:02d}") for n in range(1, 13)}
    all_right = {trainee: right(exercise, card) for trainee, card in cards.items()}
    notes = {trainee: note(exercise, card, trainee) for trainee, card in cards.items()}

    def plain(trainee: str, answers: dict[str, str]) -> NotebookNode:
        return run(answered(release, answers, notes[trainee]), cards[trainee], kernel)

    calculated = answered(release, {}, notes["t03"])
    for cell in calculated.cells:
        if (grade_id(cell) or "").endswith(ANSWER_SUFFIX):
            lines = worked.cells[cell_of(worked, grade_id(cell))].source.splitlines()
            cell.source = "\n".join(line for line in lines[1:] if "SOLUTION" not in line)

    broken = answered(release, all_right["t08"])
    broken.cells[cell_of(broken, "heat_from_water_answer")].source = "heat_from_water = weight * drop"

    copied = answered(release, all_right["t09"])
    at = cell_of(copied, "hours_to_settle_answer")
    copied.cells.insert(at + 1, deepcopy(copied.cells[at]))
    copied.cells[at + 1]["id"] = "pasted-below"

    signs = all_right["t12"] | mistaken(
        exercise, cards["t12"], {"thermometer_error": "sign of the error turned round"}
    )
    own = {"thermometer_error": -exercise.item("thermometer_error").key(Job(exercise, cards["t12"]))}
    for name in ("cup_at_24_hours", "margin_below_limit"):
        signs[name] = typed(exercise.item(name), exercise.item(name).key(Job(exercise, cards["t12"], own)))
    carried = answered(release, signs)
    del carried.cells[cell_of(carried, "highest_ambient")]

    first_half = list(all_right["t06"])[:5]
    late = all_right["t10"] | mistaken(
        exercise, cards["t10"], {"cup_at_24_hours": "thermometer's error not taken off"}
    )
    named = mistaken(
        exercise,
        cards["t04"],
        {
            "thermometer_error": "the reading itself given as the error",
            "heat_from_water": "ounces taken as pounds",
            "cup_time_constant": "hours written as minutes",
            "cup_at_early_reading": "the excess given as the temperature",
            "hours_to_settle": "logarithm to the base ten",
            "cup_at_24_hours": "°F taken as °C",
            "mean_air_last_6_hours": "the last reading alone",
            "highest_ambient": "mean ambient",
            "which_limit": "appliance rating taken for a food rule",
        },
    )
    wrong_kinds = all_right["t05"] | {
        "heat_from_water": '"12 W"',
        "cup_time_constant": "2.1",
        "cup_at_early_reading": 'Q_(12.5, "delta_degF")',
        "hours_to_settle": '"5,5 h"',
        "cup_at_24_hours": '"39"',
        "mean_air_last_6_hours": '"thirty-nine degF"',
        "verdict": '"venting"',
    }
    notebooks = {
        "t01": plain("t01", all_right["t01"]),
        "t02": plain("t02", right(exercise, cards["t02"], SI)),
        "t03": run(calculated, cards["t03"], kernel),
        "t04": plain("t04", all_right["t04"] | named),
        "t05": plain("t05", wrong_kinds),
        "t06": plain("t06", {name: all_right["t06"][name] for name in first_half}),
        "t07": plain("t07", {}),
        "t08": run(broken, cards["t08"], kernel),
        "t09": run(copied, cards["t09"], kernel),
        "t10": plain("t10", late),
        "t11": plain("t01", all_right["t01"]),
        "t12": run(carried, cards["t12"], kernel),
    }
    as_bytes = {trainee: (nbformat.writes(book) + "\n").encode() for trainee, book in notebooks.items()}
    name = f"{EXERCISE}.ipynb"
    files = {
        f"on_time/{t}_{name}": as_bytes[t] for t in ("t01", "t02", "t03", "t04", "t05", "t06", "t07", "t09")
    }
    files[f"on_time/t08_{EXERCISE}.zip"] = pack(f"t08_{EXERCISE}", as_bytes["t08"], cards["t08"])
    files[f"on_time/t11_{EXERCISE}.zip"] = pack(f"t11_{EXERCISE}", as_bytes["t11"], cards["t01"])
    files[f"on_time/t12_{EXERCISE}/{name}"] = as_bytes["t12"]
    files[f"early/t12_{name}"] = as_bytes["t07"]
    files[f"late/t10_{name}"] = as_bytes["t10"]
    return files


def pack(folder: str, notebook: bytes, card: JobCard) -> bytes:
    """Return a zip as a trainee would make it, the same bytes each time."""
    files = {f"{EXERCISE}.ipynb": notebook} | {name: text.encode() for name, text in card.as_files().items()}
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, content in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(f"{folder}/{name}", (2026, 3, 14, 12, 0, 0)), content)
    return buffer.getvalue()


def main() -> int:
    """Write the hand-ins, or compare them."""
    files = make()
    present = {str(p.relative_to(HAND_INS)): p.read_bytes() for p in HAND_INS.rglob("*") if p.is_file()}
    differing = sorted(n for n in files.keys() | present.keys() if files.get(n) != present.get(n))
    if "--check" in sys.argv:
        print(f"out of step: {', '.join(differing)}" if differing else f"{len(files)} hand-ins in step")
        return 1 if differing else 0
    shutil.rmtree(HAND_INS, ignore_errors=True)
    for name, content in files.items():
        (HAND_INS / name).parent.mkdir(parents=True, exist_ok=True)
        (HAND_INS / name).write_bytes(content)
    print(f"{len(files)} hand-ins written")
    return 0


if __name__ == "__main__":
    sys.exit(main())
