"""One colour, one meaning; each is also told apart by its grey."""

EDGE = "#22262b"  # outlines
SPACE = "#7d8790"  # the sides of a space
SOLID = "#b9b4a6"  # the boat's own parts
FITTED = "#9fb0a6"  # gear fitted before
MOVING = "#5b6f86"  # where the move began
BODY = "#d9a441"  # the gear in question
PLATE = "#8c5a2b"  # a board's plate
CABLES = (
    "#1f4e79",
    "#8b1e3f",
    "#2e6b3a",
    "#5a3d7a",
    "#a4550f",
    "#14696b",
    "#6d6200",
    "#433e3f",
    "#a03b76",
    "#35608c",
)
HAZARD = "#a03025"
SHARED = "#3a3f44"  # a run several cables lie in
BOARD = "#c8c3b6"  # parts on a board, in the whole boat
FLOOR = "#e9e6de"
RING = "#a03025"  # where a move comes nearest
