"""What rules have added to a route: the route again without each rule alone."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from layout.boat.parts import Boat
from routing.circuits.cables import Cable, Detour, DetourRule
from routing.circuits.laying import Laying
from routing.ways.ways import keep_off_mm

TOLD_FROM_MM: Final = 20.0  # detours shorter than this are not worth telling
# more circuits times rules than this and detours are told as one figure, not rule by rule
MOST_TELLING: Final = 1500


@dataclass(frozen=True, slots=True)
class _Rule:
    """One rule that may lengthen routes, and what leaves it out."""

    detour: Detour
    without: frozenset[str]


def _rules(boat: Boat) -> list[_Rule]:
    out = []
    for z in boat.hazards.values():
        detour = Detour(DetourRule.HAZARD, 0.0, (z.key,), keep_off_mm(z))
        out.append(_Rule(detour, frozenset([z.key])))
    for s in boat.spaces.values():
        for face in s.closed:
            detour = Detour(DetourRule.CLOSED, 0.0, (s.key, face))
            out.append(_Rule(detour, frozenset([f"{s.key}.{face}"])))
    return out


def find_detours(
    laying: Laying, cables: Mapping[str, Cable], told: Callable[[str], None]
) -> dict[str, tuple[Detour, ...]]:
    """For every rule that lengthens a circuit's route, by how much, the most first."""
    rules = _rules(laying.boat)
    everything = frozenset(x for r in rules for x in r.without)
    mine = [laying.requests.out(n) for n, c in cables.items() if c.route is not None]
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
    asked = [laying.requests.out(n).asks for n in longer]
    if rules and len(rules) * len(cables) > MOST_TELLING:
        rules = [_Rule(Detour(DetourRule.TOGETHER, 0.0), everything)]
    for rule in rules if asked else []:
        told("what each rule adds")
        again = laying.routers.without(rule.without).routes(asked)
        for (n, plain), route in zip(longer.items(), again, strict=True):
            extra = 0.0 if route is None else plain - route.length_mm
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
