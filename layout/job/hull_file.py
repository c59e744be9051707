"""What may stand in a hull file.

The hull frame is x forward, y to port, z up. Spaces are placed in it; everything inside a space is
measured from that space's own corner: the aft, starboard, bottom one. A length may be a text such
as `"430 mm ±2 tape"`, arithmetic on named sizes, or a bare number of mm.
"""

from typing import Annotated, Literal

from pydantic import Field

from layout.job.fields import (
    Between,
    Direction,
    Face,
    Label,
    Length,
    Minutes,
    Name,
    Note,
    Pair,
    Part,
    Point,
    TakenModel,
)

__all__ = ["Direction", "HullFile"]


class HullHead(Part):
    """Which boat."""

    name: Label
    """The boat's name, as sheets show it."""
    length: Length
    """Length over all."""
    beam: Length
    """Greatest breadth."""
    note: Note = ""
    """Anything worth knowing about the boat or how it was measured."""
    copied_from: Label = ""
    """The boat its sizes were copied from: each counts as unverified until it is measured here."""


class ClosedFace(Part):
    """A surface cables may not lie on, and why."""

    face: Face
    """The side of the space."""
    why: Literal["wet", "hot", "walked on", "buoyancy foam", "outside", "lining"]
    """What keeps cable off it."""


class SpaceModel(Part):
    """A room of free air, a square box in the hull frame."""

    label: Label = ""
    """What people call it."""
    from_: Point = Field(alias="from")
    """Its aft, starboard, bottom corner in the hull frame."""
    to: Point
    """Its forward, port, top corner in the hull frame."""
    wall: Length = 10.0
    """How thick its sides are."""
    closed: list[ClosedFace] = Field(default=[], max_length=6)
    """Surfaces cables may not lie on."""
    site: Literal["open", "locker", "lining", "duct", "bilge", "engine"] = "locker"
    """What kind of place it is."""
    lay: Literal["square", "straight"] | None = None
    """How cable is laid in it; left out, straight behind linings, in ducts and bilges; else square.
    """
    petrol: bool = False
    """True where petrol or its vapour may be."""
    clip: Length = 8.0
    """How far a clipped cable stands off its surfaces."""


class OpeningModel(Part):
    """A hatch, door or port from the first space of `between` to the second, or to "outside".

    `centre` and `size` are in the plane of the face, in the order x, y, z with the face's own axis
    left out, measured from the first space's corner.
    """

    label: Label = ""
    """What people call it."""
    between: Between
    """The space it belongs to, and the space it leads to or "outside"."""
    face: Face
    """The side of the first space it is in."""
    centre: Pair
    """Its middle on that face."""
    size: Pair
    """Its clear size there: the least that counts, not the outside of a frame."""
    corner_radius: Length = 0.0
    """Radius of its corners."""
    throat: Length
    """How deep the rim is: deck, coaming and lip together."""
    inner_size: Pair | None = None
    """Its clear size at the far end of the throat, where it tapers."""


class SolidModel(Part):
    """Something fixed: structure, tank, engine, lid, strut; in one space or outside."""

    label: Label = ""
    """What people call it."""
    space: str
    """The space it stands in, or "outside"."""
    from_: Point = Field(alias="from")
    """Its aft, starboard, bottom corner from the space's corner."""
    to: Point
    """Its forward, port, top corner."""
    tilt_about: Literal["x", "y", "z"] | None = None
    """The axis it is turned about, through its own middle."""
    tilt_degrees: Annotated[float, Field(ge=-90, le=90, allow_inf_nan=False)] = 0.0
    """How far it is turned."""
    kind: Literal[
        "structure", "hull side", "tank", "engine", "pipework", "lid", "strut", "furniture"
    ] = "structure"
    """What it is."""
    removable_minutes: Minutes | None = None
    """How long it takes to take off; leave out what stays."""


class HazardModel(Part):
    """Something cable and gear keep off."""

    label: Label = ""
    """What people call it."""
    kind: Literal[
        "hot",
        "moving",
        "steering sweep",
        "hose",
        "limber",
        "sharp edge",
        "fuel",
        "petrol vent",
        "petrol tank",
        "petrol source",
        "bilge water",
        "compass",
        "heading sensor",
        "radio aerial",
    ]
    """What it is; each kind has its usual distance."""
    space: str
    """The space it is in, or "outside"."""
    from_: Point = Field(alias="from")
    """Its aft, starboard, bottom corner from the space's corner."""
    to: Point
    """Its forward, port, top corner."""
    keep_off: Length | None = None
    """The distance to keep, in place of its kind's usual one."""


class HoleModel(Part):
    """A hole for cable between two spaces."""

    label: Label = ""
    """What people call it."""
    between: Between
    """The two spaces, or a space and "outside"."""
    at: Point
    """Its middle on the first space's face, from that space's corner."""
    bore: Length
    """Its clear diameter."""
    edge: Literal["bare", "edged", "gland"] = "bare"
    """How its edge is made."""
    ways: Annotated[int, Field(ge=1, le=40)] | None = None
    """How many cables a gland seals."""
    may_edge: bool = True
    """False where a bare edge cannot be edged: no cable goes through then."""
    holds: list[Length] = Field(default=[], max_length=60)
    """Outside diameters of the cables in it already."""


class PipeModel(Part):
    """A pipe for cable: from a point in one space, through right angles, to another."""

    label: Label = ""
    """What people call it."""
    between: Between
    """The spaces its two ends are in."""
    at: Point
    """Its first end, from the first space's corner."""
    to: Point
    """Its other end, from the second space's corner."""
    bore: Length
    """Its clear diameter."""
    length: Length | None = None
    """Its length along the bends; left out, the straight distance."""
    bends: Annotated[int, Field(ge=0, le=20)] = 0
    """How many right angles it makes."""
    pull_string: bool = True
    """True when a string lies in it."""
    holds: list[Length] = Field(default=[], max_length=60)
    """Outside diameters of the cables in it already."""


class TrayModel(Part):
    """A batten or tray that carries cable across a gap."""

    label: Label = ""
    """What people call it."""
    between: Between
    """The spaces its two ends are in, or one space twice."""
    at: Point
    """Its first end, from the first space's corner."""
    to: Point
    """Its other end, from the second space's corner."""


class HullFile(Part):
    """A whole hull file: the boat as it was measured, shared by many jobs."""

    hull: HullHead
    """Which boat."""
    plus_minus: dict[str, Length] = Field(default={})
    """The usual plus or minus of each way of measuring, where it is not coaming's own."""
    sizes: dict[Name, Length] = Field(default={}, max_length=500)
    """Named sizes, measured or worked out from others."""
    measured: dict[str, TakenModel] = Field(default={}, max_length=2000)
    """Who took a size and when, by the size's name or its place such as `openings.hatch.throat`."""
    spaces: dict[Name, SpaceModel] = Field(min_length=1, max_length=60)
    """The boat's rooms of free air."""
    openings: dict[Name, OpeningModel] = Field(default={}, max_length=60)
    """Hatches, doors and ports."""
    solids: dict[Name, SolidModel] = Field(default={}, max_length=200)
    """What is fixed."""
    hazards: dict[Name, HazardModel] = Field(default={}, max_length=100)
    """What cable and gear keep off."""
    holes: dict[Name, HoleModel] = Field(default={}, max_length=200)
    """Holes for cable."""
    pipes: dict[Name, PipeModel] = Field(default={}, max_length=100)
    """Pipes for cable."""
    trays: dict[Name, TrayModel] = Field(default={}, max_length=100)
    """Battens and trays for cable."""
