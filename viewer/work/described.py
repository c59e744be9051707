"""What the files describe, with every problem of it: needed before anything heavy is loaded."""

from dataclasses import dataclass

from layout.boat.build import Builder
from layout.boat.differences import Marks, marks_of
from layout.boat.parts import Boat
from layout.boat.reader import Reader
from layout.errors import JobError
from layout.job import JobFiles
from layout.known import mark
from routing.circuits.circuits import Circuits, find_circuits


@dataclass(frozen=True, slots=True)
class Described:
    """The boat, what builds it anew with sizes moved, and the circuits."""

    files: JobFiles
    boat: Boat
    builder: Builder
    circuits: Circuits

    @classmethod
    def by(cls, files: JobFiles) -> "Described":
        """Build everything. Raises JobError with every problem at once."""
        builder = Builder(files)
        boat, found = builder.try_boat()
        reader = Reader(files, builder.sizes)
        circuits = find_circuits(files, boat, reader)
        problems = [*found, *reader.findings]
        if problems:
            raise JobError(problems)
        return cls(files, boat, builder, circuits)

    @property
    def marks(self) -> Marks:
        """The mark of every part of the boat."""
        return {**marks_of(self.boat), "stock": mark(self.boat.stock_mm, self.boat.tees)}

    def types_used(self) -> set[str]:
        """The types of gear that stand in the boat."""
        out = {piece.type for piece in self.boat.pieces.values() if piece.type}
        return out | {part.type for p in self.boat.pieces.values() for part in p.parts.values()}
