"""Rows of the result about boards as the bench builds them: flat, from the front.

Lengths are mm from the plate's lower left corner, seen from its front: x to the right, y up, z off
the front face.
"""

from viewer.work.row import Fine, Mm, Row

Spot = tuple[Mm, Mm]
Flat = tuple[Mm, Mm, Mm]


class FlatBoxRow(Row):
    """A box on the plate, from its low to its high corner."""

    low: Flat
    high: Flat
    what: str


class EndOnBoardRow(Row):
    """A terminal on the board."""

    name: str
    at: Flat
    out: Flat
    on: str
    pole: str
    studs: tuple[Spot, ...]
    """The studs of a row of them, from the first; empty for one alone."""


class BoardPartRow(Row):
    """A part of a board; `number` is what it carries on every sheet."""

    number: int
    key: str
    kind: str
    type: str
    foot: Spot
    turn_deg: int
    mass_kg: Fine
    boxes: tuple[FlatBoxRow, ...]
    rooms: tuple[FlatBoxRow, ...]
    ends: tuple[EndOnBoardRow, ...]
    fixings_known: bool
    fuse_amp: Fine | None
    """What goes into a fuse holder, where it follows; null for everything else."""
    fuse_stops_amp: Fine
    """What that fuse must be able to stop; 0 where it is not told."""
    fuse_of: str
    """The circuit that fuse is told by."""
    breaker: bool = False
    """True where it is a breaker itself: no fuse goes into it."""


class BoardHoleRow(Row):
    """A hole to drill. `number` is its place in the hole list."""

    number: int
    x_mm: Mm
    y_mm: Mm
    diameter_mm: Mm
    purpose: str
    """`fixing`, `stand-off`, `cable` or `strap`."""
    part: str
    circuit: str
    screw: str
    reach_mm: Mm | None
    """How far the screw reaches beyond the part's foot, where its type tells."""


class BoardCutOutRow(Row):
    """A hole to saw: its middle, size and corners."""

    number: int
    x_mm: Mm
    y_mm: Mm
    length_mm: Mm
    height_mm: Mm
    radius_mm: Mm
    part: str


class StandOffRow(Row):
    """Where the board is fixed, and how that place is held."""

    number: int
    """Of its hole in the hole list."""
    x_mm: Mm
    y_mm: Mm
    bore_mm: Mm
    length_mm: Mm
    screw_most_mm: Mm
    """Into what it stands on; 0 where it is not screwed into that."""
    on: str
    hold: str
    """`screw`, `bolt` (through what is too thin), `pad` (bonded to a hull's skin), `bracket`."""
    slope_deg: Fine
    given: bool


class FuseOfRow(Row):
    """The fuse of a conductor: its rating and where it sits."""

    amp: Fine | None
    at: str
    place: str
    along_mm: Mm
    limit_mm: Mm
    stops_amp: Fine
    breaker: bool = False


class BoardLinkRow(Row):
    """A link on the board: what is cut, stripped and pressed for it, and how it lies."""

    number: str
    mark: str
    pole: str
    start: str
    goal: str
    start_on: str
    goal_on: str
    start_stud: int
    goal_stud: int
    size: str
    area_mm2: Fine
    outside_diameter_mm: Mm
    cut_mm: Mm
    strip_mm: Mm
    sleeve: str
    colour: str
    mass_kg: Fine
    ties: int
    fuse: FuseOfRow | None
    """Null where what feeds it guards it, and for a minus."""
    past_mm: Mm
    """How far it, or its lug, stands past the plate's edge."""
    past: str
    bar_mm: Mm
    """From stud to stud where two lugs have no room between, so that it is copper bar; else 0."""
    over: tuple[str, ...]
    """Parts it has to lie over, for want of room beside them."""
    line: tuple[Spot, ...]


