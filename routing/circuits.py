"""Who feeds whom; each circuit's ends, way, length and size: the one function is `cable_all`."""

import difflib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.errors import Finding, JobError, SizeError
from layout.job.models import CircuitModel
from layout.job.reading import JobFiles, shown
from layout.parts import Boat, Terminal, Thing
from layout.sizes import Sizes
from routing.conductors import ENGINE_DEGC, ENGINE_FACTOR, RUNNING_DEGC, Conductor, catalogue
from routing.lengths import OTHER_TAIL_MM, TAIL_MM, Cable, Length, cut_length
from routing.routes import Route, Router, Stop
from routing.ways import ways_of

LEAST_MM2: Final = 1.0  # ISO 10133:2012 7.7, single conductor longer than 200 mm
# Standard fuse ratings: ISO 8820-3 blade sizes, then the bolted sizes of NEC 240.6(A).
FUSES: Final = (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400)


@dataclass(frozen=True, slots=True, eq=False)
class End:
    """One end of a circuit: the thing, its terminal and the kind of part it is on."""

    thing: Thing
    terminal: Terminal
    kind: str
    name: str


class Circuits:
    """The circuits of a job with their ends found. Raises JobError with every problem."""

    def __init__(self, files: JobFiles, boat: Boat) -> None:
        self.files, self.boat = files, boat
        self.findings: list[Finding] = []
        self.models = files.job.circuits
        self.feeds = {n: self._end(c.feed, f"circuits.{n}.feed") for n, c in self.models.items()}
        self.loads = {n: self._end(c.load, f"circuits.{n}.load") for n, c in self.models.items()}
        self.returns = {
            n: self._end(c.returns_to, f"circuits.{n}.returns_to") if c.returns_to else None for n, c in self.models.items()
        }
        self._names()
        self.supply = self._supply()
        if self.findings:
            raise JobError(self.findings)

    def _say(self, key: str, found: str, expected: str, hint: str = "") -> None:
        self.findings.append(Finding(self.files.job_path.name, key, found, expected, hint))

    def _end(self, text: str, key: str) -> End | None:
        thing_name, _, rest = text.partition(".")
        thing = self.boat.things.get(thing_name)
        if thing is None:
            near = difflib.get_close_matches(thing_name, list(self.boat.things), n=1)
            self._say(key, shown(text), "a board or gear and its terminal, like battery.plus", f"did you mean '{near[0]}'?" if near else "")
            return None
        if rest not in thing.terminals:
            near = difflib.get_close_matches(rest, list(thing.terminals), n=1, cutoff=0.3)
            known = ", ".join(list(thing.terminals)[:8]) or "none"
            self._say(key, shown(text), f"a terminal of {thing_name}: {known}", f"did you mean '{thing_name}.{near[0]}'?" if near else "")
            return None
        part = rest.partition(".")[0]
        return End(thing, thing.terminals[rest], thing.parts.get(part, thing.kind), text)

    def _names(self) -> None:
        joints = [*self.boat.holes, *self.boat.pipes]
        for n, c in self.models.items():
            for field, names in (("via", c.via), ("avoid", c.avoid)):
                for i, name in enumerate(names):
                    if name not in joints:
                        near = difflib.get_close_matches(name, joints, n=1)
                        self._say(f"circuits.{n}.{field}[{i + 1}]", shown(name), "the name of a hole or pipe", f"did you mean '{near[0]}'?" if near else "")
            if c.cable is not None and c.cable not in [k.name for k in catalogue(self.files.job.job.catalogue)]:
                sizes = [k.name for k in catalogue(self.files.job.job.catalogue)]
                near = difflib.get_close_matches(c.cable, sizes, n=1)
                self._say(f"circuits.{n}.cable", shown(c.cable), "a size of the catalogue: " + ", ".join(sizes), f"did you mean '{near[0]}'?" if near else "")

    def _supply(self) -> dict[str, str | None]:
        """The circuit that feeds each circuit's feed end; None at a battery or other source."""
        out: dict[str, str | None] = {}
        for n, c in self.models.items():
            feed = self.feeds[n]
            if feed is None or c.mains:
                continue
            if feed.thing.kind in ("battery",) or feed.kind in ("charger", "mains charger"):
                out[n] = None
                continue
            suppliers = [m for m, e in self.loads.items() if e is not None and e.thing.name == feed.thing.name and m != n and not self.models[m].mains and not self.models[m].signal]
            if not suppliers and not c.signal:
                self._say(f"circuits.{n}.feed", shown(c.feed), "a battery, or something another circuit feeds", f"add a circuit whose load is on {feed.thing.name}")
            out[n] = max(suppliers, key=lambda m: self.models[m].amps) if suppliers else None
        for n in out:
            seen = [n]
            while out.get(seen[-1]) is not None:
                following = out[seen[-1]]
                if following is None:
                    break
                if following in seen:
                    self._say(f"circuits.{n}.feed", " -> ".join([*seen, following]), "a feed that leads to a battery", "these circuits feed each other in a circle")
                    return dict.fromkeys(out)
                seen.append(following)
        return out


def cable_all(files: JobFiles, boat: Boat, told: Callable[[str], None] = lambda _: None) -> list[Cable]:
    """Every circuit's cable, in the order of the file. Raises JobError for circuits that make no sense."""
    circuits = Circuits(files, boat)
    stops = [Stop.of(e.thing.space, e.terminal) for ends in (circuits.feeds, circuits.loads, circuits.returns) for e in ends.values() if e is not None]
    told("ways for cable")
    router = Router(boat, ways_of(boat), stops)
    done: dict[str, Cable] = {}
    for n in _feeding_first(circuits):
        told(f"circuit {n}")
        done[n] = _cable(n, circuits, router, done)
    return [done[n] for n in circuits.models]


