"""What may stand in a hull file and in a job file.

The hull frame is x forward, y to port, z up. Spaces are placed in it; everything inside a space is
measured from that space's own corner: the aft, starboard, bottom one. A length may be a text such
as `"430 mm ±2 tape"`, arithmetic on named sizes, or a bare number of mm.
"""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Name = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
Label = Annotated[str, StringConstraints(max_length=120)]
Note = Annotated[str, StringConstraints(max_length=2000)]
Length = (
    Annotated[str, StringConstraints(max_length=400)]
    | Annotated[float, Field(strict=True, allow_inf_nan=False)]
)
Point = Annotated[list[Length], Field(min_length=3, max_length=3)]
Pair = Annotated[list[Length], Field(min_length=2, max_length=2)]
Direction = Literal["forward", "aft", "port", "starboard", "up", "down"]
Face = Literal["top", "bottom", "port", "starboard", "forward", "aft"]
Amps = Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)]
Minutes = Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False)]


class Part(BaseModel):
    """Base of every table: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class HullHead(Part):
    """Which boat."""

    name: Label
    length: Length
    beam: Length
    note: Note = ""


class ClosedFace(Part):
    """A surface cables may not lie on, and why."""

    face: Face
    why: Literal["wet", "hot", "walked on", "buoyancy foam", "outside", "lining"]


class SpaceModel(Part):
    """A room of free air, a square box in the hull frame; `wall` is how thick its sides are.

    `clip` is how far a clipped cable stands off its surfaces.
    """

    label: Label = ""
    from_: Point = Field(alias="from")
    to: Point
    wall: Length = 10.0
    closed: list[ClosedFace] = Field(default=[], max_length=6)
    site: Literal["open", "locker", "lining", "bilge", "engine"] = "locker"
    petrol: bool = False
    clip: Length = 8.0


class OpeningModel(Part):
    """A hatch, door or port from the first space of `between` to the second (or to "outside").

    `centre` and `size` are in the plane of the face, in the order x, y, z with the face's own axis
    left out, measured from the first space's corner. `throat` is how deep the rim is.
    """

    label: Label = ""
    between: Annotated[list[str], Field(min_length=2, max_length=2)]
    face: Face
    centre: Pair
    size: Pair
    corner_radius: Length = 0.0
    throat: Length
    inner_size: Pair | None = None


class SolidModel(Part):
    """Something fixed: structure, tank, engine, lid, strut; in one space or outside.

    `tilt_about` and `tilt_degrees` turn it about its own middle.
    """

    label: Label = ""
    space: str
    from_: Point = Field(alias="from")
    to: Point
    tilt_about: Literal["x", "y", "z"] | None = None
    tilt_degrees: Annotated[float, Field(ge=-90, le=90, allow_inf_nan=False)] = 0.0
    kind: Literal[
        "structure", "hull side", "tank", "engine", "pipework", "lid", "strut", "furniture"
    ] = "structure"
    removable_minutes: Minutes | None = None


class HazardModel(Part):
    """Something cable and gear keep off. `keep_off` overrides the rule's own distance."""

    label: Label = ""
    kind: Literal[
        "hot",
        "moving",
        "sharp edge",
        "fuel",
        "petrol vent",
        "bilge water",
        "compass",
        "heading sensor",
        "radio aerial",
    ]
    space: str
    from_: Point = Field(alias="from")
    to: Point
    keep_off: Length | None = None


class HoleModel(Part):
    """A hole for cable between two spaces; `at` is on the first one's face."""

    label: Label = ""
    between: Annotated[list[str], Field(min_length=2, max_length=2)]
    at: Point
    bore: Length
    edge: Literal["bare", "edged", "gland"] = "bare"
    may_edge: bool = True
    holds: list[Length] = Field(default=[], max_length=60)


class PipeModel(Part):
    """A pipe for cable: from a point in one space, through `bends` right angles, to another.

    `holds` lists the outside diameters of the cables already in it.
    """

    label: Label = ""
    between: Annotated[list[str], Field(min_length=2, max_length=2)]
    at: Point
    to: Point
    bore: Length
    length: Length | None = None
    bends: Annotated[int, Field(ge=0, le=20)] = 0
    pull_string: bool = True
    holds: list[Length] = Field(default=[], max_length=60)


class TrayModel(Part):
    """A batten or tray that carries cable across a gap, from `at` in one space to `to` in another or the same."""

    label: Label = ""
    between: Annotated[list[str], Field(min_length=2, max_length=2)]
    at: Point
    to: Point


