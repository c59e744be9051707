"""Rows of the result about cables and everything along them."""

from viewer.work.row import Fine, Mm, Row, Vec


class LengthRow(Row):
    """A cut length and what it is made of."""

    route_mm: Mm
    tail_feed_mm: Mm
    tail_load_mm: Mm
    loop_mm: Mm
    wander_mm: Mm
    bends_mm: Mm
    plus_minus_mm: Mm
    swing_mm: Mm
    """To follow gear that tilts and turns."""
    cut_mm: Mm


class NeighbourRow(Row):
    """The next size: its drop over the whole path and what it adds to the price."""

    size: str
    drop_percent: Fine
    dearer: Fine


class NoWayRow(Row):
    """Why a cable has no way."""

    barrier: str
    start: str
    goal: str
    keys: tuple[str, ...]
    nearest_mm: Mm


class DetourRow(Row):
    """What one rule adds to a route."""

    rule: str
    extra_mm: Mm
    keys: tuple[str, ...]
    value_mm: Mm


class CircuitRow(Row):
    """One circuit's cable whole. Sized figures are null for mains, signal leads and no way."""

    number: str
    label: str
    feed: str
    load: str
    amps: Fine
    volts: Fine
    mains: bool
    signal: bool
    starter: bool
    link: bool
    """True for one conductor: a link on a board or between batteries."""
    out: LengthRow | None
    back: LengthRow | None
    joints: tuple[str, ...]
    conductors: int
    size: str | None
    area_mm2: Fine | None
    decided_by: str | None
    drop_volt: Fine | None
    drop_percent: Fine | None
    drop_limit_percent: Fine
    carries_amp: Fine | None
    fuse_amp: Fine | None
    down: NeighbourRow | None
    up: NeighbourRow | None
    straight_mm: Mm
    straight_size: str | None
    straight_area_mm2: Fine | None
    outside_diameter_mm: Mm
    plug_mm: Mm | None
    bend_radius_mm: Mm
    beside_power_mm: Mm
    beside_in: tuple[str, ...]
    pulled_mm: Mm | None
    """Its way pulled straight over the same faces."""
    no_way: NoWayRow | None
    detours: tuple[DetourRow, ...]
    line: tuple[Vec, ...]
    """The route as a line with its bends, to be drawn."""
    cold_percent: Fine | None
    hot_percent: Fine | None
    in_order: bool


class BoreRow(Row):
    """How full a hole or pipe is."""

    key: str
    kind: str
    bore_mm: Mm
    cables: int
    fill: Fine
    limit: Fine
    too_full: bool
    needs_edging: bool
    least_bore_mm: Mm
    may_jam: bool
    jam_ratio: Fine | None
    circuits: tuple[str, ...]


class RunRow(Row):
    """A stretch with the same cables in it all along."""

    where: str
    kind: str
    face: str | None
    circuits: tuple[str, ...]
    length_mm: Mm
    bundle_mm: Mm
    points: tuple[Vec, ...]


class RunPlanRow(Row):
    """What the plan of shared runs costs, and the cost no plan can be below."""

    group: str
    cost: Fine
    bound: Fine
    saving: Fine


class PullRow(Row):
    """One step of the order of pulling."""

    number: str
    plug_mm: Mm | None
    through: tuple[str, ...]


class FuseRow(Row):
    """One line of the fuse schedule."""

    number: str
    amp: Fine | None
    at: str
    place: str
    along_mm: Mm
    limit_mm: Mm
    load_amp: Fine
    carries_amp: Fine
    stops_amp: Fine
    breaker: bool = False
    """True where it is a breaker of the gear it sits in, not a fuse that is bought."""


class FixingRow(Row):
    """One line of the list of fixings."""

    kind: str
    space: str
    count: int
    circuits: tuple[str, ...]
    joint: str
    bundle_mm: Mm
    spacing_mm: Mm
    length_mm: Mm
    has_string: bool


class DeviceRow(Row):
    """An instrument on a tee and its drop lead."""

    tee: str
    along_mm: Mm
    on: str
    drop_lead_mm: Mm
    loads: int


class TeeRow(Row):
    """A tee of a backbone and where it is fixed."""

    key: str
    space: str
    at_mm: Vec


class BackboneRow(Row):
    """An instrument backbone as measured."""

    key: str
    length_mm: Mm
    counted_mm: Mm
    drop_leads_mm: Mm
    longest_drop_lead_mm: Mm
    loads: int
    amp: Fine
    spread_volt: Fine
    findings: int
    devices: tuple[DeviceRow, ...]
    feed: str = ""
    """The terminal its power comes from, in at `feed_tee`, through a fuse of `fuse_amp`."""
    feed_tee: str = ""
    fuse_amp: Fine | None = None
    tees: tuple[TeeRow, ...] = ()
    joints: tuple[str, ...] = ()
    """The holes and pipes it goes through, from its first tee."""


class LeadRow(Row):
    """A ready-made lead and where its surplus lies."""

    number: str
    needs_mm: Mm
    length_mm: Mm | None
    surplus_mm: Mm
    coil_mm: Vec
    face: str | None
    beside: str | None
    from_end_mm: Mm | None
    from_power_mm: Mm | None


class PieceOfCableRow(Row):
    """One piece cut for a circuit's pole."""

    number: str
    pole: str
    length_mm: Mm


class CutRow(Row):
    """One drum, remnant or length cut to order, and the pieces cut from it."""

    cable: str
    stock: str
    stock_mm: Mm
    price: Fine
    pieces: tuple[PieceOfCableRow, ...]
    left_mm: Mm
    plan_cost: Fine
    plan_bound: Fine
    proven_cheapest: bool
    colour: str = ""
    """Of the drum; empty where both poles are cut from one."""


class CostRow(Row):
    """One line of the cost of the wiring."""

    kind: str
    cable: str
    count: Fine
    unit: str
    each: Fine
    total: Fine


class WireRow(Row):
    """One conductor of the wire list: the terminals it joins, and the mark both its ends carry."""

    number: str
    pole: str
    start: str
    goal: str
    start_on: str
    goal_on: str
    start_stud: int
    """Of a row of studs, counted from 1; 0 where there is no row."""
    goal_stud: int
    size: str
    length_mm: Mm
    mark: str
    colour: str
    board: str
    """The board it lies on from end to end; empty in the boat."""


class BankRow(Row):
    """A bank as it is wired: what it holds, gives and is charged with."""

    key: str
    batteries: tuple[str, ...]
    volts: Fine
    amp_hour: Fine
    usable_amp_hour: Fine
    lithium: bool
    charge_amp: Fine
    takes_amp: Fine
    """0 where it is not known."""
    charge_hours: Fine | None
    """To put back what it gives; null where nothing charges it."""
    day_amp_hour: Fine


class SizePlanRow(Row):
    """Sizes as one plan: what the cable costs and the least it can, and its insulation."""

    insulation_degc: int
    cost: Fine
    bound: Fine


class BuiltRow(Row):
    """What was found and done, as one mark tells it; the figure as a number where it is one."""

    about: str
    """A key with its kind, like `circuit:4`; empty for the boat."""
    kind: str
    words: str
    value: str
    figure: Fine | None
    photo: str
    by: str
    on: str


class DrawRow(Row):
    """What a load takes in a day."""

    number: str
    amp: Fine
    duty: Fine
    amp_hour: Fine
