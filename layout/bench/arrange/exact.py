"""The same question as a constraint program: a better arrangement, and the least there can be.

Pairs of boxes that may not meet are put on one side of each other (four ways); bodies are held
apart once more as a two-dimensional no-overlap, which the solver reasons about best. Lengths are
half millimetres, rounded so that what is found holds and what is ruled out is ruled out: sizes up
for an arrangement, and the bound is told for those sizes. Work is counted by the solver, not timed.
"""

from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING, Any, Final

from layout.bench.arrange.kit import STUDS_APART_MM, Arrays, Kit
from layout.boat.parts import LUG_MM

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from layout.bench.arrange.packing import Down

UNIT: Final = 2  # half millimetres
EASE: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Exact:
    """What the program found: places and turns (None where it found no better), its cost in the
    objective's unit, the least it could prove, and whether there is none at all.
    """

    places: tuple[tuple[float, float, int], ...] | None
    plate_mm: tuple[float, float]
    cost: float
    bound: float
    none: bool


@dataclass(frozen=True, slots=True)
class Weights:
    """What a square millimetre of plate and a millimetre of link count."""

    area: float = 1.0
    link: float = 0.0


def solve(
    kit: Kit, arrays: Arrays, weights: Weights, hint: "Down | None", work: float, seed: int = 1
) -> Exact:
    """Look for a cheaper arrangement and prove how cheap one can be."""
    from ortools.sat.python import cp_model

    program = _Program(kit, arrays, weights)
    if hint is not None:
        program.hinted(hint)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1  # the same on any machine, by counted work
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = work
    status = solver.solve(program.m)
    unit = program.unit
    if status == cp_model.INFEASIBLE:
        return Exact(None, (0.0, 0.0), 0.0, 0.0, True)
    bound = max(solver.best_objective_bound, 0.0) / unit
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Exact(None, (0.0, 0.0), 0.0, bound, False)
    return Exact(
        program.read(solver),
        (solver.value(program.wide) / UNIT, solver.value(program.high) / UNIT),
        solver.objective_value / unit,
        bound,
        False,
    )


