"""Every circuit's cable whole: its way, its length and its size. The one door is `cable_all`."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.boat.parts import Reading
from routing.circuits.cables import Cable, Laid
from routing.circuits.circuits import Circuits, End
from routing.circuits.detours import find_detours
from routing.circuits.laying import CableEffort, Laying, Pull, Routers
from routing.circuits.no_way import why_no_way
from routing.circuits.requests import SIGNAL_OD_MM, Requests
from routing.runs.looms import LoomPlan
from routing.runs.runs import Run, runs
from routing.sizes.ends import largest_mm2
from routing.sizes.lengths import Length, cut_length, usual_tail_mm
from routing.sizes.loops import service_loop, swing_slack_mm
from routing.sizes.sizing import (
    SAME_MM2,
    Lies,
    able_sizes,
    asked_of,
    choose,
    counts_in_bundle,
    fuse_for,
)
from routing.sizes.tree import Sized, TreePlan, share_drop
from routing.ways.bends import bow_allowance_mm, least_radius_mm, tight_bends
from routing.ways.pulled import pulled_straight_mm
from routing.ways.routes import Route, Router
from routing.ways.separation import beside_power_mm
from routing.ways.ways import Ways

MOST_ROUNDS: Final = 4  # of laying, until no cable is thicker than its way was laid for
SAME_MM: Final = 0.01
SHARED_LONGER: Final = 1.2  # a way in a shared run over its own, supposed before it is laid
BESIDE_PLACE_MM: Final = 50.0  # a data lead beside power for so long is told where


@dataclass(frozen=True, slots=True, eq=False)
class Cabling:
    """All cables of a job, the runs they share, and the order to pull them in."""

    cables: tuple[Cable, ...]
    circuits: Circuits
    router: Router  # over the ways open to data leads
    power: Router
    runs: tuple[Run, ...] = ()
    run_circuits: tuple[tuple[str, ...], ...] = ()
    plans: tuple[tuple[str, LoomPlan], ...] = ()
    pulls: tuple[Pull, ...] = ()
    tree: TreePlan | None = None  # how the drop was shared between what feeds and what is fed

    @property
    def ways(self) -> Ways:
        """Where power may lie."""
        return self.power.ways

    def by_number(self) -> dict[str, Cable]:
        """The cables by their circuits' numbers."""
        return {cable.number: cable for cable in self.cables}


def cable_all(
    circuits: Circuits,
    told: Callable[[str], None] = lambda _: None,
    effort: CableEffort | None = None,
) -> Cabling:
    """Every circuit's cable, in the order of the file."""
    effort = effort or CableEffort()
    ods = _settled_diameters(circuits, effort)
    for _ in range(MOST_ROUNDS):
        cabling, thicker = _cabled(circuits, told, effort, ods)
        if not thicker:
            break
        ods |= thicker  # a lead needs the room of the cable really chosen
    return cabling


def _settled_diameters(circuits: Circuits, effort: CableEffort) -> dict[str, float]:
    """The diameter of each circuit's cable by a first laying, each by its own way."""
    quick = replace(effort, share=False, tell_detours=False)
    requests = Requests(circuits)
    routers = Routers(requests)
    laying = Laying(requests, routers, quick, lambda _: None)
    laying.lay()
    maker = _Maker(circuits, requests, routers, {})
    sizes = maker.shared_drop(SHARED_LONGER).sizes
    return {n: sizes[n].od_mm if n in sizes else od for n, od in requests.ods.items()}


def _cabled(
    circuits: Circuits, told: Callable[[str], None], effort: CableEffort, ods: dict[str, float]
) -> tuple[Cabling, dict[str, float]]:
    """(every cable, the diameters of those that came out thicker than was supposed)."""
    told("where cable may lie")
    requests = Requests(circuits, ods)
    routers = Routers(requests)
    laying = Laying(requests, routers, effort, told)
    pulls = laying.lay()
    everything = requests.all()
    all_runs = runs([r.route for r in everything])
    numbers = [r.number for r in everything]
    run_circuits = tuple(tuple(dict.fromkeys(numbers[k] for k in run.cables)) for run in all_runs)
    maker = _Maker(circuits, requests, routers, _bundled(circuits, run_circuits))
    told("sizes")
    tree = maker.shared_drop()
    made: dict[str, Cable] = {}
    for n in _feeding_first(circuits):
        made[n] = maker.cable(n, made, tree)
    made = {n: made[n] for n in circuits.models}
    thicker = {
        n: c.od_mm
        for n, c in made.items()
        if c.conductor and c.od_mm > requests.ods[n] + SAME_MM and circuits.on_board(n) is None
    }
    if thicker:
        effort = replace(effort, tell_detours=False)  # it is laid again
    extra = find_detours(laying, made, told) if effort.tell_detours else {}
    cables = tuple(replace(c, detours=extra.get(n, ())) for n, c in made.items())
    whole = Cabling(
        cables,
        circuits,
        routers.data,
        routers.power,
        tuple(all_runs),
        run_circuits,
        tuple(laying.plans),
        pulls,
        tree,
    )
    return whole, thicker


