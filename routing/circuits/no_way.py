"""Why a cable has no way: the rules that bar it are left out one after another until it has one."""

from layout.boat.parts import Boat
from routing.circuits.cables import Barrier, NoWay
from routing.circuits.laying import Routers
from routing.circuits.requests import Request, Requests


def why_no_way(requests: Requests, routers: Routers, n: str) -> NoWay | None:
    """What bars a circuit's feed or return; None when both have a way."""
    c = requests.circuits.models[n]
    out, back = requests.out(n), requests.back(n)
    if out.route is None:
        r, start, goal = out, c.feed, c.load
    elif back is not None and back.route is None:
        r, start, goal = back, c.load, c.returns_to or ""
    else:
        return None
    barrier, keys, nearest = _barrier(requests, routers, n, r)
    return NoWay(barrier, start, goal, tuple(keys), nearest)


def _barrier(
    requests: Requests, routers: Routers, n: str, request: Request
) -> tuple[Barrier, list[str], float]:
    c, router = requests.circuits.models[n], routers.of(n)
    boat: Boat = requests.boat
    small = [*requests.too_small(n), *requests.shut.get(n, [])]
    if c.avoid and router.route(request.start, request.goal, request.via, small) is not None:
        return Barrier.AVOID, list(c.avoid), 0.0
    if small and router.route(request.start, request.goal, request.via, list(c.avoid)) is not None:
        return Barrier.PLUG, small, 0.0
    if c.via and router.route(request.start, request.goal, [], list(c.avoid)) is not None:
        return Barrier.VIA, list(c.via), 0.0
    bare = [hole.key for hole in boat.holes.values() if hole.edge == "bare" and not hole.may_edge]
    if bare:
        other = routers.without(frozenset(bare)).route(
            request.start, request.goal, list(c.via), list(c.avoid)
        )
        if other is not None:
            return Barrier.BARE, [joint for joint in other.joints if joint in bare], 0.0
    faces = frozenset(f"{space.key}.{f}" for space in boat.spaces.values() for f in space.closed)
    open_all = routers.without(faces | frozenset(boat.hazards))
    other = open_all.route(request.start, request.goal, list(c.via), list(c.avoid))
    if other is not None:
        return Barrier.CLOSED, [], other.length_mm
    shut = [
        name
        for name, stop in ((c.feed, request.start), (c.load, request.goal))
        if router.graph.is_shut(stop)
    ]
    if shut and request is requests.out(n):
        return Barrier.TERMINAL, shut, 0.0
    return Barrier.NONE, [], 0.0