class _Program:
    """The variables and rules of one kit."""

    def __init__(self, kit: Kit, k: Arrays, weights: Weights) -> None:
        from ortools.sat.python import cp_model

        self.kit, self.k, self.weights = kit, k, weights
        self.n = len(k.n_turns)
        self.m: cp_model.CpModel = cp_model.CpModel()
        most = [floor(v * UNIT) for v in kit.most_mm]
        self.most = most
        self.wide = self.m.new_int_var(0, most[0], "wide")
        self.high = self.m.new_int_var(0, most[1], "high")
        self.x = [self.m.new_int_var(-most[0], 2 * most[0], f"x{i}") for i in range(self.n)]
        self.y = [self.m.new_int_var(-most[1], 2 * most[1], f"y{i}") for i in range(self.n)]
        self.t = [
            [self.m.new_bool_var(f"t{i}.{q}") for q in range(int(k.n_turns[i]))]
            for i in range(self.n)
        ]
        for i in range(self.n):
            self.m.add_exactly_one(self.t[i])
        self._on_plate()
        self._bodies()
        self._pairs()
        self._objective()

    def _edge(self, i: int, table: Any, side: int, up: bool) -> Any:
        """An edge of a box of a part: its place with what each turn adds."""
        rounded = [
            (ceil if up else floor)(float(table[q][side]) * UNIT + (-EASE if up else EASE))
            for q in range(int(self.k.n_turns[i]))
        ]
        middle = self.x[i] if side % 2 == 0 else self.y[i]
        return middle + sum(r * t for r, t in zip(rounded, self.t[i], strict=True))

    def _sides(self, i: int, table: Any) -> tuple[Any, Any, Any, Any]:
        """x0, y0, x1, y1 of a box of a part, rounded outwards."""
        return (
            self._edge(i, table, 0, False),
            self._edge(i, table, 1, False),
            self._edge(i, table, 2, True),
            self._edge(i, table, 3, True),
        )

    def _on_plate(self) -> None:
        k, m = self.k, self.m
        margin, corner = (ceil(float(v) * UNIT) for v in k.bounds)
        for i in range(self.n):
            x0, y0, x1, y1 = self._sides(i, k.outline[i])
            m.add(x0 >= margin)
            m.add(y0 >= margin)
            m.add(x1 + margin <= self.wide)
            m.add(y1 + margin <= self.high)
            if corner > margin:
                for near_x in (x0 >= corner, x1 + corner <= self.wide):
                    for near_y in (y0 >= corner, y1 + corner <= self.high):
                        a, b = m.new_bool_var(""), m.new_bool_var("")
                        m.add(near_x).only_enforce_if(a)
                        m.add(near_y).only_enforce_if(b)
                        m.add_bool_or(a, b)
            for f in k.forbidden:
                zone = [floor(float(v) * UNIT) for v in f[:2]] + [
                    ceil(float(v) * UNIT) for v in f[2:]
                ]
                self._one_of([x1 <= zone[0], x0 >= zone[2], y1 <= zone[1], y0 >= zone[3]])
            if k.pinned[i, 0] > 0:
                m.add(self.x[i] == round(float(k.pinned[i, 1]) * UNIT))
                m.add(self.y[i] == round(float(k.pinned[i, 2]) * UNIT))

    def _one_of(self, choices: list[Any], unless: list[Any] | None = None) -> None:
        """At least one of some rules holds, or one of `unless`."""
        lits = list(unless or [])
        for c in choices:
            lit = self.m.new_bool_var("")
            self.m.add(c).only_enforce_if(lit)
            lits.append(lit)
        self.m.add_bool_or(lits)

    def _bodies(self) -> None:
        """Outlines of parts with a gap between; parts of one box are no more than these."""
        k, m = self.k, self.m
        gap = ceil(float(k.apart.min()) * UNIT) if self.n else 0
        xs, ys = [], []
        for i in range(self.n):
            if not self._plain(i):
                continue
            sides = self._sides(i, k.outline[i])
            x0, y0, x1, y1 = (self._var(e, n % 2) for n, e in enumerate(sides))
            w, h = self._var(x1 - x0 + gap, 0), self._var(y1 - y0 + gap, 1)
            xs.append(m.new_interval_var(x0, w, x1 + gap, ""))
            ys.append(m.new_interval_var(y0, h, y1 + gap, ""))
        m.add_no_overlap_2d(xs, ys)

    def _var(self, value: Any, axis: int) -> Any:
        """A variable for what is worked out of others, as no-overlap takes it."""
        v = self.m.new_int_var(0, 2 * self.most[axis], "")
        self.m.add(v == value)
        return v

    def _plain(self, i: int) -> bool:
        """True for a part whose lowest box holds its whole outline and stands on the plate."""
        k = self.k
        return any(
            bool(
                (k.boxes[i, : int(k.n_turns[i]), b, :4] == k.outline[i, : int(k.n_turns[i])]).all()
            )
            and float(k.boxes[i, 0, b, 4]) <= 0.0
            for b in range(int(k.n_boxes[i]))
        )

    def _apart(self, i: int, a: Any, j: int, b: Any, gap_mm: float, unless: list[Any]) -> None:
        gap = ceil(gap_mm * UNIT - EASE)
        p, q = self._sides(i, a), self._sides(j, b)
        self._one_of(
            [
                p[2] + gap <= q[0],
                q[2] + gap <= p[0],
                p[3] + gap <= q[1],
                q[3] + gap <= p[1],
            ],
            unless,
        )

    def _pairs(self) -> None:
        k = self.k
        least = float(k.apart.min()) if self.n else 0.0
        for i in range(self.n):
            for j in range(self.n):
                if i == j:
                    continue
                self._rooms(i, j)
                if i > j:
                    continue
                known = self._plain(i) and self._plain(j) and float(k.apart[i, j]) <= least
                for a in range(int(k.n_boxes[i])):
                    for b in range(int(k.n_boxes[j])):
                        p, q = k.boxes[i, :, a], k.boxes[j, :, b]
                        if not known and _meet(p[0], q[0]):
                            self._apart(i, p, j, q, float(k.apart[i, j]), [])
                self._studs(i, j)
                self._heat(i, j)
                if k.row[i] >= 0 and k.row[i] == k.row[j]:
                    self.m.add(self.y[i] == self.y[j])

    def _rooms(self, i: int, j: int) -> None:
        k = self.k
        for r in range(int(k.n_rooms[i])):
            for b in range(int(k.n_boxes[j])):
                room, box = k.rooms[i, :, r], k.boxes[j, :, b]
                if _meet(room[0], box[0]):
                    self._apart(i, room, j, box, 0.0, self._joined(i, r, j))

    def _joined(self, i: int, r: int, j: int) -> list[Any]:
        """Literals for a link that goes straight across: one for each pair of turns that face."""
        k, m = self.k, self.m
        if int(k.room_post[i, r]) < 0 or int(k.room_partner[i, r, 0]) != j:
            return []
        out = []
        for ti in range(int(k.n_turns[i])):
            for tj in range(int(k.n_turns[j])):
                a = k.posts[i, ti, int(k.room_post[i, r])]
                b = k.posts[j, tj, int(k.room_partner[i, r, 1])]
                if a[2] * b[2] + a[3] * b[3] > -0.5:
                    continue
                lit = m.new_bool_var("")
                m.add_implication(lit, self.t[i][ti])
                m.add_implication(lit, self.t[j][tj])
                dx = self.x[j] - self.x[i] + round((float(b[0]) - float(a[0])) * UNIT)
                dy = self.y[j] - self.y[i] + round((float(b[1]) - float(a[1])) * UNIT)
                ox, oy = round(float(a[2])), round(float(a[3]))
                m.add(dx * ox + dy * oy >= ceil(2 * LUG_MM * UNIT)).only_enforce_if(lit)
                aside = dy if ox else dx
                m.add(aside == 0).only_enforce_if(lit)
                out.append(lit)
        return out

    def _studs(self, i: int, j: int) -> None:
        k = self.k
        for a in range(int(k.n_posts[i])):
            for b in range(int(k.n_posts[j])):
                p, q = k.posts[i, :, a], k.posts[j, :, b]
                if p[0][4] * q[0][4] < 0:
                    spot = [(*x[:2], *x[:2]) for x in p], [(*x[:2], *x[:2]) for x in q]
                    self._apart(i, spot[0], j, spot[1], STUDS_APART_MM, [])

    def _heat(self, i: int, j: int) -> None:
        k = self.k
        for a, b in ((i, j), (j, i)):
            far = float(k.above[a, b])
            if far <= 0:
                continue
            p, q = self._sides(a, k.outline[a]), self._sides(b, k.outline[b])
            self._one_of(
                [p[2] <= q[0], q[2] <= p[0], p[1] >= q[3] + ceil(far * UNIT), p[1] + 1 <= q[3]]
            )

    def _objective(self) -> None:
        m, w = self.m, self.weights
        scale = 1000
        terms = []
        if w.area > 0:
            area = m.new_int_var(0, self.most[0] * self.most[1], "area")
            m.add_multiplication_equality(area, [self.wide, self.high])
            terms.append(round(scale * w.area) * area)
            self._room_for_all(area)
        else:  # the plate is given, and the corners with it
            m.add(self.wide == self.most[0])
            m.add(self.high == self.most[1])
        if w.link > 0:
            terms += [round(scale * UNIT * w.link) * x for x in self._lengths()]
        self.unit = scale * UNIT * UNIT
        m.minimize(sum(terms))

    def _room_for_all(self, area: Any) -> None:
        """What the solver does not see by itself: bodies, each with its gap, lie side by side on
        the plate within its margins, so that their areas add up to no more than that.
        """
        k = self.k
        gap = floor(float(k.apart.min()) * UNIT) if self.n else 0
        less = 2 * floor(float(k.bounds[0]) * UNIT) - gap
        total = 0
        for i in range(self.n):
            o = k.outline[i, 0]
            if self._plain(i):
                w, h = (floor(float(o[s + 2] - o[s]) * UNIT + EASE) + gap for s in (0, 1))
                total += w * h
        self.m.add(area - less * self.wide - less * self.high + less * less >= total)

    def _lengths(self) -> list[Any]:
        """Each link's square length, weighed by its worth."""
        k, m, out = self.k, self.m, []
        for row, worth in zip(k.links, k.link_worth, strict=True):
            i, a, j, b = (int(v) for v in row)
            if i == j:
                continue
            for axis, names in ((0, self.x), (1, self.y)):
                p = self._stub(i, a, axis, names)
                q = self._stub(j, b, axis, names)
                far = m.new_int_var(0, 3 * self.most[axis], "")
                m.add(far >= p - q)
                m.add(far >= q - p)
                out.append(far * max(1, round(float(worth))))
        return out

    def _stub(self, i: int, post: int, axis: int, names: list[Any]) -> Any:
        rows = self.k.posts[i, :, post]
        adds = [
            round((float(rows[q][axis]) + LUG_MM * float(rows[q][2 + axis])) * UNIT)
            for q in range(int(self.k.n_turns[i]))
        ]
        return names[i] + sum(r * t for r, t in zip(adds, self.t[i], strict=True))

    def hinted(self, d: "Down") -> None:
        """Begin with an arrangement that is known."""
        for i in range(self.n):
            self.m.add_hint(self.x[i], round(float(d.at[i, 0]) * UNIT))
            self.m.add_hint(self.y[i], round(float(d.at[i, 1]) * UNIT))
            for q, lit in enumerate(self.t[i]):
                self.m.add_hint(lit, q == int(d.turns[i]))
        self.m.add_hint(self.wide, ceil(float(d.box[0]) * UNIT - EASE))
        self.m.add_hint(self.high, ceil(float(d.box[1]) * UNIT - EASE))

    def read(self, solver: "cp_model.CpSolver") -> tuple[tuple[float, float, int], ...]:
        """The places found."""
        return tuple(
            (
                solver.value(self.x[i]) / UNIT,
                solver.value(self.y[i]) / UNIT,
                next(q for q, t in enumerate(self.t[i]) if solver.value(t)),
            )
            for i in range(self.n)
        )


def _meet(a: Any, b: Any) -> bool:
    """True when two boxes meet in height."""
    return bool(a[4] < b[5] - EASE and b[4] < a[5] - EASE)
