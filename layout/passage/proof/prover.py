"""Proof that there is no way in, looked for a slice of work at a time.

Three arguments, each kept with its data so that a separate program can re-check it: the largest
ball inside the body does not pass (`ball_parted`); at an unavoidable moment no turn of the body
fits (`moment`, `turns`); the turns that pass the opening never join those of the resting place
(`tilt`). Work is counted in cells of turns looked at.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from typing import Final

import numpy as np
from scipy import ndimage

from layout.geometry.frames import Array
from layout.passage.problem import Evidence, Problem
from layout.passage.proof.frames import seen_from, square_count, turned_frames
from layout.passage.proof.gates import bypassed, enclosed, grown, square_extents
from layout.passage.proof.layers import cells_within
from layout.passage.proof.moment import BALL_SHARE, ROOT_SPLIT, Moment, body_points, moments
from layout.passage.proof.tilt import TiltProver
from layout.passage.proof.treads import Tread, kept_treads, stepped, treads_of
from layout.passage.proof.turn_cells import CELL, FIELDS, cell_quat
from layout.passage.proof.turns import cover_all_turns
from layout.passage.work import Work

MAX_LEAVES: Final = 1_500_000
MAX_STACK: Final = 20_000
# of a round's effort, the moment nearest to done first
RANK_SHARES: Final = (1.0, 0.5, 0.25, 0.1, 0.04)
ROUNDS_EACH: Final = 4  # rounds for the moments at hand before the next body point is taken up
SAME_CUT_MM: Final = 60.0  # cuts this near are taken for the same hole of a slightly other boat
TILTS_TRIED: Final = 8  # moments looked at for turns that never join
FIRST_BUDGET: Final = 400
MOST_BUDGET: Final = 12_000
AGAIN_SLICE: Final = 5000
AGAIN_TIMES: Final = 3  # an old proof may grow to this many times its cells
MOMENTS_COST: Final = 300  # cells' worth of work that finding one body point's moments takes

HANDS: Final = 2  # that share the cells of a proof, on any machine
DEEPEST: Final = 1_024  # cells one cell may leave on the stack while it is cut and cut again
BARE_TURNS: Final = 90_000  # cells tried without treads first, then with them, then without for
TREAD_TURNS: Final = 90_000  # turns that never join; what is left is for both with them
BARE_TILTS: Final = 300_000
SPENT, RULED_OUT, FITS = 0, 1, 2  # how a share of work ends

Proof = dict[str, object]


def body_point(proof: Proof | None) -> tuple[int, float] | None:
    """The body point a proof is about: (box, share of its length); None where it is about none."""
    if proof is None or "main_box" not in proof:
        return None
    return int(str(proof["main_box"])), float(str(proof.get("share", 0.0)))


def ball_parted(problem: Problem, only: int | None = None) -> Proof | None:
    """Proof that not even the largest ball inside a body box gets from start to goal, or None.

    The ball's middle keeps its radius and the clearance from every box; the cells left free for it
    do not join its start to its goal. `only` is the body box to try, where it is given.
    """
    b, fixed = problem.body, problem.fixed
    low, high = square_extents(fixed.centre_mm, fixed.half_mm, fixed.rotation)
    if not len(low):
        return None
    order = np.argsort(-b.half_mm.min(axis=1))[:3].tolist()
    for i in order if only is None else [only]:
        q, inner = b.centre_mm[i], float(b.half_mm[i].min())
        radius = BALL_SHARE * inner + problem.clearance_mm
        cells = cells_within(low, high, lambda a, b, r=radius: grown(a, b, r), None)  # type: ignore[misc]
        if cells is None:
            continue
        start = cells.index_of(problem.start.at_mm + problem.start.rotation @ q)
        goal = cells.index_of(problem.goal.at_mm + problem.goal.rotation @ q)
        parts, _ = ndimage.label(cells.free)
        apart = cells.free[start] and cells.free[goal] and parts[start] != parts[goal]
        apart = apart and not bypassed(cells, parts, goal, problem.doors, radius)
        if apart and (problem.outside is None or enclosed(parts, goal)):
            return {
                "kind": Evidence.BALL.value,
                "q_body_mm": q.copy(),
                "main_box": int(i),
                "radius_mm": radius,
            }
    return None


def _root_cells(stack: Array) -> int:
    """Fill the stack with the starting cells that cover all turns; how many there are."""
    half = 1.0 / ROOT_SPLIT
    steps = -1 + half * (2 * np.arange(ROOT_SPLIT) + 1)
    top = 0
    for face in range(4):
        for a in steps:
            for b in steps:
                for c in steps:
                    stack[top] = [face, a, b, c, half, 0]
                    top += 1
    return top


@dataclass(slots=True, eq=False)
class _Hand:
    """A share of the cells of one attempt, worked through by one thread."""

    moment: Moment
    cells: Array
    budget: int
    top: int = 0
    count: int = 0
    outcome: int = SPENT
    done: int = 0
    stack: Array = field(init=False)
    leaves: Array = field(init=False)

    def work(self) -> None:
        """Cover what turns it can."""
        self.stack = np.empty((len(self.cells) + DEEPEST, CELL))
        self.stack[: len(self.cells)] = self.cells
        self.leaves = np.empty((self.budget + 8, FIELDS))
        m = self.moment
        self.top, self.count, self.outcome, self.done = cover_all_turns(
            m.held, m.layers, self.stack, len(self.cells), self.leaves, 0, self.budget
        )


@cache
def _pool() -> ThreadPoolExecutor:
    """The threads that share proofs; the kernels run outside Python's lock."""
    return ThreadPoolExecutor(HANDS, thread_name_prefix="proof")


