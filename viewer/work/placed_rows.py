"""What placing things found, as rows: a few places for each, or what would open one."""

from viewer.work.bench_rows import Flat
from viewer.work.piece_rows import BoxRow, PoseRow
from viewer.work.row import Fine, Mm, Row, Value
from viewer.work.rows import FindingRow


class PlacedRow(Row):
    """A place a thing is proven to go into."""

    thing: str
    label: str
    space: str
    face: str
    """What it is put on."""
    along: str
    top: str
    at_mm: Flat
    """The middle of its foot (of a board's back), from its space's corner."""
    gap_mm: Mm
    """To what is nearest."""
    from_opening_mm: Mm
    out_of_reach: bool
    cable_mm: Mm
    """Its cables laid square in the air: how places are ranked."""
    price: Fine | None
    """What all cable of the job costs with it there; null where its cables have no way."""
    dearer: Fine
    """Beside the cheapest place told."""
    way: tuple[str, ...]
    least_clearance_mm: Mm | None
    first: bool
    """True where it goes in only before other gear: with all of it there no way was found."""
    splash: bool
    """True where its space is open to the weather and its maker is not told to say it stands it."""
    findings: tuple[FindingRow, ...]
    body: tuple[BoxRow, ...]
    path: tuple[PoseRow, ...]
    sets: tuple[tuple[tuple[str, ...], Value | tuple[float, ...] | None], ...]


class OpensRow(Row):
    """A move of something else that would open a place."""

    thing: str
    moved: str
    axis: int
    by_mm: Mm
    space: str
    face: str


class PlacingRow(Row):
    """The answer for one or several things."""

    things: tuple[str, ...]
    places: tuple[PlacedRow, ...]
    together: bool
    """True where the places are one for each thing, all at once, in the order they go in."""
    left: tuple[str, ...]
    """Things no place was found for."""
    proven_none: bool
    """Proven: not all can stand in the spaces looked at, whatever goes in."""
    opens: tuple[OpensRow, ...]
    spaces: tuple[str, ...]
    labels: dict[str, str]
