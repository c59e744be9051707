"""What may be said of a board: its plate, its parts, how it is arranged and fixed."""

from typing import Annotated, Literal

from pydantic import Field

from layout.job.fields import Direction, Label, Length, Name, Pair, Part, Point
from layout.job.place_models import PlaceModel


class BoardPart(Part):
    """A part on a board."""

    type: str
    """The type of gear it is."""
    at: Pair | None = None
    """The middle of its foot from the board's lower left corner, seen from the front; left out
    until the board is arranged.
    """
    pinned: bool = False
    """True where arranging leaves it where it is."""
    turn: Literal[0, 90, 180, 270] = 0
    """How far it is turned on the plate, degrees."""
    label: Label = ""
    """What people call it, where the type's own label does not do."""


class ArrangeModel(Part):
    """How a board is to be arranged."""

    most: Pair | None = None
    """The most its plate may measure: length and height."""
    aim: Literal["plate", "cable", "both"] = "both"
    """What is to be least: the plate, the links on a plate of the size given, or both weighed."""
    margin: Length = 15.0
    """Kept free along the plate's edges."""
    gap: Length = 5.0
    """Kept between two parts."""
    corner: Length = 32.0
    """Kept free at each corner for what the board is fixed by."""
    rows: list[Annotated[list[str], Field(min_length=2, max_length=20)]] = Field(
        default=[], max_length=10
    )
    """Parts whose feet are to lie on one line."""
    forbid: list[Annotated[list[Length], Field(min_length=4, max_length=4)]] = Field(
        default=[], max_length=20
    )
    """Places no part may stand: two corners, x y x y."""
    spare: list[Pair] = Field(default=[], max_length=10)
    """Places kept for what comes later: length and height of each."""


class HingeModel(Part):
    """How a board swings out, hung on one of its edges."""

    edge: Literal["left", "right", "upper", "lower"]
    """The edge it is hung on, seen from its front."""
    opens_degrees: Annotated[float, Field(gt=0, le=180, allow_inf_nan=False)] = 90.0
    """How far it swings out."""


class BoardModel(Part):
    """A backing plate with its parts, built on the bench and carried in whole."""

    label: Label = ""
    """What people call it."""
    plate: Point
    """Length, height, thickness of the plate."""
    space: str
    """The space it stands in."""
    at: Point | None = None
    """The middle of its back, from the space's corner; left out where `place` tells it."""
    place: PlaceModel | None = None
    """Where it is, told by what it is on, beside and level with."""
    front: Direction
    """Where its face looks."""
    along: Direction
    """Where its length runs, left to right as seen from the front."""
    leans_degrees: Annotated[float, Field(ge=-60, le=60, allow_inf_nan=False)] = 0.0
    """On a sloping face: how far its upper edge leans back; below nothing, how far forward."""
    panel: bool = False
    """True for a face that is there, like a dash: its parts are let into it, nothing else is
    carried in; `at` is then the middle of the face's back.
    """
    hinge: HingeModel | None = None
    """How it swings out, where it does: the room of its swing is then kept free."""
    way: list[str] | None = Field(default=None, max_length=10)
    """The openings it goes in by; left out, all ways are tried."""
    parts: dict[Name, BoardPart] = Field(default={}, max_length=60)
    """What is on it."""
    held_by: Label = ""
    """What holds it where its plate touches nothing: brackets, posts, a frame."""
    plate_kg: Annotated[float, Field(ge=0, le=200, allow_inf_nan=False)] | None = None
    """The plate's mass, kg; left out, that of marine ply."""
    material: Label = "marine ply"
    """What the plate is cut from."""
    arrange: ArrangeModel = ArrangeModel()
    """How it is to be arranged, where that is asked for."""
    grain: Literal["any", "along", "up"] = "any"
    """Where the grain of its sheet is to run: along its length, up its height, or as it comes."""
    stand_offs: list[Pair] | None = Field(default=None, max_length=40)
    """Where it is fixed, from its lower left corner; left out, at its corners and between."""
    stand_off_hole: Length = 6.5
    """The diameter to drill for each of those."""
