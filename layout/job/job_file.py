"""What may stand in a job file: types of gear, boards, pieces, circuits, stock and rates."""

from typing import Annotated, Literal

from pydantic import Field

from layout.job.board_models import BoardModel
from layout.job.fields import (
    Amps,
    Direction,
    Label,
    Length,
    LowVolts,
    Minutes,
    Money,
    Name,
    Note,
    Number,
    Pair,
    Part,
    Point,
    Share,
    TakenModel,
)
from layout.job.place_models import PlaceModel
from layout.job.shop_models import EstimateModel
from layout.job.type_models import TypeModel


class SwingModel(Part):
    """How a piece moves once it is fitted: an outboard tilts and turns, and its leads follow."""

    pivot: Point
    """The point it tilts and turns about, from the space's corner."""
    tilt_degrees: Annotated[float, Field(ge=0, le=120, allow_inf_nan=False)] = 0.0
    """How far its top tilts forward."""
    turn_degrees: Annotated[float, Field(ge=0, le=90, allow_inf_nan=False)] = 0.0
    """How far it turns to each side."""


class PieceModel(Part):
    """A single piece in the boat."""

    type: str
    """The type of gear it is."""
    label: Label = ""
    """What people call it, where the type's own label does not do."""
    space: str
    """The space it stands in, or "outside"."""
    at: Point | None = None
    """The middle of its foot, from the space's corner; left out where `place` tells it."""
    place: PlaceModel | None = None
    """Where it is, told by what it is on, beside and level with; it then also turns to stand on a
    side, where `along` and `top` tell nothing else.
    """
    along: Direction = "forward"
    """Where its length runs."""
    top: Direction = "up"
    """Where its height points."""
    way: list[str] | None = Field(default=None, max_length=10)
    """The openings it goes in by; left out, all ways are tried."""
    held_by: Label = ""
    """What holds it where its foot touches nothing: brackets, straps, a cut-out."""
    fixed_already: bool = False
    """True for what is in the boat and stays."""
    section: Label = ""
    """The section of the quote it belongs to; left out, by its kind."""
    swing: SwingModel | None = None
    """How it tilts and turns, where its leads have to follow."""


class CircuitModel(Part):
    """One circuit: where it is fed, what it feeds, how much it draws."""

    label: Label
    """What people call it."""
    feed: str
    """The terminal it is fed from, like battery.plus or helm_board.fuses.out."""
    load: str
    """The terminal it feeds."""
    amps: Amps
    """The current its cable is sized for."""
    watts: Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)] | None = None
    """For a load of steady power: its watts; `amps` is then what the cable is sized for."""
    diversity: Share = 1.0
    """The share of what a feeder feeds that is on at once."""
    inrush_amps: Amps | None = None
    """What a load draws in its first moment, A: its fuse is to let that by."""
    duty: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)] | None = None
    """The share of a day a load is on."""
    drop_percent: Annotated[float, Field(gt=0, le=20, allow_inf_nan=False)] | None = None
    """The most volt drop allowed, percent of nominal, from the battery and back.

    Left out it is 10, and 3 for panels, pumps, blowers and navigation lights, which may have less
    but no more.
    """
    volts: LowVolts | None = None
    """Nominal voltage, where it is not the job's."""
    returns_to: str | None = None
    """Where the minus goes back to, where it is not where the plus comes from."""
    fuse_amp: Amps | None = None
    """The fuse that is there or wanted, A."""
    fuse_at: Length | None = None
    """How far along the cable from its feed the fuse sits."""
    fuse_at_load: Length | None = None
    """How far from its load end a second fuse sits: of a cable with a source at both ends."""
    fuse_i2t: Annotated[float, Field(gt=0, le=1e9, allow_inf_nan=False)] | None = None
    """What that fuse lets through in a short by its maker, A² s."""
    fuse_interrupts_amps: Annotated[float, Field(gt=0, le=200_000, allow_inf_nan=False)] | None = (
        None
    )
    """The current that fuse can stop, A."""
    cable: str | None = None
    """The size of cable, where it is given rather than chosen."""
    sheathed: bool = False
    """True when the cable lies in a sheath all the way."""
    bypass: bool = False
    """True for a circuit taken from the battery side of the isolator."""
    signal: bool = False
    """True for a data or aerial lead."""
    starter: bool = False
    """True for a starter motor's feed."""
    brief: bool = False
    """True for a motor that runs a few minutes at a time, like a windlass or a bow thruster: what
    else hangs on its feeder is not held to its volt drop while it runs.
    """
    link: bool = False
    """True for one conductor: a link between parts of a board, or between batteries of a bank."""
    mains: bool = False
    """True for mains (AC): shown for its space and route, never sized."""
    via: list[str] = Field(default=[], max_length=20)
    """Holes, pipes and trays it goes through, in that order."""
    avoid: list[str] = Field(default=[], max_length=20)
    """Holes, pipes and trays it keeps out of."""
    plug: Length | None = None
    """The diameter of a plug that has to pass through holes with it."""
    bend_radius: Length | None = None
    """The least bend radius by its maker."""
    lead_lengths: list[Length] = Field(default=[], max_length=20)
    """The lengths a ready-made lead is sold in."""
    outside_diameter: Length | None = None
    """The outside diameter of one sheathed cable."""
    tail_feed: Length | None = None
    """Cable kept at the feed end beyond the route."""
    tail_load: Length | None = None
    """Cable kept at the load end beyond the route."""
    section: Label = ""
    """The section of the quote it belongs to; left out, by what it feeds."""


