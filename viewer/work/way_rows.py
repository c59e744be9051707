"""Rows of the result about how cable lies: legs, loops, supports, holes in plates, the compass."""

from layout.boat.parts import OUTSIDE
from viewer.work.row import Fine, Mm, Row, Vec


class LegRow(Row):
    """A piece of a cable's way: on a face, through a joint, free to a terminal, or outside."""

    kind: str
    where: str
    face: str | None
    square: bool
    """True where it is laid level or plumb."""
    length_mm: Mm
    points: tuple[Vec, ...]

    @property
    def place(self) -> str:
        """The space it lies in, `outside`, or nothing where it goes through a joint or a board."""
        if self.kind in ("face", "free"):
            return self.where
        return OUTSIDE if self.kind == OUTSIDE else ""


class PoleRow(Row):
    """The way of one conductor, or of a pair: its legs, and its line with the bends."""

    number: str
    pole: str
    start: str
    goal: str
    outside_diameter_mm: Mm
    bend_radius_mm: Mm
    pulled_mm: Mm
    """Its length if it were pulled straight over the same faces."""
    legs: tuple[LegRow, ...]
    line: tuple[Vec, ...]


class LoopRow(Row):
    """Cable kept at an end, and where it lies."""

    number: str
    end: str
    length_mm: Mm
    why: str
    """`face down`, `serve` or `swing`."""
    space: str
    at: Vec


class SupportRow(Row):
    """One clip or tie: where it is fixed, and for which circuits."""

    kind: str
    where: str
    at: Vec
    circuits: tuple[str, ...]
    bundle_mm: Mm
    spacing_mm: Mm
    on_material: bool


class PlateHoleRow(Row):
    """A hole to drill in a board's plate for a cable that leaves through it."""

    board: str
    number: str
    bore_mm: Mm
    along_mm: tuple[Mm, Mm]
    """From the plate's corner that is low along both its axes in the boat."""
    at: Vec


class CircuitFieldRow(Row):
    """What one circuit adds at a compass or heading sensor."""

    number: str
    micro_tesla: Fine
    degrees: Fine
    nearest_mm: Mm
    lead_off_mm: Mm


class SensorRow(Row):
    """All circuits at one compass or heading sensor."""

    hazard: str
    earth_micro_tesla: Fine
    micro_tesla: Fine
    degrees: Fine
    circuits: tuple[CircuitFieldRow, ...]
