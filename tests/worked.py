"""Jobs worked out for tests: the objects of the rooms and the one result, side by side."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from layout.boat.build import Builder
from layout.boat.parts import Boat
from layout.boat.reader import Reader
from layout.errors import JobError
from layout.job import JobFiles, read_job
from layout.verdict.answers import PieceFit
from layout.verdict.fit import Asked, FitEffort, Fitter
from layout.verdict.order import fitting_order
from layout.verdict.question import Question, question, ways_in
from layout.verdict.tolerance import Ends
from routing.circuits.cables import Cable
from routing.circuits.circuits import Circuits, find_circuits
from routing.wiring import Wiring, wire
from viewer.work.rows import Result
from viewer.work.session import Asks, Session

ROOT = Path(__file__).parent.parent
DEMOS = ("harbour_launch", "sailing_yacht", "survey_catamaran", "trip_boat")


@dataclass(frozen=True, eq=False)
class Worked:
    """One job worked out."""

    files: JobFiles
    boat: Boat
    asked: dict[str, Asked]
    fits: list[PieceFit]
    wiring: Wiring
    result: Result

    @property
    def cables(self) -> tuple[Cable, ...]:
        return self.wiring.cabling.cables

    def question(self, fit: PieceFit) -> Question:
        """The passage question a fit answers."""
        asked = self.asked[fit.key]
        way = next(w for w in ways_in(self.boat, asked.piece) if w.keys == fit.way)
        return question(self.boat, asked.piece, way, asked.fitted, self.boat.clearance_mm)


def circuits_of(path: Path) -> tuple[JobFiles, Boat, Circuits]:
    """A job's files, boat and circuits. Raises JobError with every problem."""
    files = read_job(path)
    builder = Builder(files)
    boat, found = builder.try_boat()
    reader = Reader(files, builder.sizes)
    circuits = find_circuits(files, boat, reader)
    if found or reader.findings:
        raise JobError([*found, *reader.findings])
    return files, boat, circuits


@cache
def demo_worked(name: str) -> Worked:
    """A demo, worked out once for all tests."""
    path = ROOT / "demo_hulls" / f"{name}.job.toml"
    files, _, circuits = circuits_of(path)
    fitter = Fitter(Ends(Builder(files)), FitEffort())
    order = fitting_order(fitter.boat)
    asked = [fitter.asked(key, frozenset(order[:k])) for k, key in enumerate(order)]
    fits = [fitter.answer(a) for a in asked]
    result = Session(path).answer(Asks(fresh=True))
    by_key = {a.piece.key: a for a in asked}
    return Worked(files, fitter.boat, by_key, fits, wire(circuits), result)
