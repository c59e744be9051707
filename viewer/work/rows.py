"""The one result, as plain rows: frozen, typed, with units in the keys; saved, read back, compared.

Lengths are mm in the hull frame (x forward, y to port, z up) unless a key says otherwise. Keys of
things are those of `layout.boat.parts` with what they are before a colon: `piece:`, `space:`,
`opening:`, `solid:`, `hazard:`, `joint:`, `circuit:`, `backbone:`, `wall:`, `rim:`, `corner:`.
"""

from typing import Final

from pydantic import ConfigDict, Field

from viewer.work.bench_rows import BenchRow, BoatHoleRow, NestingRow
from viewer.work.estimate.rows import EstimateRow
from viewer.work.piece_rows import BoatRow, PieceRow, StandRow
from viewer.work.row import Fine, Row, Value
from viewer.work.way_rows import LoopRow, PlateHoleRow, PoleRow, SensorRow, SupportRow
from viewer.work.wiring_rows import (
    BackboneRow,
    BankRow,
    BoreRow,
    BuiltRow,
    CircuitRow,
    CostRow,
    CutRow,
    DrawRow,
    FixingRow,
    FuseRow,
    LeadRow,
    PullRow,
    RunPlanRow,
    RunRow,
    SizePlanRow,
    WireRow,
)

SCHEMA: Final = 6  # goes up when a key changes its meaning


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
    unlabelled: str
    """A mark of the files without labels: where it is the same, so is every answer."""
    standing: str
    """A mark of all that decides what goes in: where it is the same, so are the pieces."""
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
    wires: tuple[WireRow, ...]
    size_plan: SizePlanRow
    banks: tuple[BankRow, ...]
    draws: tuple[DrawRow, ...]
    bank_amp_hour: Fine
    poles: tuple[PoleRow, ...]
    """Every way in the boat, one for each conductor that goes its own."""
    loops: tuple[LoopRow, ...]
    supports: tuple[SupportRow, ...]
    plate_holes: tuple[PlateHoleRow, ...]
    sensors: tuple[SensorRow, ...]
    benches: tuple[BenchRow, ...]
    """Every board as the bench builds it."""
    boat_holes: tuple[BoatHoleRow, ...]
    """Holes made in the boat: for cable and for what is let into a panel."""
    nesting: NestingRow | None = None
    """The plates cut from sheet, where that was asked for."""
    built: tuple[BuiltRow, ...] = ()
    """What was found and done on the boat."""
    estimate: EstimateRow
    """What the job takes and costs."""
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

    def bench(self, key: str) -> BenchRow:
        """A board as the bench builds it."""
        return next(b for b in self.benches if b.key == key)

    def circuit(self, number: str) -> CircuitRow:
        """A circuit's cable."""
        return next(c for c in self.circuits if c.number == number)
