"""One colour, one meaning; each is also told apart by its grey."""

EDGE = "#22262b"  # outlines
SPACE = "#7d8790"  # the sides of a space
SOLID = "#b9b4a6"  # the boat's own parts
FITTED = "#9fb0a6"  # gear fitted before
MOVING = "#5b6f86"  # where the move began
BODY = "#d9a441"  # the gear in question
PLATE = "#8c5a2b"  # a board's plate
CABLES = (  # none that a fitter would read as a pole or as bonding: no red, black, yellow or green
    "#1f4e79",
    "#a03b76",
    "#5a3d7a",
    "#a4550f",
    "#3f7fa6",
    "#7a5c4a",
    "#8a7bb0",
    "#c58a5a",
    "#35608c",
    "#b06f96",
)
HAZARD = "#a03025"
CLIP = "#111418"  # where a support is fixed
SHARED = "#3a3f44"  # a run several cables lie in
BOARD = "#c8c3b6"  # parts on a board, in the whole boat
FLOOR = "#e9e6de"
RING = "#a03025"  # where a move comes nearest
