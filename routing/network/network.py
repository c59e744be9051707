"""The DC network: node voltages with several sources, resistances, and loads of steady current or
power.

Nodal analysis with Newton's method on the constant-power loads (each is linearised to a current
and a negative conductance about the last voltage). Source of the method: any text on circuit
simulation; the answers are compared with a general circuit simulator in tests and benchmarks.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from layout.geometry.frames import Array, Ints
from routing.errors import RoutingError

LEAST_OHM: Final = 1e-7  # a bare joint: smaller figures are taken as this
SETTLED_VOLT: Final = 1e-9
MOST_STEPS: Final = 60


@dataclass(frozen=True, slots=True)
class Source:
    """A battery or charger: `volt` behind `ohm`, from node `minus` to node `plus`."""

    name: str
    plus: str
    minus: str
    volt: float
    ohm: float


@dataclass(frozen=True, slots=True)
class Branch:
    """A resistance between two nodes: cable, contact, fuse, shunt."""

    name: str
    a: str
    b: str
    ohm: float


@dataclass(frozen=True, slots=True)
class Load:
    """A load that draws steady `amp`, or steady `watt` when `amp` is None."""

    name: str
    plus: str
    minus: str
    amp: float | None = None
    watt: float | None = None


@dataclass(frozen=True, slots=True)
class Solution:
    """Volts of every node against its own source's minus, amps of branches (a to b), sources and
    loads.
    """

    volt: dict[str, float]
    branch_amp: dict[str, float]
    source_amp: dict[str, float]
    load_volt: dict[str, float]
    steps: int


def solve(sources: list[Source], branches: list[Branch], loads: list[Load]) -> Solution:
    """Node voltages in V and currents in A.

    Raises RoutingError for a load that no source feeds, a load between two networks, and a power
    that cannot be delivered through the resistance before it.
    """
    ends = (
        [(s.plus, s.minus) for s in sources]
        + [(d.plus, d.minus) for d in loads]
        + [(r.a, r.b) for r in branches]
    )
    names = list(dict.fromkeys(n for pair in ends for n in pair))
    at = {n: i for i, n in enumerate(names)}
    island, ground = _islands(names, at, sources, branches)
    for load in loads:
        if island[at[load.plus]] not in ground:
            raise RoutingError(
                f"{load.name} has no source: feed it from a battery, or what a battery feeds"
            )
        if island[at[load.plus]] != island[at[load.minus]]:
            raise RoutingError(
                f"{load.name} has its plus on one network and its minus on another: "
                "bring its minus back to the battery that feeds it"
            )
    free = np.array(
        [i for i in range(len(names)) if island[i] in ground and ground[island[i]] != i],
        dtype=np.int64,
    )
    place = np.full(len(names), -1)
    place[free] = np.arange(len(free))
    rows, cols, vals, right = _fixed(sources, branches, at, place, len(free))
    pairs = np.array(
        [[place[at[d.plus]], place[at[d.minus]]] for d in loads], dtype=np.int64
    ).reshape(-1, 2)
    amp = np.array([0.0 if d.amp is None else d.amp for d in loads])
    watt = np.array([0.0 if d.amp is not None else (d.watt or 0.0) for d in loads])
    v, steps = _newton(rows, cols, vals, right, pairs, amp, watt, loads)
    volt = np.zeros(len(names))
    volt[free] = v
    return Solution(
        dict(zip(names, volt.tolist(), strict=True)),
        {r.name: float(volt[at[r.a]] - volt[at[r.b]]) / max(r.ohm, LEAST_OHM) for r in branches},
        {
            s.name: (s.volt - float(volt[at[s.plus]] - volt[at[s.minus]])) / max(s.ohm, LEAST_OHM)
            for s in sources
        },
        {d.name: float(volt[at[d.plus]] - volt[at[d.minus]]) for d in loads},
        steps,
    )


def _islands(
    names: list[str], at: dict[str, int], sources: list[Source], branches: list[Branch]
) -> tuple[Ints, dict[int, int]]:
    """The network each node is on, and the node each network is measured against."""
    from scipy.sparse.csgraph import connected_components

    ends = np.array(
        [[at[x.plus], at[x.minus]] for x in sources] + [[at[r.a], at[r.b]] for r in branches],
        dtype=np.int64,
    ).reshape(-1, 2)
    links = coo_array(
        (np.ones(len(ends)), (ends[:, 0], ends[:, 1])), shape=(len(names), len(names))
    )
    _, island = connected_components(links, directed=False)
    ground: dict[int, int] = {}
    for s in sources:
        ground.setdefault(int(island[at[s.minus]]), at[s.minus])
    return island, ground


def _fixed(
    sources: list[Source], branches: list[Branch], at: dict[str, int], place: Ints, n: int
) -> tuple[list[int], list[int], list[float], Array]:
    """The conductances that never change, as matrix entries, and the currents the sources push."""
    rows: list[int] = []
    cols: list[int] = []
    vals: list[float] = []
    right = np.zeros(n)

    def join(i: int, j: int, g: float) -> None:
        for p, q in ((i, j), (j, i)):
            if p >= 0:
                rows.append(p)
                cols.append(p)
                vals.append(g)
                if q >= 0:
                    rows.append(p)
                    cols.append(q)
                    vals.append(-g)

    for r in branches:
        join(int(place[at[r.a]]), int(place[at[r.b]]), 1.0 / max(r.ohm, LEAST_OHM))
    for s in sources:
        i, j, g = int(place[at[s.plus]]), int(place[at[s.minus]]), 1.0 / max(s.ohm, LEAST_OHM)
        join(i, j, g)
        if i >= 0:
            right[i] += g * s.volt
        if j >= 0:
            right[j] -= g * s.volt
    return rows, cols, vals, right


def _newton(
    rows: list[int],
    cols: list[int],
    vals: list[float],
    right: Array,
    pairs: Ints,
    amp: Array,
    watt: Array,
    loads: list[Load],
) -> tuple[Array, int]:
    """The voltages of the free nodes. Starts from no load, so that it settles on the upper of the
    two answers.
    """
    n = len(right)
    i, j = pairs[:, 0], pairs[:, 1]
    v = splu(coo_array((vals, (rows, cols)), shape=(n, n)).tocsc()).solve(right)
    for step in range(1, MOST_STEPS + 1):
        across = np.where(i >= 0, v[i], 0.0) - np.where(j >= 0, v[j], 0.0)
        if np.any((watt != 0) & (across <= 0)):
            break
        safe = np.where(watt != 0, across, 1.0)
        g = -watt / safe**2  # slope of watt / volt
        draw = amp + np.where(watt != 0, 2 * watt / safe, 0.0)
        r, c, x, b = list(rows), list(cols), list(vals), right.copy()
        for k in range(len(loads)):
            for p, q, sign in ((i[k], j[k], 1.0), (j[k], i[k], -1.0)):
                if p >= 0:
                    b[p] -= sign * draw[k]
                    if g[k] != 0:
                        r.append(int(p))
                        c.append(int(p))
                        x.append(float(g[k]))
                        if q >= 0:
                            r.append(int(p))
                            c.append(int(q))
                            x.append(float(-g[k]))
        new = splu(coo_array((x, (r, c)), shape=(n, n)).tocsc()).solve(b)
        moved = float(np.abs(new - v).max(initial=0.0))
        v = new
        if moved < SETTLED_VOLT:
            return v, step
    across = np.where(i >= 0, v[i], 0.0) - np.where(j >= 0, v[j], 0.0)
    worst = int(np.argmin(np.where(watt != 0, across, np.inf)))
    raise RoutingError(
        f"{loads[worst].name} cannot draw {watt[worst]:g} W through the cable before it: "
        "use a larger cable, a shorter way or a higher voltage"
    )
