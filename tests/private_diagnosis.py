"""What stands beside the items of the diagnosis, for tests: draws cases, solves them, writes their sheets."""

from helpers import part_of

from warmside.diagnosis.readings import READINGS, as_text, readable

case_drawing, case_file, case_proof, search, debrief, sheets = (
    part_of("diagnosis", part)
    for part in ("case_drawing", "case_file", "case_proof", "cheapest", "debrief", "sealed_sheet")
)
Kind, SealedAnswer, draw_case = case_drawing.Kind, case_drawing.SealedAnswer, case_drawing.draw_case
LEVELS, CaseFile, from_file_text = case_file.LEVELS, case_file.CaseFile, case_file.from_file_text
Solved, solved, needed = case_proof.Solved, case_proof.solved, case_proof.needed
EXACT, Sufficient, cheapest = search.EXACT, search.Sufficient, search.cheapest
sealed_sheet, write_case, debrief_of = sheets.sealed_sheet, sheets.write_case, debrief.debrief_of

USUAL = {
    "temperature": 300.0,
    "fraction": 0.5,
    "voltage": 118.0,
    "current": 2.5,
    "resistance": 44.0,
    "control_voltage": 12.6,
    "pressure_gauge": 2740.0,
    "angle": 0.0,
    "length": 0.0127,
}


def usual(name: str) -> str:
    """What a reading shows in a case of which nobody asks what is wrong."""
    reading = READINGS[name]
    return reading.choices[0] if reading.choices else as_text(name, USUAL.get(name, USUAL.get(reading.kind)))


def a_case(heat_source: str = "mains", *stop_signs: str) -> CaseFile:
    """A case with every reading that its heat source has."""
    values = tuple((name, usual(name)) for name in readable(heat_source))
    said = "It isn't cold <enough>."
    day = "95.0 °F", "a warm day in June"
    return CaseFile("ABCD-EFGH", 1, "8 cu ft", heat_source, *day, said, values, stop_signs=stop_signs)