class ArrivesRow(Row):
    """A cable from the boat that ends on the board."""

    number: str
    end: str
    on: str
    stud: int
    size: str
    fuse: FuseOfRow | None
    """Null for a minus."""
    other: str


class LegendRow(Row):
    """A way of a fuse panel on the board."""

    part: str
    way: int
    side: str
    """The terminal it leaves by, like `out` or `out_right`; empty for a spare way."""
    moved: bool
    """True where the side its job tells is full."""
    number: str
    """Empty for a spare way."""
    amp: Fine | None
    breaker: bool = False
    """True where the panel's ways are breakers."""


class GripRow(Row):
    """A stretch of free edge for a hand."""

    x_mm: Mm
    y_mm: Mm
    edge: str


class BenchRow(Row):
    """A board as the bench builds it."""

    key: str
    space: str
    length_mm: Mm
    height_mm: Mm
    thickness_mm: Mm
    material: str
    panel: bool
    """True for a face that is there: it is sawn and drilled in the boat."""
    front: str
    right: str
    top: str
    """Where its front, its right edge and its upper edge look in the boat."""
    from_sides: tuple[tuple[str, Mm], ...]
    """Its lower left corner from the nearest sides of its space."""
    volts: tuple[Fine, ...]
    """Nominal voltages that come to it."""
    mass_kg: Fine
    balance: Flat
    people: int
    """To carry it in: 1, 2, or 0 for a hoist."""
    afterwards: tuple[str, ...]
    lean_deg: Fine
    grips: tuple[GripRow, ...]
    straps: tuple[Spot, ...]
    carry_by: tuple[int, ...]
    """Stand-off holes a line goes through, where there is no place for straps."""
    parts: tuple[BoardPartRow, ...]
    holes: tuple[BoardHoleRow, ...]
    cut_outs: tuple[BoardCutOutRow, ...]
    stand_offs: tuple[StandOffRow, ...]
    behind: str
    """What most of its back looks at; empty where nothing is near."""
    bare_corners: tuple[str, ...]
    """Corners that no stand-off is near."""
    gap_mm: Mm
    beyond: tuple[str, ...]
    hull_skin: bool
    reach_most_mm: Mm
    """How far a part's screw may reach beyond its foot."""
    links: tuple[BoardLinkRow, ...]
    arrives: tuple[ArrivesRow, ...]
    legend: tuple[LegendRow, ...]
    order: tuple[str, ...]
    """Parts in the order they are fitted on the bench."""


class HoleSideRow(Row):
    """One side of a hole in the boat."""

    space: str
    free_mm: Mm | None
    """How far what is next in line is; null in the open."""
    next: str


class BoatHoleRow(Row):
    """A hole made in the boat, with what is behind it."""

    key: str
    what: str
    size_mm: Spot
    radius_mm: Mm
    space: str
    face: str
    from_edges: tuple[tuple[str, Mm], tuple[str, Mm]]
    """Its middle from two sides of its space."""
    sides: tuple[HoleSideRow, HoleSideRow]
    can_drill: bool
    blade_meets: tuple[str, ...]


class SheetCutRow(Row):
    """A plate on a sheet of stock."""

    board: str
    sheet: int
    x_mm: Mm
    y_mm: Mm
    length_mm: Mm
    height_mm: Mm
    turned: bool


class SheetRow(Row):
    """A sheet of stock and what is left of it."""

    number: int
    material: str
    thickness_mm: Mm
    length_mm: Mm
    height_mm: Mm
    price: Fine
    label: str
    offcuts: tuple[tuple[Mm, Mm, Mm, Mm], ...]
    """What is left, as rectangles x, y, length, height."""


class NestingRow(Row):
    """All plates cut from sheets: what is used, the least it could be."""

    sheets: tuple[SheetRow, ...]
    cuts: tuple[SheetCutRow, ...]
    kerf_mm: Mm
    cost: Fine
    bound: Fine
    too_large: tuple[str, ...]
    """Boards no sheet holds."""
