"""Okabe and Ito's colours, which colour-blind readers can tell apart; each has a second cue where used."""

BLUE, ORANGE, GREEN, RED = "#0072B2", "#E69F00", "#009E73", "#D55E00"
PURPLE = "#CC79A7"
DARK = "#444444"