class HullFile(Part):
    """A whole hull file."""

    hull: HullHead
    plus_minus: dict[str, Length] = {}
    sizes: dict[Name, Length] = Field(default={}, max_length=500)
    spaces: dict[Name, SpaceModel] = Field(min_length=1, max_length=60)
    openings: dict[Name, OpeningModel] = Field(default={}, max_length=60)
    solids: dict[Name, SolidModel] = Field(default={}, max_length=200)
    hazards: dict[Name, HazardModel] = Field(default={}, max_length=100)
    holes: dict[Name, HoleModel] = Field(default={}, max_length=200)
    pipes: dict[Name, PipeModel] = Field(default={}, max_length=100)
    trays: dict[Name, TrayModel] = Field(default={}, max_length=100)


class BodyBox(Part):
    """A box of an item: `size` and the place of its base's middle, from the item's base middle."""

    size: Point
    at: Point = [0.0, 0.0, 0.0]
    what: Label = "body"


class RoomBox(Part):
    """Room an item needs once it stands: cable bend, fuse pull, cover lift, spanner swing, air."""

    why: Literal[
        "cable bend", "fuse pull", "cover lift", "spanner swing", "air", "lift out", "hand"
    ]
    size: Point
    at: Point


class TerminalModel(Part):
    """Where a cable leaves: place, the way it points, and what it ends on.

    left and right are along its length, down and up along its breadth, top away from its foot and
    back through its foot.
    """

    at: Point
    out: Literal["left", "right", "down", "up", "top", "back"]
    stud: Literal["M4", "M5", "M6", "M8", "M10", "M12"] | None = None
    blade: Literal["2.8", "4.8", "6.3", "9.5"] | None = None
    lead: Length | None = None


class ItemModel(Part):
    """A piece of gear. Its x is length, y breadth, z height from the face it stands or is screwed on."""

    label: Label
    kind: Literal[
        "battery",
        "charger",
        "converter",
        "isolator",
        "fuse panel",
        "bus bar",
        "shunt",
        "fuse",
        "instrument",
        "pump",
        "light",
        "motor",
        "radio",
        "socket",
        "sensor",
        "switch",
        "mains charger",
        "other",
    ] = "other"
    mass_kg: Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)]
    boxes: Annotated[list[BodyBox], Field(min_length=1, max_length=20)]
    rooms: list[RoomBox] = Field(default=[], max_length=20)
    terminals: dict[Name, TerminalModel] = Field(default={}, max_length=40)
    max_tilt_degrees: Annotated[float, Field(ge=0, le=180, allow_inf_nan=False)] = 180.0
    volts: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)] | None = None
    amp_hours: Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)] | None = None
    cranking_amps: Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)] | None = None
    milliohm: Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)] | None = None
    fault_amps: Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False)] | None = None
    interrupts_amps: Annotated[float, Field(gt=0, le=200_000, allow_inf_nan=False)] | None = None
    magnetic: bool = False
    lithium: bool = False
    ignition_protected: bool = False
    source: Label = ""


class BoardPart(Part):
    """An item on a board: the middle of its foot from the board's lower left corner, seen from the front."""

    item: str
    at: Pair
    turn: Literal[0, 90, 180, 270] = 0
    label: Label = ""


class BoardModel(Part):
    """A backing plate with its parts, built on the bench and carried in whole.

    `plate` is length, height, thickness. `front` is where its face looks, `along` where its length
    runs from left to right as seen from the front or its height for a board lying flat; `at` is the
    middle of its back from the corner of its space.
    """

    label: Label = ""
    plate: Point
    space: str
    at: Point
    front: Direction
    along: Direction
    way: list[str] | None = Field(default=None, max_length=10)
    parts: dict[Name, BoardPart] = Field(default={}, max_length=60)
    plate_kg: Annotated[float, Field(ge=0, le=200, allow_inf_nan=False)] | None = None


class GearModel(Part):
    """A single item in the boat: the middle of its foot from its space's corner, and how it is turned."""

    item: str
    label: Label = ""
    space: str
    at: Point
    along: Direction = "forward"
    top: Direction = "up"
    way: list[str] | None = Field(default=None, max_length=10)
    fixed_already: bool = False


