"""Every circuit's way, alone or in a shared run.

Power goes first, shared in runs where that is cheaper; then data and aerial leads, which keep off
power; mains last and alone, for its space and route only. Big plugs are pulled first; a plug that
does not pass what is in a hole by then takes another way.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.boat.parts import Boat, Terminal
from layout.geometry.frames import Array
from layout.passage.work import Work, never
from routing.circuits.requests import Request, Requests, bores, bus_pairs
from routing.runs.looms import LoomPlan
from routing.runs.runs import joint_costs, share
from routing.ways.bends import POWER_RADII, TightBend, tight_bends
from routing.ways.distances import CLEAR_MM
from routing.ways.plate import plate_way
from routing.ways.pulling import passes
from routing.ways.routes import Route, Router
from routing.ways.separation import Beside, tracks_off, weights
from routing.ways.ways import Style, ways_of

FEW_TOGETHER: Final = 2
FEW_SHARED, FEW_TIMES = 60, 1.6  # so few cables are soon laid: more tries come nearer to the bound
BESIDE_ITS_FEED: Final = 0.2  # what a way along its feed is worth to a return
LEAST_NARROWER_MM: Final = 1.0
BEND_TRIES: Final = 8
MANY: Final = 100  # of more ways than this tight bends are told, and no other way looked for
MOST_CORNER_MM: Final = 25.0  # kept from a corner at the most, or narrow gaps are lost
BEND_COST_MM: Final = 300.0  # what a way round a tight bend may cost, and
BEND_DETOUR_MM: Final = 600.0  # how much longer the whole may get for it
NEAR_FOR_DATA: Final = ("compass", "heading sensor")  # a sensor's own lead cannot keep off it
Told = Callable[[str], None]


@dataclass(frozen=True, slots=True, eq=False)
class Pull:
    """One step of the pulling order through holes and pipes."""

    number: str
    plug_mm: float | None
    through: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CableEffort:
    """How much work for better runs and cutting plans, and whether to tell what rules add.

    `ended` tells whether a person, or a clock they set, ends the looking for better ones.
    """

    run_work: int = 12_000  # shortest ways laid
    drum_work: int = 480  # linear programs
    tell_detours: bool = True
    share: bool = True
    ended: Callable[[], bool] = never


def past_corner_mm(radius_mm: float) -> float:
    """How far from a square corner the middle of a cable turns so that its bend clears it.

    A bend of radius R cuts (sqrt(2) - 1) R off the corner of the way, along the diagonal.
    """
    bend = POWER_RADII * 2 * radius_mm
    corner = ((radius_mm + CLEAR_MM / 2) + bend * (2**0.5 - 1)) / 2**0.5
    return min(max(corner, radius_mm + CLEAR_MM), MOST_CORNER_MM) if radius_mm else 0.0


class Routers:
    """The routers of one boat: over all ways, and over those open to data leads."""

    def __init__(self, requests: Requests) -> None:
        circuits = requests.circuits
        self.boat: Boat = circuits.boat
        asked = [r for r in requests.all() if circuits.on_board(r.number) is None]
        self.pairs = frozenset((r.start, r.goal) for r in asked)
        self.stops = [s for r in asked for s in (r.start, r.goal)]
        rates = circuits.files.job.rates
        thickest = max((requests.od_mm(r.number) for r in asked), default=0.0)
        self.style = Style(
            thickest / 2, past_corner_mm(thickest / 2), rates.bend_mm, rates.open_panel
        )
        bus = bus_pairs(circuits)
        self.pairs |= frozenset(bus)
        self.stops += [s for pair in bus for s in pair]
        magnets = frozenset(
            hazard.key for hazard in self.boat.hazards.values() if hazard.kind in NEAR_FOR_DATA
        )
        bones = bool(circuits.files.job.backbones)
        data = bones or any(c.signal for c in circuits.models.values())
        self.power = self.without(frozenset())
        self.magnets = magnets if data else frozenset()
        self.data = self.without(self.magnets) if self.magnets else self.power
        self._signals = {number for number, model in circuits.models.items() if model.signal}

    def keep_data_off(self, power: list[Route]) -> None:
        """Lay tracks for data leads as far off power as they are to keep."""
        if self._signals:
            self.data = self.without(self.magnets, tracks_off(power))

    def without(self, rules: frozenset[str], beside: Beside | None = None) -> Router:
        """A router over the ways with some rules left out, and tracks beside some places."""
        return Router(ways_of(self.boat, rules, self.style), self.stops, self.pairs, beside)

    def narrow(self, od_mm: float, data: bool) -> Router:
        """A router over the ways that a cable of one diameter has room on, with no more kept."""
        style = replace(self.style, radius_mm=od_mm / 2, corner_mm=od_mm / 2 + CLEAR_MM)
        rules = self.magnets if data else frozenset[str]()
        return Router(ways_of(self.boat, rules, style), self.stops, self.pairs)

    def of(self, n: str) -> Router:
        """The router of a circuit."""
        return self.data if n in self._signals else self.power


class Laying:
    """Lays every request, group by group, each step reading what the one before left."""

    def __init__(
        self, requests: Requests, routers: Routers, effort: CableEffort, told: Told
    ) -> None:
        self.requests, self.routers, self.effort, self.told = requests, routers, effort, told
        self.circuits = requests.circuits
        self.boat = self.circuits.boat
        self.job = self.circuits.files.job
        self.plans: list[tuple[str, LoomPlan]] = []
        self.bent: set[str] = set()  # circuits led round a tight bend

    def lay(self) -> tuple[Pull, ...]:
        """Route and share everything; the order of pulling."""
        for r in self.requests.group("board"):
            self._over_plate(r)
        self._group("power")
        self._keep_pairs()
        self._group("data")
        self._group("mains")
        if self.effort.tell_detours and len(self.requests.by_pole) <= MANY:
            self._keep_bends()
        return self._pull_order()

    def _over_plate(self, request: Request) -> None:
        """A link's way over its own board."""
        n = request.number
        board = self.circuits.on_board(n)
        if board is not None:
            feed, load = self._terminals(n, request is self.requests.back(n))
            for _ in range(2):  # its size follows from its length, and its way from its size
                request.route = plate_way(board, feed, load, self.requests.od_mm(n))
            request.alone = request.route

    def _terminals(self, n: str, back: bool) -> tuple[Terminal, Terminal]:
        """Both terminals of a conductor over a board, the very studs where they are dealt."""
        c = self.circuits
        poles = ("minus",) if back else ("plus", "minus")
        dealt = next((c.ends[n, pole] for pole in poles if (n, pole) in c.ends), None)
        if dealt is not None:
            return dealt
        home = c.returns[n]
        feed = home if back and home is not None else c.feeds[n]
        return feed.terminal, c.loads[n].terminal

    def _group(self, group: str) -> None:
        """Each by its own shortest way, then shared in runs where that is cheaper."""
        mine = self.requests.group(group)
        if not mine:
            return
        self.told(f"routes for {group}")
        power = [r.route for r in self.requests.all() if r.route is not None]
        if group == "data":
            self.routers.keep_data_off(power)
        router = self.routers.data if group == "data" else self.routers.power
        weight = weights(router.graph, power) if group == "data" and power else None
        asks = [r.asks for r in mine]
        plain = router.routes(asks) if weight is not None else None
        shares = self.effort.share and self.job.job.share_runs and group != "mains"
        tight = self.effort.tell_detours or not shares or len(mine) < FEW_TOGETHER
        for k, (r, route) in enumerate(zip(mine, router.routes(asks, weight, tight), strict=True)):
            r.route = route
            r.alone = route if plain is None else plain[k]
            if route is None:
                self._through_narrows(r, data=group == "data")
        if shares:
            self._share(group, mine, router, weight, tight)

    def _through_narrows(self, request: Request, data: bool) -> None:
        """A way where only this cable's own thickness is kept clear; it is laid apart."""
        od = self.requests.od_mm(request.number)
        if od / 2 + CLEAR_MM < self.routers.style.corner_mm - LEAST_NARROWER_MM:
            request.route = self.routers.narrow(od, data).route(*request.asks)
            request.narrow = request.route is not None

    def _share(
        self, group: str, mine: list[Request], router: Router, weight: Array | None, tight: bool
    ) -> None:
        shared = [r for r in mine if r.route is not None and not r.via and not r.narrow]
        if len(shared) < FEW_TOGETHER:
            for r in shared:
                r.route = router.route(*r.asks, weight)
            return
        self.told("shared runs")
        times = FEW_TIMES if len(shared) <= FEW_SHARED else 1.0
        bare = frozenset(hole.key for hole in self.boat.holes.values() if hole.edge == "bare")
        result = share(
            router,
            [r.route for r in shared if r.route is not None],
            [self._price_per_mm(r) for r in shared],
            [r.avoid for r in shared],
            joint_costs(self.boat, self.job.rates, bare),
            self.job.rates,
            weight,
            Work(int(self.effort.run_work * times), ended=self.effort.ended),
        )
        if result.plan.saving <= 0 and tight:
            return
        self.plans.append((group, result.plan))
        for r, route in zip(shared, result.routes, strict=True):
            r.route = route

    def _price_per_mm(self, request: Request) -> float:
        """What a millimetre of a circuit costs: its cable by a first sizing, and pulling it."""
        c, rates = self.circuits.models[request.number], self.job.rates
        pull = rates.pull_minutes_per_metre * rates.hour / 60 / 1000
        if c.signal or request.route is None:
            return rates.signal_per_metre / 1000 + pull
        size = self.requests.first_size(request.number, request.route.length_mm).conductor
        own = self.requests.back(request.number) is not None or self.circuits.one(request.number)
        poles = 1 if own else 2
        return size.price * poles / 1000 + pull

    def _keep_pairs(self) -> None:
        """A return of its own lies with its feed: through the same holes, and beside it."""
        g = self.routers.power.graph
        for n in self.circuits.models:
            back, out = self.requests.back(n), self.requests.out(n).route
            apart = back is None or back.narrow or self.requests.out(n).narrow
            on_board = self.circuits.on_board(n) is not None
            if back is None or back.route is None or out is None or apart or on_board:
                continue
            weight = g.cost.copy()
            along = g.edges_along(out.nodes)
            along = along[(g.edge_face[along] >= 0) | (g.edge_joint[along] >= 0)]
            weight[along] *= BESIDE_ITS_FEED
            via = list(reversed(out.joints)) if set(out.joints) != set(back.route.joints) else []
            together = self.routers.power.route(back.start, back.goal, via, back.avoid, weight)
            if together is not None:
                back.via, back.route = via, together

    def _keep_bends(self) -> None:
        """A way with too little room for a bend is left for another near it that has room."""
        for r in self.requests.all():
            # data leads are laid by what they cross, and bend easily
            board = self.circuits.on_board(r.number)
            bends = board is None and not r.narrow and not self.circuits.models[r.number].signal
            if r.route is not None and bends:
                better = self._with_room(r, r.route)
                if better is not r.route:
                    r.route = better
                    self.bent.add(r.number)

    def _with_room(self, request: Request, first: Route) -> Route:
        """The way with the fewest tight bends of a few tried."""
        radius = self.requests.radius_mm(request.number)
        best, tried = first, first
        weight: Array | None = None
        router = self.routers.of(request.number)
        fewest = np.inf
        for _ in range(BEND_TRIES):
            tight = tight_bends(tried, radius)
            if len(tight) < fewest:
                best, fewest = tried, len(tight)
            if not tight:
                break
            weight = router.graph.cost.copy() if weight is None else weight
            for t in tight:
                _shun(router, tried, t, weight)
            again = router.route(*request.asks, weight)
            if again is None or again.length_mm > first.length_mm + BEND_DETOUR_MM:
                break
            tried = again
        return best

    def _pull_order(self) -> tuple[Pull, ...]:
        """Big plugs first; one that does not pass what is in by then is re-routed, or told."""
        inside = {key: list(holds) for key, _, holds in bores(self.boat)}
        bore = {key: b for key, b, _ in bores(self.boat)}
        ods = {n: self.requests.od_mm(n) for n in self.circuits.models}
        order = sorted(
            self.circuits.models, key=lambda n: (-(self.requests.plug_mm(n) or 0.0), -ods[n])
        )
        steps: list[Pull] = []
        for n in order:
            for pole in ("out", "back"):
                r = self.requests.by_pole.get((n, pole))
                if r is None:
                    continue
                self._past_plugs(n, r, bore, inside)
                if r.route is None:
                    continue
                pair = pole == "out" and self.requests.back(n) is None
                each = 2 if pair and not self.circuits.single(n) else 1
                through = tuple(joint for joint in r.route.joints if joint in bore)
                for j in through:
                    inside[j] += [ods[n]] * each
                if through:
                    steps.append(Pull(n, self.requests.plug_mm(n), through))
        return tuple(steps)

    def _past_plugs(
        self, n: str, request: Request, bore: dict[str, float], inside: dict[str, list[float]]
    ) -> None:
        """Re-route a request whose plug does not pass what lies in a hole by now."""
        plug = self.requests.plug_mm(n)
        shut: list[str] = []
        while request.route is not None and plug is not None:
            bad = [
                joint
                for joint in request.route.joints
                if joint in bore and not passes(bore[joint], inside[joint], plug)
            ]
            if not bad:
                break
            if set(bad) & {*shut, *request.via}:  # it was asked to go there, and does not pass
                request.route = None
                shut += bad
                break
            shut += bad
            avoid = [*request.avoid, *shut]
            request.route = self.routers.of(n).route(
                request.start, request.goal, request.via, avoid
            )
        self.requests.shut[n] = list(dict.fromkeys([*self.requests.shut.get(n, []), *shut]))


def _shun(router: Router, route: Route, t: TightBend, weight: Array) -> None:
    """Make what makes a tight bend dearer: the lead it is in, or the turn at its place."""
    g = router.graph
    at = np.array(t.at)
    nodes = np.array(route.nodes)
    away = np.linalg.norm(g.points[nodes] - at, axis=1)
    for e in g.edges_along(route.nodes).tolist():
        row = g.rows[e] if e < len(g.rows) else None
        if row is not None and row.points is not None:
            in_lead = float(np.linalg.norm(row.points - at, axis=1).min())
            if in_lead <= float(away.min()):
                weight[e] += BEND_COST_MM
                return
    node = int(nodes[int(np.argmin(away))])
    mine = g.edge[g.first[node] : g.first[node + 1]]
    turns = mine[(g.edge_face[mine] < 0) & (g.length[mine] == 0.0)]  # on tracks, the bends alone
    weight[turns if len(turns) else mine] += BEND_COST_MM