@dataclass(slots=True, eq=False)
class _Attempt:
    """How far the cover of all turns has come for one moment."""

    moment: Moment
    stack: Array
    top: int
    leaves: Array
    count: int = 0

    @property
    def left(self) -> float:
        """Volume of the cells still to be ruled out (8 per cube face, 32 in all)."""
        return float((8 * self.stack[: self.top, 4] ** 3).sum())

    def go_on(self, budget: int, work: Work) -> int:
        """Work through `budget` more cells; the outcome of `cover_all_turns`.

        The cells are dealt out to as many hands on any machine, so the answer is the same on each.
        """
        cells = self.stack[: self.top]
        shares = [cells[k::HANDS] for k in range(HANDS)] if self.top > HANDS else [cells]
        hands = [_Hand(self.moment, share, budget // len(shares)) for share in shares]
        if len(hands) == 1:
            hands[0].work()
        else:
            list(_pool().map(_Hand.work, hands))
        work.spend(sum(h.done for h in hands))
        self._take(np.vstack([h.leaves[: h.count] for h in hands]))
        fits = next((h for h in hands if h.outcome == FITS), None)
        if fits is not None:
            self.stack[:1], self.top = fits.stack[fits.top - 1], 1
            return FITS
        left = np.vstack([h.stack[: h.top] for h in hands])
        self.top = min(len(left), len(self.stack))
        self.stack[: self.top] = left[: self.top]
        if not len(left):
            return RULED_OUT
        full = len(left) >= len(self.stack) - 16 or self.count >= MAX_LEAVES - 16
        return FITS if full else SPENT

    def _take(self, leaves: Array) -> None:
        """Add leaves to those there are."""
        if self.count + len(leaves) > len(self.leaves):
            bigger = np.empty((2 * (self.count + len(leaves)) + 8, FIELDS))
            bigger[: self.count] = self.leaves[: self.count]
            self.leaves = bigger
        self.leaves[self.count : self.count + len(leaves)] = leaves
        self.count += len(leaves)

    def proof(self) -> Proof:
        """The cover as a proof keeps it."""
        leaves = self.leaves[: self.count].copy()
        return {"kind": Evidence.TURNS.value, **self.moment.kept(), "leaves": leaves}


class Prover:
    """A proof being looked for; body points are taken up one after another."""

    def __init__(
        self,
        problem: Problem,
        point: tuple[int, float] | None = None,
        treads: list[Tread] | None = None,
    ) -> None:
        """`point` is the body point (box, share of its length) the proof is to be about; `treads`
        those to count on, else all there are.
        """
        self.point, self.treads = point, treads_of(problem) if treads is None else treads
        self.plain, self.problem = problem, stepped(problem, self.treads)
        self.budget = FIRST_BUDGET
        self.rounds = 0
        self.live: list[_Attempt] = []
        self.fitted: list[tuple[Moment, list[Array]]] = []  # moments some turn fits, with it
        self.parted = ball_parted(problem, None if point is None else point[0])
        points = body_points(problem) if point is None else [point]
        self.waiting = points if self.parted is None else []

    def prove(self, work: Work, stop: Callable[[], bool]) -> Proof | None:
        """A proof that no way exists, or None when the work allowed is done.

        The frame that most boxes share goes first.
        """
        square = square_count(self.plain)
        frames = turned_frames(self.plain)
        first = [f for f, count in frames if count > square]
        found = self._turned(first, work, stop) or self._square(work, stop)
        return found or self._turned([f for f, count in frames if count <= square], work, stop)

    def _turned(self, frames: list[Array], work: Work, stop: Callable[[], bool]) -> Proof | None:
        """A proof in a frame of the boat's own, told with that frame."""
        for frame in frames:
            if work.done or stop():
                return None
            other = Prover(seen_from(self.plain, frame), self.point)
            found = other._square(work, stop)
            if found is not None:
                return {**found, "frame": frame}
        return None

    def _square(self, work: Work, stop: Callable[[], bool]) -> Proof | None:
        """A proof in the frame the problem stands in.

        Where there are treads the proof without them, which is less work a cell, has its shares.
        """
        if self.parted is not None or not self.treads:
            return self._with_treads(self._as_it_stands(work, stop))
        bare = Prover(self.plain, self.point, [])
        if bare.parted is not None:
            return bare.parted
        for prove, who, cells in (
            (Prover._no_turn_fits, bare, BARE_TURNS),
            (Prover._no_turn_fits, self, TREAD_TURNS),
            (Prover._turns_that_never_join, bare, BARE_TILTS),
        ):
            part = Work(min(cells, work.left), ended=work.ended)
            found = prove(who, part, stop)
            work.spend(part.spent)
            if found is not None:
                return who._with_treads(found)
        return self._with_treads(self._as_it_stands(work, stop))

    def _with_treads(self, proof: Proof | None) -> Proof | None:
        """The proof, if there is one, with the treads it may count on."""
        return {**proof, **kept_treads(self.treads)} if proof and self.treads else proof

    def _as_it_stands(self, work: Work, stop: Callable[[], bool]) -> Proof | None:
        if self.parted is not None:
            return self.parted
        return self._no_turn_fits(work, stop) or self._turns_that_never_join(work, stop)

    def _no_turn_fits(self, work: Work, stop: Callable[[], bool]) -> Proof | None:
        """A proof by one moment of one body point, taken up one after another."""
        while (self.live or self.waiting) and not work.done and not stop():
            if self.waiting and (not self.live or self.rounds >= ROUNDS_EACH):
                self._take_up(work)
            found = self._round(work, stop)
            if found is not None:
                return found
        return None

    def _take_up(self, work: Work) -> None:
        """Add the next body point's moments."""
        main, share = self.waiting.pop(0)
        for m in moments(self.problem, main, share):
            stack = np.empty((MAX_STACK, CELL))
            self.live.append(_Attempt(m, stack, _root_cells(stack), np.empty((1024, FIELDS))))
        work.spend(MOMENTS_COST)
        self.rounds = 0

    def _round(self, work: Work, stop: Callable[[], bool]) -> Proof | None:
        """One round over the moments at hand; those some turn fits are dropped at once."""
        still = []
        for rank, attempt in enumerate(self.live):
            if work.done or stop():
                return None
            share = int(self.budget * RANK_SHARES[min(rank, len(RANK_SHARES) - 1)])
            outcome = attempt.go_on(share, work)
            if outcome == RULED_OUT:
                return attempt.proof()
            if outcome == SPENT:
                still.append(attempt)
            elif attempt.top:
                face, a, b, c = attempt.stack[attempt.top - 1, :4]
                self.fitted.append((attempt.moment, [cell_quat(int(face), a, b, c)]))
        self.live = sorted(still, key=lambda a: a.left)
        self.budget = min(MOST_BUDGET, self.budget * 2)
        self.rounds += 1
        return None

    def _turns_that_never_join(self, work: Work, stop: Callable[[], bool]) -> Proof | None:
        broad = np.sort(self.problem.body.half_mm, axis=1)[:, 1:].prod(axis=1)
        best = sorted(self.fitted, key=lambda f: (-broad[f[0].main], f[0].room_mm))
        for moment, fits in best[:TILTS_TRIED]:
            if work.done or stop():
                return None
            found = TiltProver(self.problem, moment, fits).prove(work, stop)
            if found is not None:
                return found
        return None

    def again(self, like: Proof, work: Work, stop: Callable[[], bool]) -> Proof | None:
        """Try the moment and the cells that proved a very similar problem; None if they fail."""
        if self.parted is not None:
            return self._with_treads(self.parted)
        if like.get("kind") != Evidence.TURNS.value:
            return None
        leaves, cut = np.asarray(like["leaves"]), float(str(like["cut_mm"]))
        main, share = int(str(like["main_box"])), float(str(like["share"]))
        same = [m for m in moments(self.problem, main, share) if m.gate.axis == like["axis"]]
        near = [m for m in same if abs(m.cut_mm - cut) < SAME_CUT_MM]
        if not near:
            return None
        stack = np.empty((len(leaves) + MAX_STACK, CELL))
        stack[: len(leaves)] = leaves[:, :CELL]
        moment = min(near, key=lambda m: abs(m.cut_mm - cut))
        attempt = _Attempt(moment, stack, len(leaves), np.empty((1024, FIELDS)))
        outcome = SPENT
        while outcome == SPENT and not stop() and attempt.count < AGAIN_TIMES * len(leaves):
            outcome = attempt.go_on(AGAIN_SLICE, work)
        return self._with_treads(attempt.proof()) if outcome == RULED_OUT else None
