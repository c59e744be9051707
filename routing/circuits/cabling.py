"""Every circuit's cable: its way, alone or in a trunk, its length and its size. The one door is `cable_all`.

Power goes first, shared in trunks where that is cheaper; then data and aerial leads, which keep off
power; mains last and alone, for its space and route only. Big heads are pulled first; a head that
does not pass what is in a hole by then takes another way.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.boat.parts import Boat, Hazard
from layout.errors import Finding, JobError, SizeError
from layout.geometry.frames import Array
from layout.job.models import CircuitModel
from layout.job.models import Length as LengthText
from layout.job.reading import JobFiles, shown
from layout.job.sizes import Sizes
from routing.circuits.cables import Cable, Detour
from routing.circuits.circuits import Circuits, End
from routing.runs.looms import LoomPlan
from routing.runs.runs import Run, joint_costs, runs, share
from routing.sizes.conductors import Conductor, catalogue
from routing.sizes.lengths import OTHER_TAIL_MM, TAIL_MM, cut_length
from routing.sizes.sizing import BUNDLE_VOLT, beside, carries, choose, fuse_for
from routing.ways.bends import TightBend, bow_allowance_mm, least_radius_mm, tight_bends
from routing.ways.pulling import passes
from routing.ways.routes import Route, Router, Stop
from routing.ways.separation import beside_power_mm, near_sensor, weights
from routing.ways.ways import ways_of

FEW_TOGETHER: Final = 2
BEND_TRIES: Final = 5
BEND_COST_MM: Final = 300.0  # what a way round a tight bend may cost, and
BEND_DETOUR_MM: Final = 600.0  # how much longer the whole may get for it
NEAR_FOR_DATA: Final = (
    "compass",
    "heading sensor",
)  # power cable keeps off these; a sensor's own lead cannot
SIGNAL_OD_MM: Final = 6.0  # a data lead whose diameter is not given: memory
TOLD_FROM_MM: Final = 20.0  # detours shorter than this are not worth telling
MOST_TELLING: Final = (
    1500  # more circuits x rules than this and detours are told as one figure, not rule by rule
)


@dataclass(slots=True, eq=False)
class Request:
    """One way wanted: a circuit's feed to its load, or its own return."""

    number: str
    start: Stop
    goal: Stop
    via: list[str]
    avoid: list[str]
    route: Route | None = None
    alone: Route | None = None  # its own shortest way, before trunks are shared

    @property
    def asks(self) -> tuple[Stop, Stop, list[str], list[str]]:
        """The question as the router takes it."""
        return self.start, self.goal, self.via, self.avoid


@dataclass(frozen=True, slots=True, eq=False)
class Pull:
    """One step of the pulling order through holes and pipes."""

    number: str
    head_mm: float | None
    through: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Cabling:
    """All cables of a job, the trunks they share, and the order to pull them in."""

    cables: tuple[Cable, ...]
    circuits: Circuits
    router: Router  # over the ways open to data leads
    runs: tuple[Run, ...] = ()
    run_circuits: tuple[tuple[str, ...], ...] = ()
    plans: tuple[tuple[str, LoomPlan], ...] = ()
    pulls: tuple[Pull, ...] = ()


@dataclass(frozen=True, slots=True)
class CableEffort:
    """How long to look for better trunks and cutting plans, s, and whether to tell what each rule adds."""

    trunk_seconds: float = 1.5
    drum_seconds: float = 0.5
    tell_detours: bool = True


AT_ONCE: Final = CableEffort(0.2, 0.05, False)  # for an answer while a size is being changed


def cable_all(
    files: JobFiles,
    boat: Boat,
    told: Callable[[str], None] = lambda _: None,
    effort: CableEffort | None = None,
) -> Cabling:
    """Every circuit's cable, in the order of the file. Raises JobError for circuits that make no sense."""
    return _Work(files, boat, told, effort or CableEffort()).done()


def own_mm(value: LengthText, key: str, least: float = 0.0) -> float:
    """A length written in the job file outside the boat's own sizes, not below `least`. Raises JobError."""
    try:
        mm = Sizes({}, {}).mm(value, key)
    except SizeError as e:
        raise JobError(
            [Finding("the job file", key, shown(value), f"a length: {e}", e.hint)]
        ) from None
    if mm < least:
        raise JobError(
            [
                Finding(
                    "the job file",
                    key,
                    f"{shown(value)} = {mm:g} mm",
                    f"at least {least:g} mm",
                    "a length cannot be less",
                )
            ]
        )
    return mm


