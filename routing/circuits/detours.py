"""What rules have added to a route: the route again without each rule alone."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.faces import FACES
from layout.boat.parts import Boat
from routing.circuits.cables import Cable, Detour, DetourRule
from routing.circuits.laying import Laying
from routing.circuits.requests import Asks
from routing.ways.distances import keep_off_mm
from routing.ways.routes import Router
from routing.ways.ways import FaceKey, Ways

NEARLY: Final = 0.98  # of a way over the graph's points, when it is pulled tight
TOLD_FROM_MM: Final = 20.0  # detours shorter than this are not worth telling
# more circuits times rules than this and detours are told as one figure, not rule by rule
MOST_TELLING: Final = 1500


@dataclass(frozen=True, slots=True)
class _Rule:
    """One rule that may lengthen routes, what leaves it out, and the faces it bears on."""

    detour: Detour
    without: frozenset[str]
    faces: frozenset[FaceKey]


def _rules(boat: Boat, ways: Ways) -> list[_Rule]:
    out = []
    for hazard in boat.hazards.values():
        detour = Detour(DetourRule.HAZARD, 0.0, (hazard.key,), keep_off_mm(hazard))
        faces = [k for k, p in ways.patches.items() if f"hazard:{hazard.key}" in p.blockers]
        out.append(_Rule(detour, frozenset([hazard.key]), frozenset(faces)))
    for space in boat.spaces.values():
        for face in space.closed:
            detour = Detour(DetourRule.CLOSED, 0.0, (space.key, face))
            faces = [(space.key, *FACES[face])]
            out.append(_Rule(detour, frozenset([f"{space.key}.{face}"]), frozenset(faces)))
    return out


class _Least:
    """How short each circuit could be at the least by a way over some faces, with no rule at all.

    The graph's points stand apart, so a way pulled tight may be a little shorter still.
    """

    def __init__(self, free: Router, asks: list[Asks]) -> None:
        g = free.graph
        self.on: dict[FaceKey, list[int]] = {}
        for face in g.face_names:
            self.on[face] = list(g.nodes_on(face))
        ends = sorted({g.stop_nodes[stop] for ask in asks for stop in ask[:2]})
        far = {node: g.spread(node, g.length)[0] for node in ends}
        pairs = [(g.stop_nodes[ask[0]], g.stop_nodes[ask[1]]) for ask in asks]
        self.through = [far[a] + far[b] for a, b in pairs]

    def over(self, faces: frozenset[FaceKey]) -> list[float]:
        """The least length of each circuit over any of the faces."""
        nodes = [n for f in faces for n in self.on.get(f, [])]
        return [NEARLY * float(t[nodes].min(initial=np.inf)) for t in self.through]


def find_detours(
    laying: Laying, cables: Mapping[str, Cable], told: Callable[[str], None]
) -> dict[str, tuple[Detour, ...]]:
    """For every rule that lengthens a circuit's route, by how much, the most first."""
    rules = _rules(laying.boat, laying.routers.power.ways)
    everything = frozenset(x for r in rules for x in r.without)
    mine = [
        laying.requests.out(n)
        for n, cable in cables.items()
        if cable.route is not None and laying.circuits.on_board(n) is None
    ]
    free = laying.routers.without(everything)
    longer: dict[str, float] = {}
    straight = free.routes([(r.start, r.goal, [], []) for r in mine])
    for r, least in zip(mine, straight, strict=True):
        route = cables[r.number].route
        if route is None or least is None or r.alone is None:
            continue
        if route.length_mm - least.length_mm > TOLD_FROM_MM:
            longer[r.number] = r.alone.length_mm
    out = {n: _by_choice(laying, cables[n], plain) for n, plain in longer.items()}
    asks = {n: laying.requests.out(n).asks for n in longer}
    if rules and len(rules) * len(cables) > MOST_TELLING:
        faces = frozenset(f for r in rules for f in r.faces)
        rules = [_Rule(Detour(DetourRule.TOGETHER, 0.0), everything, faces)]
    shortest = _Least(free, list(asks.values()))
    for rule in rules:
        over = zip(longer.items(), shortest.over(rule.faces), strict=True)
        may = [n for (n, plain), least in over if plain - least > TOLD_FROM_MM]
        if not may:
            continue
        told("what each rule adds")
        again = laying.routers.without(rule.without).routes([asks[n] for n in may])
        for n, route in zip(may, again, strict=True):
            extra = 0.0 if route is None else longer[n] - route.length_mm
            if extra > TOLD_FROM_MM:
                d = rule.detour
                out[n].append(Detour(d.rule, extra, d.keys, d.value_mm))
    return {n: tuple(sorted(d, key=lambda x: -x.extra_mm)) for n, d in out.items()}


def _by_choice(laying: Laying, cable: Cable, plain_mm: float) -> list[Detour]:
    """What via, avoid, the plug, bends, separation and sharing add to one circuit."""
    n = cable.number
    c, r = laying.circuits.models[n], laying.requests.out(n)
    router = laying.routers.of(n)
    out: list[Detour] = []

    def add(rule: DetourRule, extra_mm: float, value_mm: float = 0.0) -> None:
        if extra_mm > TOLD_FROM_MM:
            out.append(Detour(rule, extra_mm, (), value_mm))

    if c.via or c.avoid:
        asked = router.route(r.start, r.goal, [], [j for j in r.avoid if j not in c.avoid])
        if asked is not None:
            add(DetourRule.ASKED, plain_mm - asked.length_mm)
    plug = laying.requests.plug_mm(n)
    if plug is not None:
        bare = router.route(r.start, r.goal, r.via, list(c.avoid))
        if bare is not None:
            add(DetourRule.PLUG, plain_mm - bare.length_mm, plug)
    if cable.route is not None:
        laid = DetourRule.POWER if c.signal else DetourRule.SHARED
        rule = DetourRule.BEND if n in laying.bent else laid
        add(rule, cable.route.length_mm - plain_mm)
    return out