class BankModel(Part):
    """Batteries that are one bank: strings side by side, the batteries of a string in series."""

    label: Label = ""
    """What people call it."""
    strings: Annotated[
        list[Annotated[list[str], Field(min_length=1, max_length=40)]],
        Field(min_length=1, max_length=40),
    ]
    """The batteries of each string, from its minus end to its plus end."""
    standby_amps: Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)] = 0.0
    """What is drawn all day with everything switched off, A."""


class RatesModel(Part):
    """What things cost, in the shop's currency; usual values are from memory: put in your own."""

    hour: Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)] = 65.0
    """An hour's work."""
    clip: Money = 0.5
    """A clip."""
    clip_minutes: Minutes = 2.0
    """Minutes to fix a clip."""
    edging: Money = 4.0
    """Edging or a grommet for a hole."""
    edging_minutes: Minutes = 10.0
    """Minutes to edge a hole."""
    hole_minutes: Minutes = 6.0
    """Minutes to get cable through a hole."""
    pipe_minutes: Minutes = 20.0
    """Minutes to get cable through a pipe."""
    no_string_minutes: Minutes = 20.0
    """Minutes more where no string lies in it."""
    pull_minutes_per_metre: Minutes = 1.5
    """Minutes to pull a metre of cable."""
    end_minutes: Minutes = 6.0
    """Minutes to crimp and label an end."""
    signal_per_metre: Money = 2.0
    """A metre of data or aerial lead."""
    bend_mm: Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)] = 40.0
    """The cable that a bend is worth where it is laid square, mm."""
    open_panel: Annotated[float, Field(ge=1, le=10, allow_inf_nan=False)] = 1.1
    """What a metre over an open panel is worth, in metres along a corner."""


class StockModel(Part):
    """Cable that can be had: a drum to buy (any number) or a remnant on the shelf (so many)."""

    cable: str
    """Its size, by the catalogue's name."""
    length: Length
    """How long it is."""
    price: Money = 0.0
    """What it costs."""
    count: Annotated[int, Field(ge=1, le=1000)] | None = None
    """How many there are; left out, any number can be bought."""
    label: Label = ""
    """What people call it."""


class SheetModel(Part):
    """Sheet that plates are cut from: to buy (any number), or an offcut on the shelf (so many)."""

    material: Label = "marine ply"
    """What it is."""
    thickness: Length
    """How thick it is."""
    size: Pair
    """Length and height; its grain runs along its length."""
    price: Money = 0.0
    """What it costs."""
    count: Annotated[int, Field(ge=1, le=100)] | None = None
    """How many there are; left out, any number can be bought."""
    label: Label = ""
    """What people call it."""


class ApartModel(Part):
    """How far two kinds of gear are to stand apart, by a maker or by the shop's own practice."""

    kinds: Annotated[list[str], Field(min_length=2, max_length=2)]
    """Two kinds of gear or of hazards."""
    off: Length
    """The least between them."""
    why: Label = ""
    """Whose word that is."""


class InstrumentModel(Part):
    """An instrument on the backbone."""

    on: str
    """The terminal its drop lead ends on."""
    loads: Annotated[int, Field(ge=0, le=200)] = 1
    """Its load number, units of 50 mA."""


class TeeModel(Part):
    """A tee (or block of tees) on the backbone and what hangs on it."""

    label: Label = ""
    """What people call it."""
    space: str
    """The space it is in."""
    at: Point
    """Its place, from the space's corner."""
    devices: list[InstrumentModel] = Field(default=[], max_length=20)
    """The instruments that hang on it."""