class CircuitModel(Part):
    """One circuit: where it is fed, what it feeds, how much it draws.

    `watts` is for a load of steady power (a radio, a fridge); `amps` is then what the cable is sized
    for. `diversity` is the share of what a feeder feeds that is on at once, `duty`
    the share of a day a load is on. `fuse_at` is how far along
    the cable from its feed the fuse sits, `lead_lengths` the lengths a ready-made lead is sold in,
    `bypass` a circuit taken from the battery side of the isolator.
    """

    label: Label
    feed: str
    load: str
    amps: Amps
    watts: Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)] | None = None
    diversity: Annotated[float, Field(gt=0, le=1, allow_inf_nan=False)] = 1.0
    duty: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)] | None = None
    drop_percent: Annotated[float, Field(gt=0, le=20, allow_inf_nan=False)] = 10.0
    volts: Annotated[float, Field(gt=0, le=60, allow_inf_nan=False)] | None = None
    returns_to: str | None = None
    fuse_amp: Amps | None = None
    fuse_at: Length | None = None
    fuse_interrupts_amps: Annotated[float, Field(gt=0, le=200_000, allow_inf_nan=False)] | None = (
        None
    )
    cable: str | None = None
    sheathed: bool = False
    bypass: bool = False
    signal: bool = False
    starter: bool = False
    mains: bool = False
    via: list[str] = Field(default=[], max_length=20)
    avoid: list[str] = Field(default=[], max_length=20)
    head: Length | None = None
    bend_radius: Length | None = None
    lead_lengths: list[Length] = Field(default=[], max_length=20)
    outside_diameter: Length | None = None
    tail_feed: Length | None = None
    tail_load: Length | None = None


class RatesModel(Part):
    """What things cost, in the shop's currency; the usual values are from memory: put in your own."""

    hour: Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)] = 65.0
    clip: Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)] = 0.5
    clip_minutes: Annotated[float, Field(ge=0, le=120, allow_inf_nan=False)] = 2.0
    edging: Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)] = 4.0
    edging_minutes: Annotated[float, Field(ge=0, le=600, allow_inf_nan=False)] = 10.0
    hole_minutes: Annotated[float, Field(ge=0, le=600, allow_inf_nan=False)] = 6.0
    pipe_minutes: Annotated[float, Field(ge=0, le=600, allow_inf_nan=False)] = 20.0
    no_string_minutes: Annotated[float, Field(ge=0, le=600, allow_inf_nan=False)] = 20.0
    pull_minutes_per_metre: Annotated[float, Field(ge=0, le=120, allow_inf_nan=False)] = 1.5
    end_minutes: Annotated[float, Field(ge=0, le=120, allow_inf_nan=False)] = 6.0
    signal_per_metre: Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)] = 2.0


class StockModel(Part):
    """Cable that can be had: a drum to buy (any number) or a remnant on the shelf (so many)."""

    cable: str
    length: Length
    price: Annotated[float, Field(ge=0, le=100_000, allow_inf_nan=False)] = 0.0
    count: Annotated[int, Field(ge=1, le=1000)] | None = None
    label: Label = ""


class DeviceModel(Part):
    """An instrument on the backbone: the terminal its drop ends on and its load number (units of 50 mA)."""

    on: str
    loads: Annotated[int, Field(ge=0, le=200)] = 1


class TeeModel(Part):
    """A tee (or block of tees) on the backbone and what hangs on it."""

    label: Label = ""
    space: str
    at: Point
    devices: list[DeviceModel] = Field(default=[], max_length=20)


class BackboneModel(Part):
    """An instrument backbone: tees in order from end to end; `feed` is what its power tee is fed from."""

    label: Label = ""
    cable: Literal["light", "heavy"] = "light"
    feed: str
    feed_tee: Name
    volts: Annotated[float, Field(gt=0, le=60, allow_inf_nan=False)] = 12.0
    fuse_amp: Amps | None = None
    terminators: list[Name] = Field(default=[], max_length=10)
    tees: dict[Name, TeeModel] = Field(min_length=1, max_length=60)


class JobHead(Part):
    """Which job, on which hull; `clearance` is the room a hand-guided move should keep."""

    name: Label
    hull: str
    clearance: Length = 3.0
    catalogue: Literal["mm2", "AWG"] = "mm2"
    volts: Annotated[float, Field(gt=0, le=60, allow_inf_nan=False)] = 12.0
    looms: bool = True
    bundling: bool = False
    note: Note = ""


class JobFile(Part):
    """A whole job file."""

    job: JobHead
    plus_minus: dict[str, Length] = {}
    sizes: dict[Name, Length] = Field(default={}, max_length=500)
    items: dict[Name, ItemModel] = Field(default={}, max_length=200)
    boards: dict[Name, BoardModel] = Field(default={}, max_length=60)
    gear: dict[Name, GearModel] = Field(default={}, max_length=600)
    order: list[str] | None = Field(default=None, max_length=260)
    circuits: dict[
        Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_-]{1,12}$")], CircuitModel
    ] = Field(default={}, max_length=600)
    rates: RatesModel = RatesModel()
    stock: list[StockModel] = Field(default=[], max_length=200)
    backbones: dict[Name, BackboneModel] = Field(default={}, max_length=10)