def _bundled(circuits: Circuits, run_circuits: tuple[tuple[str, ...], ...]) -> dict[str, int]:
    """The most conductors that lie beside each circuit in any run, its own among them."""
    out: dict[str, int] = {}
    for names in run_circuits:
        count = sum(1 if circuits.models[m].signal else 2 for m in names)
        for n in names:
            out[n] = max(out.get(n, 0), count)
    return out


def _feeding_first(circuits: Circuits) -> list[str]:
    """The circuits with those that feed others before them."""
    out: list[str] = []
    for n in circuits.models:
        out += [m for m in (*reversed(circuits.above(n)), n) if m not in out]
    return out


def _swing_mm(route: Route, feed: End, load: End) -> float:
    """What a cable keeps free outside, so that it can follow what tilts and turns at its ends."""
    out = 0.0
    for leg, end in ((route.legs[0], feed), (route.legs[-1], load)):
        if leg.kind == "outside":
            gland = max(
                (leg.points[0], leg.points[-1]),
                key=lambda p: float(np.linalg.norm(p - end.terminal.at)),
            )
            out += swing_slack_mm(end.piece.swing, end.terminal.at, gland)
    return out


class _Maker:
    """Makes each circuit's cable from the way it was laid."""

    def __init__(
        self, circuits: Circuits, requests: Requests, routers: Routers, bundled: dict[str, int]
    ) -> None:
        self.circuits, self.requests, self.routers = circuits, requests, routers
        self.bundled = bundled
        self.power = [r.route for r in requests.group("power") if r.route is not None]

    def _tail(self, given: Reading | None, end: End) -> Reading:
        if given is not None:
            return given
        lead = end.terminal.lead_mm
        return Reading(usual_tail_mm(end.kind, end.piece.is_board, lead))

    def _link_length(self, n: str, mm: float) -> Length:
        """A link's cut length: from stud to stud; it ends in its lugs some 10 mm short of either,
        which is left for trimming.
        """
        own = self.circuits.boat.lengths[n]
        given = [x if x is not None else Reading(0.0) for x in (own.tail_feed, own.tail_load)]
        doubt = given[0].plus_minus_mm + given[1].plus_minus_mm
        return cut_length(mm, given[0].mm, given[1].mm, 0.0, 0.0, doubt)

    def _length(
        self, n: str, route: Route | None, straight_mm: float, radius: float
    ) -> Length | None:
        """The cut length over a route, or over a straight line of so many mm for no route."""
        if self.circuits.on_board(n) is not None or self.circuits.models[n].link:
            return self._link_length(n, straight_mm if route is None else route.length_mm)
        own = self.circuits.boat.lengths[n]
        feed, load = self.circuits.feeds[n], self.circuits.loads[n]
        tails = self._tail(own.tail_feed, feed), self._tail(own.tail_load, load)
        loop = sum(service_loop(e.piece, e.terminal).length_mm for e in (feed, load))
        swing = 0.0 if route is None else _swing_mm(route, feed, load)
        mm = straight_mm if route is None else route.length_mm
        bends = 0.0 if route is None else bow_allowance_mm(route, radius)
        doubt = tails[0].plus_minus_mm + tails[1].plus_minus_mm
        return cut_length(mm, tails[0].mm, tails[1].mm, loop, bends, doubt, swing)

    def _lies(self, n: str, route: Route | None) -> Lies:
        """How a circuit lies; heat counts on its return too."""
        spaces, own_back = self.circuits.boat.spaces, self.requests.back(n)
        ways = [route, own_back.route if own_back is not None else None]
        hot = any(
            spaces[s].site == "engine"
            for way in ways
            if way is not None
            for s in way.spaces
            if s in spaces
        )
        asked = self.circuits.files.job.job.bundling
        beside = self.bundled.get(n, 2)
        return self.requests.lies(hot, counts_in_bundle(self.circuits.volts(n), beside, asked))

    def _lengths(self, n: str) -> tuple[Length | None, Length | None]:
        """(out, back): what is cut for a circuit; a link has no back."""
        radius, own_back = self.requests.radius_mm(n), self.requests.back(n)
        out = self.requests.out(n).route
        length = None if out is None else self._length(n, out, 0.0, radius)
        if self.circuits.one(n):
            return length, None
        back = out if own_back is None else own_back.route
        return length, None if back is None else self._length(n, back, 0.0, radius)

    def shared_drop(self, longer: float = 1.0) -> TreePlan:
        """The sizes that cost least in all for what every path may drop, all so much longer."""
        circuits = self.circuits
        sized = []
        for n in circuits.models:
            length, back = self._lengths(n)
            c = circuits.models[n]
            whole = length is not None and (circuits.one(n) or back is not None)
            if c.mains or c.signal or not whole:
                continue
            both = longer * sum(x.cut_mm for x in (length, back) if x is not None)
            sized.append(self._to_size(n, both))
        return share_drop(sized)

    def _to_size(self, n: str, both_mm: float) -> Sized:
        """What a circuit may have: every size that carries it and its fuse."""
        circuits, c = self.circuits, self.circuits.models[n]
        lies, name = self._lies(n, self.requests.out(n).route), circuits.files.job.job.catalogue
        sizes = able_sizes(c, name, lies, self.requests.guard_amp(n))
        most = min(largest_mm2(circuits.feeds[n].terminal), largest_mm2(circuits.loads[n].terminal))
        limit = None if c.starter else circuits.volts(n) * circuits.drop_percent(n) / 100
        up = circuits.supply.get(n)
        return Sized(
            n,
            None if up is None or circuits.models[up].starter else up,
            sizes,
            tuple(k.price * both_mm / 1000 for k in sizes),
            tuple(0.0 if c.starter else c.amps * k.ohm(both_mm, lies.degc) for k in sizes),
            tuple(k.area_mm2 <= most + SAME_MM2 for k in sizes),
            None if c.link and c.drop_percent is None else limit,
            c.brief,
            circuits.steady_share(n),
        )

    def _upstream_volt(self, n: str, made: dict[str, Cable]) -> float:
        """The drop of the cables before a circuit, while it is on: without what is brief, where it
        is not so itself.
        """
        out = 0.0
        for up in self.circuits.above(n):
            cable = made[up]
            if cable.starter and not self.circuits.models[n].starter:
                break
            if cable.chosen is not None:
                whole = self.circuits.models[n].brief or cable.starter
                share = 1.0 if whole else self.circuits.steady_share(up)
                out += share * cable.chosen.own_drop_volt
        return out

    def cable(self, n: str, made: dict[str, Cable], tree: TreePlan) -> Cable:
        """One circuit's cable; those that feed it are made already."""
        circuits, c = self.circuits, self.circuits.models[n]
        feed, load = circuits.feeds[n], circuits.loads[n]
        own_back = self.requests.back(n)
        out = self.requests.out(n).route
        back = out if own_back is None else own_back.route
        laid = Laid(out, None if circuits.one(n) else back, 1 if circuits.single(n) else 2)
        radius, volts = self.requests.radius_mm(n), circuits.volts(n)
        length, back_length = self._lengths(n)
        straight = float(np.linalg.norm(feed.terminal.at - load.terminal.at))
        upstream = self._upstream_volt(n, made)
        lies, name = self._lies(n, out), circuits.files.job.job.catalogue
        chosen = plain = None
        if not (c.mains or c.signal):
            drop, asked = circuits.drop_percent(n), asked_of(c, self.requests.guard_amp(n))
            if n in tree.sizes:
                both = sum(x.cut_mm for x in (length, back_length) if x is not None)
                least = tree.sizes[n].area_mm2
                chosen = choose(asked, volts, both, upstream, name, lies, True, drop, least)
            simple = self._length(n, None, straight, radius)
            both = 0.0 if simple is None else (1 if circuits.one(n) else 2) * simple.cut_mm
            plain = choose(asked, volts, both, upstream, name, lies, True, drop).conductor
        od = circuits.boat.lengths[n].outside_diameter
        size_od = chosen.conductor.od_mm if chosen is not None else SIGNAL_OD_MM
        if chosen is not None and circuits.boat.lengths[n].bend_radius is None and od is None:
            radius = least_radius_mm(size_od, c.signal)  # of the cable really chosen
        beside: dict[str, float] = {}
        if c.signal and out is not None:
            beside = beside_power_mm(out, self.power, self.routers.data.graph)
        exempt = c.mains or c.signal or c.starter or c.link
        return Cable(
            n,
            c.label,
            feed.name,
            load.name,
            c.amps,
            volts,
            circuits.drop_percent(n),
            c.mains,
            c.signal,
            c.starter,
            c.link,
            circuits.one(n),
            laid,
            length,
            back_length,
            chosen,
            straight,
            plain,
            None if exempt else fuse_for(c, chosen),
            od.mm if od is not None else size_od,
            self.requests.plug_mm(n),
            radius,
            lies.hot,
            self.bundled.get(n, 2),
            tuple(b for way in dict.fromkeys((out, back)) if way for b in tight_bends(way, radius)),
            sum(beside.values()),
            why_no_way(self.requests, self.routers, n),
            beside_in=tuple(s for s, mm in beside.items() if mm > BESIDE_PLACE_MM),
            pulled_mm=None if out is None else pulled_straight_mm(self.routers.of(n).ways, out),
        )
