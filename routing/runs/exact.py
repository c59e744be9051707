"""Small shared-run problems closed: the least cost proven by a linear and a whole-number program.

The linear program goes first: it is quick, its bound is close, and its reduced costs rule out most
arcs of most cables (a cable's way over an arc costs at least the bound and the least reduced cost
of a way over that arc). What is left is small enough for the whole-number program.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, OptimizeResult, linprog, milp
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra

from layout.geometry.frames import Array, Ints

NODES: Final = 400  # branches the whole-number program may try
SAME: Final = 1e-6
NO_LESS: Final = 1e-9  # a weight of nought would read as no arc at all


@dataclass(frozen=True, slots=True, eq=False)
class Arcs:
    """Every run as two arcs of a net with `nodes` places: `tail`, `head`, `edge` (a,)."""

    nodes: int
    tail: Ints
    head: Ints
    edge: Ints


@dataclass(frozen=True, slots=True, eq=False)
class FlowProgram:
    """Least fixed cost of open runs and price of arcs: columns are runs, then arcs by cable.

    `flow` keeps each cable's way whole, `link` opens each run a cable uses.
    """

    price: Array
    flow: csr_array
    want: Array
    link: csr_array
    usable: NDArray[np.bool_]
    runs: int

    @classmethod
    def of(cls, arcs: Arcs, fixed: Array, run: Array, starts: Ints, goals: Ints) -> "FlowProgram":
        """The program of `run` (k, m) prices a cable and `fixed` (m,) costs; inf bars a run."""
        count, m = run.shape
        n = len(arcs.tail)
        price = run[:, arcs.edge].ravel()
        usable = np.isfinite(price)
        column = m + np.arange(count * n)
        base = np.repeat(np.arange(count), n)
        rows = np.concatenate(
            [base * arcs.nodes + np.tile(x, count) for x in (arcs.tail, arcs.head)]
        )
        ones = np.ones(count * n)
        shape = (count * arcs.nodes, m + count * n)
        flow = coo_array(
            (np.concatenate([ones, -ones]), (rows, np.concatenate([column, column]))), shape=shape
        )
        want = np.zeros(count * arcs.nodes)
        want[np.arange(count) * arcs.nodes + starts] = 1.0
        want[np.arange(count) * arcs.nodes + goals] = -1.0
        opens = np.arange(count * m)
        link = coo_array(
            (
                np.concatenate([ones, -np.ones(count * m)]),
                (
                    np.concatenate([base * m + np.tile(arcs.edge, count), opens]),
                    np.concatenate([column, opens % m]),
                ),
            ),
            shape=(count * m, m + count * n),
        )
        return cls(
            np.concatenate([fixed, np.where(usable, price, 0.0)]),
            flow.tocsr(),
            want,
            link.tocsr(),
            np.concatenate([np.ones(m, dtype=bool), usable]),
            m,
        )

    def relaxed(self) -> tuple[float, Array] | None:
        """(the linear program's bound, the reduced cost of every column), or None."""
        keep = np.flatnonzero(self.usable)
        rows, link = self._links(keep)
        found = linprog(
            self.price[keep],
            A_ub=link,
            b_ub=np.zeros(len(rows)),
            A_eq=self.flow[:, keep],
            b_eq=self.want,
            method="highs-ds",
        )
        if not found.success:
            return None
        reduced = np.full(len(self.price), np.inf)
        reduced[keep] = np.maximum(found.lower.marginals, 0.0)
        return float(found.fun), reduced

    def whole(self, kept: NDArray[np.bool_]) -> OptimizeResult:
        """The whole-number program over some columns; `x` is given for all."""
        keep = np.flatnonzero(kept & self.usable)
        rows, link = self._links(keep)
        found = milp(
            self.price[keep],
            constraints=[
                LinearConstraint(self.flow[:, keep], self.want, self.want),
                LinearConstraint(link, ub=np.zeros(len(rows))),
            ],
            integrality=(keep < self.runs).astype(int),
            bounds=(0, 1),
            options={"node_limit": NODES},
        )
        if found.x is not None:
            x = np.zeros(len(self.price))
            x[keep] = found.x
            found.x = x
        return found

    def _links(self, keep: Ints) -> tuple[Ints, csr_array]:
        """The links that any kept arc needs."""
        link = self.link[:, keep].tocsr()
        arcs = link[:, keep >= self.runs]
        rows = np.flatnonzero(np.diff(arcs.tocsr().indptr) > 0)
        return rows, link[rows]


def within(arcs: Arcs, ends: tuple[Ints, Ints], reduced: Array, room: float) -> NDArray[np.bool_]:
    """Which arcs of each cable lie on a way whose reduced cost is within `room`: (k, a)."""
    out = np.zeros(reduced.shape, dtype=bool)
    shape = (arcs.nodes, arcs.nodes)
    for k, (start, goal) in enumerate(zip(*ends, strict=True)):
        open_arcs = np.isfinite(reduced[k])
        weight = np.where(open_arcs, reduced[k] + NO_LESS, np.inf)
        parts = (arcs.tail[open_arcs], arcs.head[open_arcs])
        # arcs of one pair of places are not added up but the least is taken
        net = _least(weight[open_arcs], parts, shape)
        there = dijkstra(net, indices=int(start))
        back = dijkstra(net.T.tocsr(), indices=int(goal))
        out[k] = there[arcs.tail] + weight + back[arcs.head] <= room + SAME
    return out


def _least(weight: Array, at: tuple[Ints, Ints], shape: tuple[int, int]) -> csr_array:
    """A matrix with the least of the weights given for each entry."""
    order = np.lexsort((weight, at[1], at[0]))
    tail, head = at[0][order], at[1][order]
    first = np.ones(len(order), dtype=bool)
    first[1:] = (np.diff(tail) != 0) | (np.diff(head) != 0)
    return csr_array((weight[order][first], (tail[first], head[first])), shape=shape)


def closed(
    arcs: Arcs, fixed: Array, run: Array, ends: tuple[Ints, Ints], cost: float
) -> tuple[float, NDArray[np.bool_] | None]:
    """(a bound, which runs a plan of less than `cost` opens or None where none was found)."""
    program = FlowProgram.of(arcs, fixed, run, *ends)
    relaxed = program.relaxed()
    if relaxed is None:
        return 0.0, None
    bound, reduced = relaxed
    if bound >= cost - SAME:
        return bound, None
    opening = reduced[: program.runs]
    by_arc = reduced[program.runs :].reshape(len(run), -1) + opening[arcs.edge]
    kept = within(arcs, ends, by_arc, cost - bound)
    columns = np.concatenate([bound + opening <= cost + SAME, kept.ravel()])
    found = program.whole(columns)
    if found.mip_dual_bound is not None and np.isfinite(found.mip_dual_bound):
        bound = max(bound, min(float(found.mip_dual_bound), cost))
    return bound, None if found.x is None else found.x[: program.runs] > 0.5
