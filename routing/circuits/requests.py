"""What is asked of the router: a way for each circuit, and for its own return where it has one."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import LUG_MM, Boat, Piece
from routing.circuits.circuits import Circuits, End
from routing.sizes.sizing import Chosen, Lies, asked_of, choose, usual_fuse
from routing.ways.bends import least_radius_mm
from routing.ways.distances import (
    BATTERY_SUPPORT_MM,
    FIRST_BATTERY_MM,
    SUPPORT_MM,
)
from routing.ways.leads import Stop
from routing.ways.pulling import passes
from routing.ways.routes import Route

SIGNAL_OD_MM: Final = 6.0  # a data lead whose diameter is not given: memory
FIRST_TAILS_MM: Final = 1200.0  # both ends out and back, for a first sizing before tails are known
FIRST_STRAIGHT: Final = 1.4  # a way over the straight distance, for a first sizing: memory
GLAND_MM: Final = 10.0  # straight out of a plug or gland: memory

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
    narrow: bool = False  # laid where only so thin a cable passes, apart from the others

    @property
    def asks(self) -> Asks:
        """The question as the router takes it."""
        return self.start, self.goal, self.via, self.avoid


class Requests:
    """All ways wanted, by circuit and pole ("out", "back"), with what decides how they lie.

    A circuit without a way "back" of its own comes back as it went; a link does not come back.
    """

    def __init__(self, circuits: Circuits, ods: Mapping[str, float] | None = None) -> None:
        self.circuits = circuits
        self.ods = dict(ods or {})
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
            if number not in self.ods:
                self.ods[number] = self._first_od(number)
            a, b = self.stop(number, feed), self.stop(number, load)
            own = [] if model.mains else sorted(mains - set(model.via))  # a mains lead's own holes
            avoid = [*model.avoid, *own, *self.too_small(number)]
            self.by_pole[number, "out"] = Request(number, a, b, list(model.via), avoid)
            if back is not None and not circuits.one(number):
                goal = self.stop(number, back)
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
        asked = self.by_pole.get((n, "out"))
        route = asked.route if asked is not None else None
        on_board = self.circuits.on_board(n) is not None
        if on_board and not (c.signal or c.mains) and route is not None:
            return self.first_size(n, route.length_mm).conductor.od_mm
        return self.ods[n]

    def _first_od(self, n: str) -> float:
        """The diameter of a circuit's cable before it is laid."""
        own, c = self.boat.lengths[n].outside_diameter, self.circuits.models[n]
        if own is not None:
            return own.most
        if c.signal or c.mains:
            return SIGNAL_OD_MM
        a, b = self.circuits.feeds[n].terminal.at, self.circuits.loads[n].terminal.at
        return self.first_size(n, FIRST_STRAIGHT * float(np.linalg.norm(a - b))).conductor.od_mm

    def stop(self, n: str, end: End) -> Stop:
        """An end of a circuit's way, with what its cable needs to leave the terminal."""
        t = end.terminal
        feed, load = self.circuits.feeds[n], self.circuits.loads[n]
        limit = SUPPORT_MM
        if is_battery_cable(feed, load):
            limit = FIRST_BATTERY_MM if end.kind == "battery" else BATTERY_SUPPORT_MM
        x, y, z = (float(v) for v in t.at)
        u, v, w = (float(d) for d in t.out)
        lug = LUG_MM if t.stud is not None else GLAND_MM
        own, od = end.place, self.ods[n]
        radius = self.radius_mm(n)
        return Stop(end.piece.space, (x, y, z), (u, v, w), own, od, lug, radius, limit)

    def first_size(self, n: str, length_mm: float) -> Chosen:
        """A first sizing on a way so long, before what feeds it is known."""
        c = self.circuits.models[n]
        name = self.circuits.files.job.job.catalogue
        both = 2 * length_mm * 1.04 + FIRST_TAILS_MM
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


def is_battery_cable(feed: End, load: End) -> bool:
    """True for a cable from a battery to the first thing that guards it, or to another battery."""
    return feed.kind == "battery" and load.kind in ("isolator", "fuse", "battery", "switch")


def tee_stop(boat: Boat, bone: str, tee: str) -> Stop:
    """The place of a tee of a backbone: cable may leave it any way."""
    space, x = boat.tees[bone, tee]
    at = (float(x[0]), float(x[1]), float(x[2]))
    return Stop(space, at, None, "", SIGNAL_OD_MM, 0.0, least_radius_mm(SIGNAL_OD_MM, True))


def bus_stop(piece: Piece, terminal: str) -> Stop:
    """The terminal of an instrument that hangs on a backbone."""
    t = piece.terminals[terminal]
    x, y, z = (float(v) for v in t.at)
    u, v, w = (float(d) for d in t.out)
    own = f"{piece.key}.{terminal.rpartition('.')[0]}" if piece.is_board else piece.key
    radius = least_radius_mm(SIGNAL_OD_MM, True)
    return Stop(piece.space, (x, y, z), (u, v, w), own, SIGNAL_OD_MM, GLAND_MM, radius)


def bus_pairs(circuits: Circuits) -> list[tuple[Stop, Stop]]:
    """Every way wanted for a backbone: from tee to tee, and from a tee to its instruments."""
    boat, out = circuits.boat, []
    for bone, model in circuits.files.job.backbones.items():
        stops = [tee_stop(boat, bone, t) for t in model.tees]
        out += list(zip(stops, stops[1:], strict=False))
        for stop, tee in zip(stops, model.tees.values(), strict=True):
            for d in tee.devices:
                key, _, terminal = d.on.partition(".")
                out.append((stop, bus_stop(boat.pieces[key], terminal)))
    return out
