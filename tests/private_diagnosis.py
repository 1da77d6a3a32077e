"""What stands beside the items of the diagnosis, for tests: draws cases, solves them, writes their sheets."""

from helpers import part_of

case_drawing, case_file, case_proof, search, debrief, sheets = (
    part_of("diagnosis", part)
    for part in ("case_drawing", "case_file", "case_proof", "cheapest", "debrief", "sealed_sheet")
)
Kind, SealedAnswer, draw_case = case_drawing.Kind, case_drawing.SealedAnswer, case_drawing.draw_case
LEVELS, CaseFile, from_file_text = case_file.LEVELS, case_file.CaseFile, case_file.from_file_text
Solved, solved, needed = case_proof.Solved, case_proof.solved, case_proof.needed
EXACT, Sufficient, cheapest = search.EXACT, search.Sufficient, search.cheapest
sealed_sheet, write_case, debrief_of = sheets.sealed_sheet, sheets.write_case, debrief.debrief_of
