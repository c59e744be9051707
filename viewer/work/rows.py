"""The one result, as plain rows: frozen, typed, with units in the keys; saved, read back, compared.

Lengths are mm in the hull frame (x forward, y to port, z up) unless a key says otherwise. Keys of
things are those of `layout.boat.parts` with what they are before a colon: `piece:`, `space:`,
`opening:`, `solid:`, `hazard:`, `joint:`, `circuit:`, `backbone:`, `wall:`, `rim:`, `corner:`.
"""

from typing import Annotated, Final

from pydantic import BaseModel, ConfigDict, Field, PlainSerializer

SCHEMA: Final = 3  # goes up when a key changes its meaning


def rounded(digits: int) -> PlainSerializer:
    """Numbers are written with so many decimals: rounding noise is no difference."""
    return PlainSerializer(lambda x: None if x is None else round(x, digits) + 0.0)


Mm = Annotated[float, rounded(3)]
Fine = Annotated[float, rounded(6)]
Turn = Annotated[float, rounded(12)]
Vec = tuple[Mm, Mm, Mm]
Place = tuple[Fine, Fine, Fine]
Quat = tuple[Turn, Turn, Turn, Turn]
Value = float | str | tuple[str, ...]


class Row(BaseModel):
    """Base of every row."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class BoxRow(Row):
    """A box: its key, middle, half sizes and rotation matrix by rows."""

    key: str
    centre_mm: Vec
    half_mm: Vec
    rotation: tuple[tuple[Turn, Turn, Turn], tuple[Turn, Turn, Turn], tuple[Turn, Turn, Turn]]


class SpaceRow(Row):
    """A space from its low to its high corner."""

    key: str
    low_mm: Vec
    high_mm: Vec
    site: str


class OpeningRow(Row):
    """An opening and the four bars it is drawn as."""

    key: str
    inner: str
    outer: str
    axis: int
    sign: int
    size_mm: tuple[Mm, Mm]
    bars: tuple[BoxRow, ...]


class HazardRow(Row):
    """Something to keep off."""

    key: str
    space: str
    low_mm: Vec
    high_mm: Vec


class SolidRow(Row):
    """Something fixed."""

    key: str
    space: str
    box: BoxRow


class StandRow(Row):
    """A board or piece at rest: its boxes in its own frame and in the boat."""

    key: str
    kind: str
    space: str
    is_board: bool
    fixed_already: bool
    mass_kg: Fine
    size_mm: Vec
    at_mm: Place
    body: tuple[BoxRow, ...]
    plate_mm: Vec | None
    parts: tuple[str, ...]


class BoatRow(Row):
    """What is where."""

    length_mm: Mm
    beam_mm: Mm
    spaces: tuple[SpaceRow, ...]
    openings: tuple[OpeningRow, ...]
    solids: tuple[SolidRow, ...]
    hazards: tuple[HazardRow, ...]
    stands: tuple[StandRow, ...]
    trays: dict[str, tuple[str, str]]


class PoseRow(Row):
    """A place of the body's middle, and its turn x y z w from its stand."""

    at_mm: Place
    quat: Quat


class HeldRow(Row):
    """How a piece is held: the hull axis of its long side, which end is down, flat or on edge."""

    long_axis: int
    end_down: str
    down_deg: Mm
    flat: bool | None


class MoveRow(Row):
    """One move of a way in."""

    step: str
    shift_mm: Vec
    turn_deg: Vec
    least_clearance_mm: Mm
    near_body: str
    near_fixed: str
    start: PoseRow
    end: PoseRow
    held: HeldRow


class DecidingRow(Row):
    """A measured size that decides, by its key in the files."""

    key: str
    value_mm: Mm
    plus_minus_mm: Mm
    how: str
    effect_mm: Mm
    share: Mm


class ClashRow(Row):
    """Two things that overlap at rest; with `room`, a room of `what` that `other` takes."""

    what: str
    other: str
    depth_mm: Mm
    room: str