class _Work:
    """The steps of cabling one job, each reading what the one before left."""

    def __init__(
        self, files: JobFiles, boat: Boat, told: Callable[[str], None], effort: CableEffort
    ) -> None:
        self.files, self.boat, self.told, self.effort = files, boat, told, effort
        self.circuits = Circuits(files, boat)
        self.models = self.circuits.models
        self.sizes = catalogue(files.job.job.catalogue)
        told("ways for cable")
        ends = [
            e
            for group in (self.circuits.feeds, self.circuits.loads, self.circuits.returns)
            for e in group.values()
            if e is not None
        ]
        self.stops = [Stop.of(e.thing.space, e.terminal) for e in ends]
        self.stops += [
            Stop(space, (float(x[0]), float(x[1]), float(x[2]))) for space, x in boat.tees.values()
        ]
        self.stops += [Stop.of(t.space, x) for t, x in self.circuits.bus_ends]
        self.router = Router(ways_of(boat), self.stops)
        magnets = frozenset(z.name for z in boat.hazards.values() if z.kind in NEAR_FOR_DATA)
        data = bool(files.job.backbones) or any(c.signal for c in self.models.values())
        self.data_router = (
            Router(ways_of(boat, magnets), self.stops) if magnets and data else self.router
        )
        self.heads = {
            n: None if c.head is None else own_mm(c.head, f"circuits.{n}.head", 0.5)
            for n, c in self.models.items()
        }
        self.ods = {
            n: None
            if c.outside_diameter is None
            else own_mm(c.outside_diameter, f"circuits.{n}.outside_diameter", 0.5)
            for n, c in self.models.items()
        }
        self.requests: dict[tuple[str, str], Request] = {}
        for n, c in self.models.items():
            feed, load, back = (
                self._end(self.circuits.feeds[n]),
                self._end(self.circuits.loads[n]),
                self.circuits.returns[n],
            )
            a, b = (
                Stop.of(feed.thing.space, feed.terminal),
                Stop.of(load.thing.space, load.terminal),
            )
            avoid = [*c.avoid, *self._too_small(n)]
            self.requests[n, "out"] = Request(n, a, b, list(c.via), avoid)
            if back is not None:
                self.requests[n, "back"] = Request(
                    n, b, Stop.of(back.thing.space, back.terminal), [], avoid
                )
        self.plans: list[tuple[str, LoomPlan]] = []
        self.shut: dict[
            str, list[str]
        ] = {}  # bores a circuit's head does not pass beside what is in them by then
        self.bent: set[str] = set()  # circuits led round a tight bend

    @staticmethod
    def _end(end: End | None) -> End:
        if end is None:
            raise JobError([])  # cannot be: Circuits has refused it already
        return end

    def _too_small(self, n: str) -> list[str]:
        """Holes and pipes that the circuit's head cannot pass beside what is in them from before."""
        head = self.heads[n]
        if head is None:
            return []
        places = [(h.name, h.bore_mm, h.holds_mm) for h in self.boat.holes.values()] + [
            (p.name, p.bore_mm, p.holds_mm) for p in self.boat.pipes.values()
        ]
        return [name for name, bore, holds in places if not passes(bore, list(holds), head)]

    def done(self) -> Cabling:
        """Route, share, size, and look for what rules have added."""
        self._route(
            "power",
            [
                r
                for r in self.requests.values()
                if not (self.models[r.number].signal or self.models[r.number].mains)
            ],
        )
        self._keep_pairs()
        self._route("data", [r for r in self.requests.values() if self.models[r.number].signal])
        self._route("mains", [r for r in self.requests.values() if self.models[r.number].mains])
        if self.effort.tell_detours:
            self._keep_bends()
        pulls = self._pull_order()
        all_runs = runs([r.route for r in self.requests.values()])
        numbers = [r.number for r in self.requests.values()]
        run_circuits = tuple(
            tuple(dict.fromkeys(numbers[k] for k in run.cables)) for run in all_runs
        )
        bundled: dict[str, int] = {}
        for names in run_circuits:
            for n in names:
                bundled[n] = max(
                    bundled.get(n, 0), sum(1 if self.models[m].signal else 2 for m in names)
                )
        made: dict[str, Cable] = {}
        for n in self._feeding_first():
            made[n] = self._cable(n, made, bundled.get(n, 2))
        extra = self._detours({n: made[n] for n in self.models}) if self.effort.tell_detours else {}
        cables = tuple(replace(made[n], detours=extra.get(n, ())) for n in self.models)
        return Cabling(
            cables,
            self.circuits,
            self.data_router,
            tuple(all_runs),
            run_circuits,
            tuple(self.plans),
            pulls,
        )

    # -- ways --------------------------------------------------------------------------------------

    def _route(self, group: str, mine: list[Request]) -> None:
        """Each by its own shortest way, then shared in trunks where that is cheaper."""
        power = [r.route for r in self.requests.values() if r.route is not None]
        router = self.data_router if group == "data" else self.router
        weight = weights(router.graph, power) if group == "data" and mine and power else None
        self.told(f"ways for {group}")
        plain = router.routes([r.asks for r in mine]) if weight is not None else None
        tight = (
            self.effort.tell_detours
            or group == "mains"
            or not self.files.job.job.looms
            or len(mine) < FEW_TOGETHER
        )
        for k, (r, route) in enumerate(
            zip(mine, router.routes([r.asks for r in mine], weight, tight), strict=True)
        ):
            r.route = route
            r.alone = route if plain is None else plain[k]
        if group == "mains" or not self.files.job.job.looms:
            return
        shared = [r for r in mine if r.route is not None and not r.via]
        if len(shared) < 2:
            for r in shared:
                r.route = router.route(*r.asks, weight)
            return
        self.told("shared trunks")
        rates = self.files.job.rates
        bare = frozenset(h.name for h in self.boat.holes.values() if h.edge == "bare")
        prices = [self._price_per_mm(r) for r in shared]
        routes = [r.route for r in shared if r.route is not None]
        result = share(
            router,
            routes,
            prices,
            [r.avoid for r in shared],
            joint_costs(self.boat, rates, bare),
            rates,
            weight,
            self.effort.trunk_seconds,
        )
        if result.plan.saving <= 0 and tight:
            return
        self.plans.append((group, result.plan))
        for r, route in zip(shared, result.routes, strict=True):
            r.route = route

    def _price_per_mm(self, r: Request) -> float:
        """What a millimetre of the circuit costs: its cable by a first sizing on its own way, and pulling it."""
        c, rates = self.models[r.number], self.files.job.rates
        pull = rates.pull_minutes_per_metre * rates.hour / 60 / 1000
        if c.signal or r.route is None:
            return rates.signal_per_metre / 1000 + pull
        once = cut_length(r.route.length_mm, 300.0, 300.0, 0)
        size, _, _ = choose(c, self._volts(c), once, once, 0.0, self.sizes, False)
        poles = 1 if (r.number, "back") in self.requests else 2
        return (size.price if size else 1.0) * poles / 1000 + pull

    def _keep_pairs(self) -> None:
        """A return that would part from its feed near a compass goes back the way it came."""
        for (n, pole), r in self.requests.items():
            out = self.requests[n, "out"].route
            if pole != "back" or r.route is None or out is None:
                continue
            if any(near_sensor(self.boat, route) for route in (out, r.route)) and set(
                out.joints
            ) != set(r.route.joints):
                r.via = list(reversed(out.joints))
                together = self.router.route(r.start, r.goal, r.via, r.avoid)
                r.route = together if together is not None else r.route

    def _radius(self, n: str) -> float:
        c = self.models[n]
        return (
            own_mm(c.bend_radius, f"circuits.{n}.bend_radius")
            if c.bend_radius is not None
            else least_radius_mm(self._od(n), c.signal)
        )

    def _keep_bends(self) -> None:
        """A way with too little room for a bend is left for another near it that has room, if there is one."""
        for r in self.requests.values():
            if (
                r.route is None or self.models[r.number].signal
            ):  # data leads are laid by what they cross, and bend easily
                continue
            router, radius, first = self._router(r.number), self._radius(r.number), r.route
            weight, best, tried = router.graph.length.copy(), first, first
            for _ in range(BEND_TRIES):
                tight = tight_bends(tried, radius)
                if len(tight) < len(tight_bends(best, radius)):
                    best = tried
                if not tight:
                    break
                for t in tight:
                    _shun(router, tried, t, weight)
                again = router.route(r.start, r.goal, r.via, r.avoid, weight)
                if again is None or again.length_mm > first.length_mm + BEND_DETOUR_MM:
                    break
                tried = again
            if best is not first:
                r.route = best
                self.bent.add(r.number)

    def _pull_order(self) -> tuple[Pull, ...]:
        """Big heads first; a head that does not pass what is in by then is re-routed, or told."""
        inside = {h.name: list(h.holds_mm) for h in self.boat.holes.values()} | {
            p.name: list(p.holds_mm) for p in self.boat.pipes.values()
        }
        bores = {h.name: h.bore_mm for h in self.boat.holes.values()} | {
            p.name: p.bore_mm for p in self.boat.pipes.values()
        }
        order = sorted(self.models, key=lambda n: (-(self.heads[n] or 0.0), -self._od(n)))
        steps: list[Pull] = []
        for n in order:
            head = self.heads[n]
            for pole in ("out", "back"):
                r = self.requests.get((n, pole))
                if r is None:
                    continue
                shut: list[str] = []
                while r.route is not None and head is not None:
                    bad = [
                        j
                        for j in r.route.joints
                        if j in bores and not passes(bores[j], inside[j], head)
                    ]
                    if not bad:
                        break
                    shut += bad
                    r.route = self._router(n).route(r.start, r.goal, r.via, [*r.avoid, *shut])
                self.shut[n] = list(dict.fromkeys([*self.shut.get(n, []), *shut]))
                if r.route is not None:
                    each = (
                        2
                        if pole == "out"
                        and (n, "back") not in self.requests
                        and not self._single(n)
                        else 1
                    )
                    for j in r.route.joints:
                        if j in inside:
                            inside[j] += [self._od(n)] * each
                    through = tuple(j for j in r.route.joints if j in bores)
                    if through:
                        steps.append(Pull(n, head, through))
        return tuple(steps)

    def _router(self, n: str) -> Router:
        return self.data_router if self.models[n].signal else self.router

    def _single(self, n: str) -> bool:
        """True for one sheathed cable rather than two single conductors."""
        c = self.models[n]
        return c.signal or c.mains or self.ods[n] is not None

    def _od(self, n: str) -> float:
        own = self.ods[n]
        if own is not None:
            return own
        if self.models[n].signal or self.models[n].mains:
            return SIGNAL_OD_MM
        r = self.requests[n, "out"].route
        if r is None:
            return SIGNAL_OD_MM
        once = cut_length(r.length_mm, 300.0, 300.0, 0)
        size, _, _ = choose(
            self.models[n], self._volts(self.models[n]), once, once, 0.0, self.sizes, False
        )
        return size.od_mm if size else SIGNAL_OD_MM

    # -- lengths and sizes -------------------------------------------------------------------------

    def _volts(self, c: CircuitModel) -> float:
        return c.volts if c.volts is not None else self.files.job.job.volts

    def _feeding_first(self) -> list[str]:
        out: list[str] = []
        for n in self.models:
            chain = [n]
            while (up := self.circuits.supply.get(chain[-1])) is not None:
                chain.append(up)
            out += [m for m in reversed(chain) if m not in out]
        return out

    def _tail(self, value: LengthText | None, end: End, key: str) -> float:
        if value is not None:
            return own_mm(value, key)
        return TAIL_MM.get(
            end.kind, TAIL_MM["board"] if end.thing.kind == "board" else OTHER_TAIL_MM
        )

    def _cable(self, n: str, made: dict[str, Cable], bundled: int) -> Cable:
        c, feed, load = (
            self.models[n],
            self._end(self.circuits.feeds[n]),
            self._end(self.circuits.loads[n]),
        )
        route = self.requests[n, "out"].route
        own_back = self.requests.get((n, "back"))
        back = route if own_back is None else own_back.route
        volts = self._volts(c)
        tails = (
            self._tail(c.tail_feed, feed, f"circuits.{n}.tail_feed"),
            self._tail(c.tail_load, load, f"circuits.{n}.tail_load"),
        )
        loops = sum(e.thing.kind == "board" for e in (feed, load))
        radius = self._radius(n)
        lengths = [
            None
            if r is None
            else cut_length(r.length_mm, *tails, loops, bow_allowance_mm(r, radius))
            for r in (route, back)
        ]
        upstream = (
            made[up].drop_volt
            if (up := self.circuits.supply.get(n)) is not None and not made[up].starter
            else 0.0
        )
        straight = float(np.linalg.norm(feed.terminal.at - load.terminal.at))
        hot = route is not None and any(
            self.boat.spaces[s].site == "engine" for s in route.spaces if s in self.boat.spaces
        )
        counts = bundled if volts >= BUNDLE_VOLT or self.files.job.job.bundling else 0
        conductor, decides, own = None, "", 0.0
        straight_size: Conductor | None = None
        down = up_size = None
        if not (c.mains or c.signal):
            if lengths[0] is not None and lengths[1] is not None:
                conductor, decides, own = choose(
                    c, volts, lengths[0], lengths[1], upstream, self.sizes, hot, counts
                )
                if conductor is not None:
                    down, up_size = beside(
                        conductor,
                        self.files.job.job.catalogue,
                        c,
                        volts,
                        lengths[0].cut_mm + lengths[1].cut_mm,
                        upstream,
                        hot,
                    )
            simple = cut_length(straight, *tails, loops)
            straight_size, _, _ = choose(
                c, volts, simple, simple, upstream, self.sizes, hot, counts
            )
        od = self.ods[n] or (conductor.od_mm if conductor else SIGNAL_OD_MM)
        power = [
            r.route
            for r in self.requests.values()
            if r.route is not None
            and not (self.models[r.number].signal or self.models[r.number].mains)
        ]
        return Cable(
            n,
            c.label,
            c.feed,
            c.load,
            c.amps,
            volts,
            c.drop_percent,
            route,
            back,
            lengths[0],
            lengths[1],
            conductor,
            od,
            1 if self._single(n) else 2,
            self.heads[n],
            own,
            upstream + own,
            straight,
            straight_size,
            decides,
            None if (c.mains or c.signal or c.starter) else fuse_for(c, conductor, hot, counts),
            c.mains,
            c.signal,
            self._why_not(n, route, back),
            c.starter,
            hot,
            bundled,
            radius,
            tuple(tight_bends(route, radius)) if route is not None else (),
            beside_power_mm(route, power, self.data_router.graph)
            if c.signal and route is not None
            else 0.0,
            down,
            up_size,
            (),
            carries(conductor, hot, counts) if conductor is not None else 0.0,
        )

    def _why_not(self, n: str, route: Route | None, back: Route | None) -> str:
        if route is not None and back is not None:
            return ""
        c, r = self.models[n], self.requests[n, "out" if route is None else "back"]
        small = [*self._too_small(n), *self.shut.get(n, [])]
        if c.avoid and self._router(n).route(r.start, r.goal, r.via, small) is not None:
            return f"no way that avoids {', '.join(self.boat.joint_label(j) for j in c.avoid)}: leave 'avoid' out and there is one"
        if small and self._router(n).route(r.start, r.goal, r.via, list(c.avoid)) is not None:
            head = self.heads[n] or 0.0
            names = ", ".join(self.boat.joint_label(j) for j in small[:3])
            return f"the plug of {head:.0f} mm does not pass {names}: pull it first, drill {head + 2:.0f} mm beside, or use a lead whose plug is fitted after"
        if c.via and self._router(n).route(r.start, r.goal, [], list(c.avoid)) is not None:
            return (
                f"no way through {', '.join(c.via)} in that order: leave 'via' out and there is one"
            )
        bare = [h.name for h in self.boat.holes.values() if h.edge == "bare" and not h.may_edge]
        if bare:
            open_router = Router(ways_of(self.boat, frozenset(bare)), self.stops)
            other = open_router.route(r.start, r.goal, list(c.via), list(c.avoid))
            if other is not None:
                names = ", ".join(self.boat.joint_label(j) for j in other.joints if j in bare)
                return f"the only way is through {names}, whose edge is bare and may not be edged: allow edging there, or cut another hole"
        a, b = (c.feed, c.load) if route is None else (c.load, c.returns_to)
        closed = frozenset(
            f"{s.name}.{f}" for s in self.boat.spaces.values() for f in s.closed
        ) | frozenset(self.boat.hazards)
        other = Router(ways_of(self.boat, closed), self.stops).route(
            r.start, r.goal, list(c.via), list(c.avoid)
        )
        if other is not None:
            return f"no way for cable from {a} to {b} that keeps off closed surfaces and hazards: the nearest is {other.length_mm / 1000:.1f} m across them; open a surface, or add a tray or pipe"
        return f"no way for cable from {a} to {b}: add a hole, pipe or tray between their spaces"

    # -- what rules have added ---------------------------------------------------------------------

    def _detours(self, cables: dict[str, Cable]) -> dict[str, tuple[Detour, ...]]:
        """For every rule that lengthens a route, by how much: the route again without that rule alone."""
        rules: dict[str, frozenset[str]] = {}
        for z in self.boat.hazards.values():
            rules[_hazard_words(z)] = frozenset([z.name])
        for s in self.boat.spaces.values():
            for face, why in s.closed.items():
                rules[f"to keep off the {face} of {s.label} ({why})"] = frozenset(
                    [f"{s.name}.{face}"]
                )
        everything = frozenset(x for names in rules.values() for x in names)
        mine = [self.requests[n, "out"] for n in cables if cables[n].route is not None]
        free = Router(ways_of(self.boat, everything), self.stops).routes(
            [(r.start, r.goal, [], []) for r in mine]
        )
        longer = []
        for r, least in zip(mine, free, strict=True):
            route = cables[r.number].route
            if (
                route is not None
                and least is not None
                and r.alone is not None
                and route.length_mm - least.length_mm > TOLD_FROM_MM
            ):
                longer.append((r.number, r.alone.length_mm))
        out: dict[str, list[Detour]] = {n: [] for n, _ in longer}
        self._detours_by_choice(longer, cables, out)
        asked = [self.requests[n, "out"].asks for n, _ in longer]
        if len(rules) * len(cables) > MOST_TELLING:
            rules = {"to keep off closed surfaces and hazards, together": everything}
        for words, names in rules.items():
            self.told("what each rule adds")
            for (n, plain_mm), without in zip(
                longer,
                Router(ways_of(self.boat, names), self.stops).routes(asked) if names else [],
                strict=bool(names),
            ):
                if without is not None and plain_mm - without.length_mm > TOLD_FROM_MM:
                    out[n].append(Detour(words, plain_mm - without.length_mm))
        return {n: tuple(sorted(d, key=lambda x: -x.extra_mm)) for n, d in out.items()}

    def _detours_by_choice(
        self,
        longer: list[tuple[str, float]],
        cables: dict[str, Cable],
        out: dict[str, list[Detour]],
    ) -> None:
        """What via, avoid, the head, separation and sharing add."""
        for n, plain_mm in longer:
            c, r, route = self.models[n], self.requests[n, "out"], cables[n].route
            if c.via or c.avoid:
                asked = self._router(n).route(
                    r.start, r.goal, [], [j for j in r.avoid if j not in c.avoid]
                )
                if asked is not None and plain_mm - asked.length_mm > TOLD_FROM_MM:
                    out[n].append(
                        Detour(
                            "to go by 'via' and 'avoid' as the job asks", plain_mm - asked.length_mm
                        )
                    )
            if self.heads[n] is not None:
                bare = self._router(n).route(r.start, r.goal, r.via, list(c.avoid))
                if bare is not None and plain_mm - bare.length_mm > TOLD_FROM_MM:
                    out[n].append(
                        Detour(
                            f"to pass its {self.heads[n]:.0f} mm plug", plain_mm - bare.length_mm
                        )
                    )
            if route is not None and route.length_mm - plain_mm > TOLD_FROM_MM:
                words = (
                    "to keep its bend radius"
                    if n in self.bent
                    else (
                        "to keep off power cable"
                        if c.signal
                        else "to lie in the shared trunk, which is cheaper in all"
                    )
                )
                out[n].append(Detour(words, route.length_mm - plain_mm))


def _hazard_words(z: Hazard) -> str:
    from routing.ways.ways import keep_off_mm

    return f"to stay {keep_off_mm(z):.0f} mm from {z.label}"


def _shun(router: Router, route: Route, t: TightBend, weight: Array) -> None:
    """Make the edges at a tight bend dearer."""
    g = router.graph
    node = min(route.nodes, key=lambda i: float(np.linalg.norm(g.points[i] - np.array(t.at))))
    weight[g.edge[g.first[node] : g.first[node + 1]]] += BEND_COST_MM
