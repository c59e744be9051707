"""What may be said of a type of gear: its boxes, the rooms it needs, its terminals."""

from typing import Annotated, Literal

from pydantic import Field

from layout.job.fields import Amps, Label, Length, Money, Name, Pair, Part, Point, Volts

Kind = Literal[
    "battery",
    "charger",
    "alternator",
    "converter",
    "isolator",
    "fuse panel",
    "bus bar",
    "shunt",
    "fuse",
    "instrument",
    "pump",
    "light",
    "navigation light",
    "motor",
    "blower",
    "starter",
    "radio",
    "socket",
    "sensor",
    "switch",
    "mains charger",
    "shore inlet",
    "solar panel",
    "other",
]
RoomKind = Literal[
    "cable bend",
    "fuse pull",
    "cover lift",
    "spanner swing",
    "air",
    "lift out",
    "hand",
]


class BodyBox(Part):
    """A box of a type's body."""

    size: Point
    """Length, breadth, height."""
    at: Point = Field(default=[0.0, 0.0, 0.0])
    """The middle of its foot, from the middle of the type's foot."""
    what: Label = "body"
    """What part of the body it is."""


class RoomBox(Part):
    """Room a piece of this type needs once it stands."""

    why: RoomKind
    """What the room is for."""
    size: Point
    """Length, breadth, height."""
    at: Point
    """The middle of its foot, from the middle of the type's foot."""


class TerminalModel(Part):
    """Where a cable leaves.

    left and right are along its length, down and up along its breadth, top away from its foot and
    back through its foot.
    """

    at: Point
    """Its place, from the middle of the type's foot."""
    out: Literal["left", "right", "down", "up", "top", "back"]
    """The way the cable leaves."""
    stud: Literal["M4", "M5", "M6", "M8", "M10", "M12", "taper post"] | None = None
    """The stud a lug goes on, or the taper post of a battery."""
    blade: Literal["2.8", "4.8", "6.3", "9.5"] | None = None
    """The blade a push-on end goes on, mm."""
    largest_cable: Annotated[float, Field(gt=0, le=300, allow_inf_nan=False)] | None = None
    """The largest cable that goes on it by its maker, mm²; else by its stud or blade."""
    pole: Literal["plus", "minus", "pair", "signal", "mains"] | None = None
    """What it carries; left out, it follows from its name and the kind of gear."""
    lead: Length | None = None
    """The length of a lead of its own that it comes with: so much less tail is cut."""
    studs: Annotated[int, Field(ge=1, le=60)] = 1
    """How many like studs stand in a row here; `at` is the middle of the row."""
    stud_step: Pair | None = None
    """From one stud of the row to the next, along the foot's length and breadth."""


class FixingModel(Part):
    """One hole a type is fixed by, in what it stands on."""

    at: Pair
    """Its place, from the middle of the type's foot."""
    hole: Length
    """The diameter to drill."""
    screw: Label = ""
    """The screw or bolt that goes in, like M5 or 4.8."""
    reach: Length | None = None
    """How far that screw reaches beyond the foot, where it is told: into a plate and out behind."""


class CutOutModel(Part):
    """The hole a type that is let into a face needs."""

    size: Pair
    """Length and breadth of the hole; a round one has its diameter twice."""
    at: Pair = Field(default=[0.0, 0.0])
    """Its middle, from the middle of the type's foot."""
    corner_radius: Length = 0.0
    """The radius of its corners: half the size where it is round."""


class TypeModel(Part):
    """A type of gear. x is its length, y breadth, z height from the face it is screwed on."""

    label: Label
    """What people call it."""
    kind: Kind = "other"
    """What it does; rules go by it."""
    mass_kg: Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)]
    """Its mass, kg."""
    price: Money | None = None
    """What one costs, where the shop's file does not tell."""
    boxes: Annotated[list[BodyBox], Field(min_length=1, max_length=20)]
    """The boxes its body is made of."""
    rooms: list[RoomBox] = Field(default=[], max_length=20)
    """The rooms it needs once it stands."""
    terminals: dict[Name, TerminalModel] = Field(default={}, max_length=40)
    """Where cables leave it."""
    fixings: list[FixingModel] = Field(default=[], max_length=24)
    """The holes it is fixed by."""
    cut_out: CutOutModel | None = None
    """The hole it needs where it is let into a face; what lies behind are boxes below its foot."""
    stands: Literal["any way", "upright", "on end"] = "any way"
    """How it may be turned on a wall: any way; upright as its maker says; upright or on its head,
    as what has fins that must stand."""
    fits_on: list[Literal["floor", "wall", "overhead"]] = Field(default=[], max_length=3)
    """What it may be put on; left out, all of them, and the floor alone for batteries."""
    heat_watts: Annotated[float, Field(ge=0, le=5000, allow_inf_nan=False)] = 0.0
    """The heat it gives off at work, W: nothing that minds heat is put right above it."""
    splash_proof: bool = False
    """True where its maker says that it stands splash or spray."""
    max_tilt_degrees: Annotated[float, Field(ge=0, le=180, allow_inf_nan=False)] = 180.0
    """How far it may be tilted on the way in."""
    ways: Annotated[int, Field(ge=1, le=100)] | None = None
    """How many circuits a fuse panel can feed."""
    carries_amps: Amps | None = None
    """The most current an isolator, switch or shunt carries for long, A."""
    volts: Volts | None = None
    """Nominal voltage; of a charger or converter that of its output."""
    volts_in: Volts | None = None
    """Nominal voltage a converter is fed with."""
    amp_hours: Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)] | None = None
    """A battery's capacity, Ah."""
    cranking_amps: Amps | None = None
    """A battery's cold cranking current, A."""
    milliohm: Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)] | None = None
    """A battery's internal resistance, mΩ: its fault current follows where no figure is given."""
    fault_amps: Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False)] | None = None
    """A battery's fault current by its maker, A."""
    interrupts_amps: Annotated[float, Field(gt=0, le=200_000, allow_inf_nan=False)] | None = None
    """The current a fuse or breaker can stop, A."""
    breakers: bool = False
    """True for a panel or a main whose ways are circuit breakers: they are bought with it."""
    magnetic: bool = False
    """True for what turns a compass."""
    lithium: bool = False
    """True for a lithium battery."""
    management: bool = False
    """True for a lithium battery that has a management system of its own, or is sold with one."""
    self_limiting: bool = False
    """True where an alternator's maker says that it limits its own current."""
    suits_lithium: bool | None = None
    """Whether a charger has a setting for lithium; left out, its maker's word is not known."""
    watts: Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)] | None = None
    """What a load draws by its maker, W: a circuit that feeds it is to allow for that."""
    charge_amps: Amps | None = None
    """The most a charger or converter gives; of a battery, the most it takes, A."""
    ignition_protected: bool = False
    """True where its maker says it is ignition-protected."""
    source: Label = ""
    """Where its sizes come from."""