class RemedyRow(Row):
    """A change with which a way was found and proven."""

    kind: str
    keys: tuple[str, ...]
    minutes: Mm | None
    axis: int | None
    sizes_mm: tuple[Mm, ...]
    less_mm: Mm | None


class PieceRow(Row):
    """The answer for one board or piece, in the order of fitting."""

    key: str
    verdict: str
    evidence: str
    way: tuple[str, ...]
    anchor_mm: Place
    path: tuple[PoseRow, ...]
    moves: tuple[MoveRow, ...]
    least_clearance_mm: Mm | None
    nearly_touching: str
    worst_end: str | None
    best_end: str | None
    deciding_sizes: tuple[DecidingRow, ...]
    clashes: tuple[ClashRow, ...]
    rooms_taken: tuple[ClashRow, ...]
    out_again: str | None
    out_first: tuple[str, ...]
    no_opening: bool
    shortfall_mm: Mm | None
    steps: int
    cells: int
    kept: bool
    """True for a way or proof of the boat before that was proven again on this one."""
    in_order: bool
    mark: str
    """A mark of all this answer depends on: equal marks, equal answers."""
    remedies: tuple[RemedyRow, ...] | None = None
    """What would make it go; null where it was not looked for."""


class LengthRow(Row):
    """A cut length and what it is made of."""

    route_mm: Mm
    tail_feed_mm: Mm
    tail_load_mm: Mm
    loop_mm: Mm
    wander_mm: Mm
    bends_mm: Mm
    plus_minus_mm: Mm
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


class CostRow(Row):
    """One line of the cost of the wiring."""

    kind: str
    cable: str
    count: Fine
    unit: str
    each: Fine
    total: Fine


class DrawRow(Row):
    """What a load takes in a day."""

    number: str
    amp: Fine
    duty: Fine
    amp_hour: Fine


class FindingRow(Row):
    """What a rule finds; its words are made from its key and values."""

    rule: str
    urgency: str
    about: tuple[str, ...]
    values: dict[str, Value]


class InputsRow(Row):
    """What the result was worked out from."""

    job_file: str
    hull_file: str
    fingerprint: str
    coaming: str
    seed: int
    work: Fine


class Result(Row):
    """Everything worked out for a job."""

    schema_number: int = Field(default=SCHEMA, alias="schema")
    inputs: InputsRow
    clocked: bool
    """True when a clock a person set ended the work early."""
    kept_from: str | None
    """The fingerprint of the result before, where ways or proofs of it were used again."""
    job: str
    hull: str
    in_order: bool
    labels: dict[str, str]
    boat: BoatRow
    pieces: tuple[PieceRow, ...]
    circuits: tuple[CircuitRow, ...]
    holes_and_pipes: tuple[BoreRow, ...]
    runs: tuple[RunRow, ...]
    run_plans: tuple[RunPlanRow, ...]
    pulls: tuple[PullRow, ...]
    fuses: tuple[FuseRow, ...]
    fixings: tuple[FixingRow, ...]
    backbones: tuple[BackboneRow, ...]
    leads: tuple[LeadRow, ...]
    cuts: tuple[CutRow, ...]
    costs: tuple[CostRow, ...]
    draws: tuple[DrawRow, ...]
    bank_amp_hour: Fine
    findings: tuple[FindingRow, ...]

    model_config = ConfigDict(
        frozen=True, extra="forbid", use_attribute_docstrings=True, populate_by_name=True
    )

    def piece(self, key: str) -> PieceRow:
        """The answer for a piece."""
        return next(p for p in self.pieces if p.key == key)

    def stand(self, key: str) -> StandRow:
        """Where a piece stands."""
        return next(s for s in self.boat.stands if s.key == key)

    def circuit(self, number: str) -> CircuitRow:
        """A circuit's cable."""
        return next(c for c in self.circuits if c.number == number)
