"""The course's colours; the style sheets say the same ones, by the same names.

Okabe and Ito's four are for lines, bars and grounds in pictures: colour-blind readers can tell them apart.
The others are for pages. Those that letters may have stand out from `PAPER` by 4.5 to 1 or more. None is
ever the only cue.
"""

BLUE, ORANGE, GREEN, RED = "#0072B2", "#E69F00", "#009E73", "#D55E00"
PURPLE = "#CC79A7"
DARK = "#444444"
PAPER, CARD, RULE = "#f7f5f0", "#fffefb", "#d5d2c8"
INK, SOFT, GRAB = "#1b2530", "#47535f", "#5a3e9e"
GOOD, UNSURE, BAD = "#00644a", "#7a5200", "#a63a00"
"""For letters and signs: right, in between, wrong."""
NOTE_GROUND, CAUTION_GROUND, OURS_GROUND = "#e8f1f7", "#fbeae1", "#fff4ce"
"""Of a note, a caution, and what only the instructor sees."""