def _feeding_first(circuits: Circuits) -> list[str]:
    out: list[str] = []
    for n in circuits.models:
        chain = [n]
        while (up := circuits.supply.get(chain[-1])) is not None:
            chain.append(up)
        out += [m for m in reversed(chain) if m not in out]
    return out


def _tail(model_value: object, end: End, key: str) -> float:
    if model_value is not None:
        try:
            return Sizes({}, {}).mm(model_value, key)  # type: ignore[arg-type]
        except SizeError as e:
            raise JobError([Finding("the job file", key, shown(model_value), f"a length: {e}", e.hint)]) from None
    return TAIL_MM.get(end.kind, TAIL_MM["board"] if end.thing.kind == "board" else OTHER_TAIL_MM)


def _cable(n: str, circuits: Circuits, router: Router, done: dict[str, Cable]) -> Cable:
    c, feed, load = circuits.models[n], circuits.feeds[n], circuits.loads[n]
    if feed is None or load is None:
        raise JobError(circuits.findings)
    back_end = circuits.returns[n]
    a, b = Stop.of(feed.thing.space, feed.terminal), Stop.of(load.thing.space, load.terminal)
    route = router.route(a, b, list(c.via), list(c.avoid))
    back = route if back_end is None else router.route(b, Stop.of(back_end.thing.space, back_end.terminal), [], list(c.avoid))
    volts = c.volts if c.volts is not None else circuits.files.job.job.volts
    tails = (_tail(c.tail_feed, feed, f"circuits.{n}.tail_feed"), _tail(c.tail_load, load, f"circuits.{n}.tail_load"))
    loops = sum(e.thing.kind == "board" for e in (feed, load))
    length = cut_length(route.length_mm, *tails, loops) if route else None
    back_length = cut_length(back.length_mm, *tails, loops) if back else None
    upstream = done[up].drop_volt if (up := circuits.supply.get(n)) is not None else 0.0
    straight = float(np.linalg.norm(feed.terminal.at - load.terminal.at))
    sizes = catalogue(circuits.files.job.job.catalogue)
    conductor, decides, own = None, "", 0.0
    straight_size: Conductor | None = None
    hot = route is not None and any(circuits.boat.spaces[s].site == "engine" for s in route.spaces if s in circuits.boat.spaces)
    if not (c.mains or c.signal):
        if length is not None and back_length is not None:
            conductor, decides, own = choose(c, volts, length, back_length, upstream, sizes, hot)
        simple = cut_length(straight, *tails, loops)
        straight_size, _, _ = choose(c, volts, simple, simple, upstream, sizes, hot)
    head = None if c.head is None else Sizes({}, {}).mm(c.head, f"circuits.{n}.head")
    own_od = None if c.outside_diameter is None else Sizes({}, {}).mm(c.outside_diameter, f"circuits.{n}.outside_diameter")
    od = own_od if own_od is not None else (conductor.od_mm if conductor else 6.0)
    return Cable(
        n, c.label, c.feed, c.load, c.amps, volts, c.drop_percent, route, back, length, back_length, conductor, od,
        1 if (c.signal or c.mains or own_od is not None) else 2, head, own, upstream + own, straight, straight_size, decides,
        None if (c.mains or c.signal or c.starter) else fuse_for(c, conductor, hot), c.mains, c.signal, _why_not(c, route, back),
    )


def _why_not(c: CircuitModel, route: Route | None, back: Route | None) -> str:
    if route is not None and back is not None:
        return ""
    through = f" through {', '.join(c.via)}" if c.via else ""
    return f"no way for cable from {c.feed} to {c.load}{through}: open a face, add a hole or a pipe between their spaces"


def choose(
    c: CircuitModel, volts: float, length: Length, back: Length, upstream_volt: float, sizes: tuple[Conductor, ...], hot: bool
) -> tuple[Conductor | None, str, float]:
    """(size, what decided it, drop over this cable): the smallest that carries, and drops, little enough.

    When even the largest drops too much it is returned all the same with "no size is enough".
    """
    degc = ENGINE_DEGC if hot else RUNNING_DEGC
    both_mm = length.cut_mm + back.cut_mm
    allowed = volts * c.drop_percent / 100 - upstream_volt
    decides = "least size"
    for k in sizes:
        if c.cable is not None and k.name != c.cable:
            continue
        own = c.amps * k.ohm(both_mm, degc)
        if c.cable is not None:
            return k, "given", own
        if k.area_mm2 < LEAST_MM2:
            continue
        if k.ampacity_amp * (ENGINE_FACTOR if hot else 1.0) < c.amps:
            decides = "current"
            continue
        if own > allowed and not c.starter:
            decides = "drop"
            continue
        return k, decides, own
    k = sizes[-1]
    return k, "no size is enough", c.amps * k.ohm(both_mm, degc)


def fuse_for(c: CircuitModel, conductor: Conductor | None, hot: bool) -> float | None:
    """The smallest standard fuse above the load that the conductor's ampacity covers."""
    if c.fuse_amp is not None:
        return c.fuse_amp
    if conductor is None:
        return None
    limit = conductor.ampacity_amp * (ENGINE_FACTOR if hot else 1.0)
    return next((float(f) for f in FUSES if c.amps * 1.25 <= f <= limit), next((float(f) for f in FUSES if c.amps <= f <= limit), None))