class BackboneModel(Part):
    """An instrument backbone: tees in order from end to end."""

    label: Label = ""
    """What people call it."""
    cable: Literal["light", "heavy"] = "light"
    """Which cable it is made of."""
    feed: str
    """The terminal its power tee is fed from."""
    feed_tee: Name
    """The tee its power comes in at."""
    volts: LowVolts = 12.0
    """Nominal voltage."""
    fuse_amp: Amps | None = None
    """The fuse it is fed through, A."""
    terminators: list[Name] = Field(default=[], max_length=10)
    """The tees that carry a terminator."""
    tees: dict[Name, TeeModel] = Field(min_length=1, max_length=60)
    """Its tees, in order."""


class JobHead(Part):
    """Which job, on which hull."""

    name: Label
    """The job's name, as sheets show it."""
    hull: str
    """The hull file beside this one."""
    clearance: Length = 3.0
    """The room a hand-guided move should keep."""
    catalogue: Literal["mm2", "AWG"] = "mm2"
    """Which sizes cable is bought in."""
    volts: LowVolts = 12.0
    """Nominal voltage."""
    insulation: Literal[60, 75, 80, 90, 105, 125, 200] = 105
    """The insulation temperature of the cable used, °C: what each size carries follows from it."""
    earth_level_ut: Annotated[float, Field(ge=1, le=45, allow_inf_nan=False)] = 20.0
    """The earth's level magnetic field where the boat sails, microtesla: 15 to 30 in most waters
    (10.6 off North Norway, 19.8 in the Channel, 25.9 in the western Mediterranean, 41 at
    Singapore, by the international reference field).
    """
    share_runs: bool = True
    """False to lay every cable by its own shortest route."""
    lay: Literal["square", "straight"] | None = None
    """How cable is laid in every space; left out, as each space is."""
    bundling: bool = False
    """True to derate bundles under 50 V too."""
    minus_colour: Literal["black", "yellow"] = "black"
    """The colour of every DC minus: one of the two ISO 10133 has."""
    drum_colours: bool = True
    """False where both poles are cut from one drum and told apart by sleeve."""
    shop: Label = ""
    """The shop's settings file beside this one: prices, margins, its own usual values."""
    shelf: Label = ""
    """The file beside this one that tells what lies on the shop's shelf."""
    kerf: Length = 3.0
    """What the saw takes between two plates cut from one sheet."""
    note: Note = ""
    """Anything worth knowing about the job."""


class JobFile(Part):
    """A whole job file: what goes into one boat, and how it is wired."""

    job: JobHead
    """Which job."""
    plus_minus: dict[str, Length] = Field(default={})
    """The usual plus or minus of each way of measuring, where it is not coaming's own."""
    sizes: dict[Name, Length] = Field(default={}, max_length=500)
    """Named sizes of the job; those of the hull may be used too."""
    measured: dict[str, TakenModel] = Field(default={}, max_length=2000)
    """Who took a size of the job and when."""
    types: dict[Name, TypeModel] = Field(default={}, max_length=200)
    """Types of gear beside those that come with coaming."""
    boards: dict[Name, BoardModel] = Field(default={}, max_length=60)
    """Boards built on the bench."""
    pieces: dict[Name, PieceModel] = Field(default={}, max_length=600)
    """Single pieces in the boat."""
    order: list[str] | None = Field(default=None, max_length=260)
    """The order of fitting, where it is given; keys or labels."""
    banks: dict[Name, BankModel] = Field(default={}, max_length=20)
    """Banks of batteries; a battery in none is a bank of its own."""
    circuits: dict[Number, CircuitModel] = Field(default={}, max_length=600)
    """The circuits by their numbers."""
    estimate: EstimateModel = EstimateModel()
    """What an estimate has to know that no model shows."""
    rates: RatesModel = RatesModel()
    """What things cost."""
    stock: list[StockModel] = Field(default=[], max_length=200)
    """Drums and remnants at hand."""
    apart: list[ApartModel] = Field(default=[], max_length=100)
    """Distances between kinds that placing keeps, beside coaming's own."""
    sheets: list[SheetModel] = Field(default=[], max_length=60)
    """Sheet and offcuts at hand; left out, usual sheets of 2440 x 1220 mm."""
    backbones: dict[Name, BackboneModel] = Field(default={}, max_length=10)
    """Instrument backbones."""
