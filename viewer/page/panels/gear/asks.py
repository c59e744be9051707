"""What is asked and told about gear."""

from typing import Literal

from pydantic import Field

from viewer.page.wire import Ask, Mm, Row

Triple = tuple[float, float, float]
Text = Field(default="", max_length=80)


class TypeBox(Row):
    """One box of a type's body, from the middle of its foot."""

    size_mm: tuple[Mm, Mm, Mm]
    at_mm: tuple[Mm, Mm, Mm]


class TypeCard(Row):
    """A type of gear, to be drawn and chosen."""

    key: str
    label: str
    kind: str
    mass_kg: float
    size_mm: tuple[Mm, Mm, Mm]
    boxes: tuple[TypeBox, ...]
    terminals: tuple[str, ...]
    max_tilt_degrees: float
    source: str
    own: bool
    """True where the job tells it."""


class Catalogue(Row):
    """Every type that may be used."""

    types: tuple[TypeCard, ...]


class AddPiece(Ask):
    """A piece of a type, set down where a person lets go of it."""

    type: str = Field(max_length=60)
    space: str = Field(max_length=60)
    at_mm: tuple[float | None, float | None, float | None] = (None, None, None)
    """Where, in the hull frame; what is left out is the middle, and the floor."""
    label: str = Text
    seen: str = ""


class OwnType(Ask):
    """Three sizes and a mass are enough to start."""

    label: str = Field(min_length=1, max_length=80)
    kind: str = Field(default="other", max_length=40)
    length: str = Field(max_length=40)
    breadth: str = Field(max_length=40)
    height: str = Field(max_length=40)
    mass_kg: float = Field(ge=0, le=500)
    max_tilt_degrees: float = Field(default=180, ge=0, le=180)
    upright: bool = False
    volts: float | None = None
    source: str = Text
    seen: str = ""


class Move(Ask):
    """A piece or board moved straight, in the hull frame."""

    key: str = Field(max_length=60)
    by_mm: Triple
    seen: str = ""


class Turn(Ask):
    """A piece or board turned a quarter about an axis of the hull."""

    key: str = Field(max_length=60)
    about: Literal["x", "y", "z"] = "z"
    seen: str = ""


class Into(Ask):
    """A piece put into another space."""

    key: str = Field(max_length=60)
    space: str = Field(max_length=60)
    seen: str = ""


class NewBoard(Ask):
    """A plate to build a board on."""

    label: str = Field(min_length=1, max_length=80)
    space: str = Field(max_length=60)
    length: str = Field(max_length=40)
    height: str = Field(max_length=40)
    thickness: str = Field(default="12", max_length=40)
    face: Literal["top", "bottom", "port", "starboard", "forward", "aft"] = "forward"
    """The side of the space its back is on."""
    stand_off_mm: float = Field(default=20, ge=0, le=500)
    seen: str = ""


class PartAt(Ask):
    """A part of a board: put on, moved, turned."""

    board: str = Field(max_length=60)
    part: str = Text
    """Empty for a new one."""
    type: str = Field(default="", max_length=60)
    at_mm: tuple[float, float] | None = None
    turn: Literal[0, 90, 180, 270] | None = None
    label: str = Text
    seen: str = ""
