"""What is asked of the router: a way for each circuit, and for its own return where it has one."""

from dataclasses import dataclass
from typing import Final

from layout.boat.parts import Boat
from routing.circuits.circuits import Circuits
from routing.sizes.sizing import Chosen, Lies, asked_of, choose, usual_fuse
from routing.ways.bends import least_radius_mm
from routing.ways.pulling import passes
from routing.ways.routes import Route, Stop

SIGNAL_OD_MM: Final = 6.0  # a data lead whose diameter is not given: memory
FIRST_TAILS_MM: Final = 1200.0  # both ends out and back, for a first sizing before tails are known

Asks = tuple[Stop, Stop, list[str], list[str]]


@dataclass(slots=True, eq=False)
class Request:
    """One way wanted: a circuit's feed to its load, or its own return."""

    number: str
    start: Stop
    goal: Stop
    via: list[str]
    avoid: list[str]
    route: Route | None = None
    alone: Route | None = None  # its own shortest way, before runs are shared

    @property
    def asks(self) -> Asks:
        """The question as the router takes it."""
        return self.start, self.goal, self.via, self.avoid


class Requests:
    """All ways wanted, by circuit and pole ("out", "back"), with what decides how they lie.

    A circuit without a way "back" of its own comes back as it went; a link does not come back.
    """

    def __init__(self, circuits: Circuits) -> None:
        self.circuits = circuits
        self.boat = circuits.boat
        self.by_pole: dict[tuple[str, str], Request] = {}
        self.shut: dict[str, list[str]] = {}  # bores a plug does not pass beside what is in by then
        mains = {j for m in circuits.models.values() if m.mains for j in m.via}
        for number, model in circuits.models.items():
            feed, load, back = (
                circuits.feeds[number],
                circuits.loads[number],
                circuits.returns[number],
            )
            a = Stop.of(feed.piece.space, feed.terminal)
            b = Stop.of(load.piece.space, load.terminal)
            own = [] if model.mains else sorted(mains - set(model.via))  # a mains lead's own holes
            avoid = [*model.avoid, *own, *self.too_small(number)]
            self.by_pole[number, "out"] = Request(number, a, b, list(model.via), avoid)
            if back is not None and not circuits.one(number):
                goal = Stop.of(back.piece.space, back.terminal)
                self.by_pole[number, "back"] = Request(number, b, goal, [], avoid)

    def out(self, n: str) -> Request:
        """The way of a circuit's feed."""
        return self.by_pole[n, "out"]

    def back(self, n: str) -> Request | None:
        """The way of its own return, where it has one."""
        return self.by_pole.get((n, "back"))

    def all(self) -> list[Request]:
        """Every way wanted, in the order of the file."""
        return list(self.by_pole.values())

    def group(self, name: str) -> list[Request]:
        """Those of power, data or mains, or links on their own board."""
        models = self.circuits.models

        def of(request: Request) -> str:
            c = models[request.number]
            if self.circuits.on_board(request.number) is not None:
                return "board"
            return "mains" if c.mains else ("data" if c.signal else "power")

        return [r for r in self.all() if of(r) == name]

    def plug_mm(self, n: str) -> float | None:
        """The most a circuit's plug may measure across."""
        plug = self.boat.lengths[n].plug
        return None if plug is None else plug.most

    def too_small(self, n: str) -> list[str]:
        """Holes and pipes that a circuit's plug cannot pass beside what is in them from before."""
        plug = self.plug_mm(n)
        if plug is None:
            return []
        return [key for key, bore, holds in bores(self.boat) if not passes(bore, list(holds), plug)]

    def od_mm(self, n: str) -> float:
        """The outside diameter of a circuit's cable, by a first sizing where it is not given."""
        own, c = self.boat.lengths[n].outside_diameter, self.circuits.models[n]
        if own is not None:
            return own.most
        route = self.out(n).route
        if c.signal or c.mains or route is None:
            return SIGNAL_OD_MM
        return self.first_size(n, route).conductor.od_mm

    def first_size(self, n: str, route: Route) -> Chosen:
        """A first sizing on a circuit's own way, before what feeds it is known."""
        c = self.circuits.models[n]
        name = self.circuits.files.job.job.catalogue
        both = 2 * route.length_mm * 1.04 + FIRST_TAILS_MM
        drop, lies = self.circuits.drop_percent(n), self.lies(False, 0)
        c = asked_of(c, self.guard_amp(n))
        return choose(c, self.circuits.volts(n), both, 0.0, name, lies, True, drop)

    def guard_amp(self, n: str) -> float:
        """What a link must carry whatever it feeds: the fuse before it; 0 for other circuits.

        Between batteries it is the largest fuse of what their bank feeds, and on the minus side of
        a board that of what feeds the board.
        """
        c = self.circuits
        if not c.models[n].link:
            return 0.0
        guards = c.guards_of_link(n)
        return max((usual_fuse(c.models[m]) for m in guards), default=0.0)

    def lies(self, hot: bool, bundled: int) -> Lies:
        """How a cable lies, with the job's insulation."""
        return Lies(hot, bundled, self.circuits.files.job.job.insulation)

    def radius_mm(self, n: str) -> float:
        """The least bend radius of a circuit's cable."""
        own = self.boat.lengths[n].bend_radius
        if own is not None:
            return own.most
        return least_radius_mm(self.od_mm(n), self.circuits.models[n].signal)


def bores(boat: Boat) -> list[tuple[str, float, tuple[float, ...]]]:
    """(key, bore, what it holds from before) of every hole and pipe."""
    out = [(hole.key, hole.bore_mm, hole.holds_mm) for hole in boat.holes.values()]
    return out + [(pipe.key, pipe.bore_mm, pipe.holds_mm) for pipe in boat.pipes.values()]
