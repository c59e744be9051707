"""The one function of the room: does the body get from start to goal, and what proves it.

Search and proof run side by side, each by its own counted work. A way and a proof that there is
none cannot both exist, so whichever ends first ends the other and the answer is the same on any
machine, busy or not: a way if the search finds one in its steps, a proof if the prover finds one
in its cells, else not settled.
"""

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.geometry.frames import turn_between
from layout.geometry.shapes import Pose
from layout.passage.free import blocked_at
from layout.passage.motion import TOUCHING_MM
from layout.passage.problem import Evidence, Passage, Problem, Touch, Verdict
from layout.passage.proof.prover import Proof, Prover
from layout.passage.search.improve import improve, shorten
from layout.passage.search.plain import leaning_way, plain_way
from layout.passage.search.plainer import awkward, plainer
from layout.passage.search.plan import Search, path_clearance, pose_between
from layout.passage.search.trees import motion_allowed
from layout.passage.work import Work

LONGEST_TURN_RAD: Final = 2.6
ALONE_STEPS: Final = 10_000  # most ways are found sooner than this; only then is a proof begun
BEFORE_PROOF_STEPS: Final = 20_000  # of search, before the proof is let go first
FIRST_CELLS: Final = 60_000
ROOMY_MM: Final = 1.0  # a plain way with this much more room than asked needs no other beside it
NARROWER: Final = (
    0.8  # of the room of the widest way known: less is told only where nothing else is
)
WAIT_SECONDS: Final = 0.01  # how they share the cores is no part of the answer
SLICE_STEPS: Final = 10_000  # between two looks at whether the proof has ended


@dataclass(frozen=True, slots=True)
class Effort:
    """How much work may be done, and on what."""

    search_steps: int = 1_200_000
    proof_cells: int = 800_000
    improve_steps: int = 30_000  # a try at more room or fewer moves, once a way is found
    seed: int = 1
    stop: Callable[[], bool] | None = None  # asked now and then; True ends the work

    def ended(self) -> bool:
        """True when the work is to end."""
        return self.stop is not None and self.stop()


def find_passage(
    problem: Problem,
    effort: Effort | None = None,
    looser: Problem | None = None,
    like: Proof | None = None,
    point: tuple[int, float] | None = None,
) -> Passage:
    """Goes in (with a proven way), cannot (with a proof), or not settled.

    `looser`, when given, is the same question with no less room than there truly is (rounded
    corners covered from inside): "cannot" is proven on it, "goes in" on `problem`. `like` is the
    proof of a very similar problem, tried first; `point` the body point a proof is to be about.
    """
    effort = effort if effort is not None else Effort()
    held = looser if looser is not None else problem
    taken = blocked_at(replace(held, fixed=held.matter), held.goal)
    if taken is not None:
        return _not_free(held.goal, Evidence.NOT_FREE, Verdict.CANNOT, taken, effort)
    for pose, evidence in (
        (problem.goal, Evidence.NOT_FREE),  # but only by the cover of a rounded corner
        (problem.start, Evidence.START_NOT_FREE),
    ):
        taken = blocked_at(problem, pose)
        if taken is not None:
            chosen = evidence is Evidence.NOT_FREE or problem.outside is not None
            verdict = Verdict.NOT_SETTLED if chosen else Verdict.CANNOT
            return _not_free(pose, evidence, verdict, taken, effort)
    known = like is not None or point is not None
    prover = Prover(held, point) if known and effort.proof_cells > 0 else None
    work = Work(effort.proof_cells)
    if prover is not None and like is not None:
        again = prover.again(like, work, effort.ended)
        if again is not None:
            return _cannot(again, work, effort)
    plain = plain_way(problem, effort.improve_steps > 0)
    if plain is not None:
        plain = plainer(problem, plain) if effort.improve_steps > 0 else plain
        return certified(problem, unambiguous(plain), effort.seed)
    both = _SideBySide(problem, held, effort, prover, work)
    path, proved = both.run()
    steps, cells, seed = both.search.done, both.work.spent, effort.seed
    if path is not None:
        return replace(goes_in(problem, path, effort), steps=steps)
    if proved is not None:
        return _cannot(proved, both.work, effort)
    clocked = effort.ended()
    return Passage(
        Verdict.NOT_SETTLED, Evidence.NONE, steps=steps, cells=cells, seed=seed, clocked=clocked
    )


def _cannot(proof: Proof, work: Work, effort: Effort) -> Passage:
    evidence = Evidence(str(proof["kind"]))
    return Passage(Verdict.CANNOT, evidence, proof=proof, cells=work.spent, seed=effort.seed)


def _not_free(
    pose: Pose, evidence: Evidence, verdict: Verdict, taken: tuple[float, Touch], effort: Effort
) -> Passage:
    """The answer where the start or the resting place is not free.

    Nothing is proven from a pose that was chosen for the start: only that no such pose was found.
    """
    depth, touch = taken
    proof: Proof = {
        "kind": evidence.value,
        "at_mm": pose.at_mm,
        "quat": pose.quat,
        "gap_mm": depth,
        "body": touch.body,
        "fixed": touch.fixed,
    }
    return Passage(verdict, evidence, (), depth, touch, proof, seed=effort.seed)


class _SideBySide:
    """Search alone for a moment, then search and proof side by side."""

    def __init__(
        self, problem: Problem, looser: Problem, effort: Effort, begun: Prover | None, work: Work
    ) -> None:
        self.looser, self.effort, self.begun, self.work = looser, effort, begun, work
        self.search = Search(problem, effort.seed)
        self.stop = effort.ended
        self.over = threading.Event()
        self.proof: Proof | None = None
        self.failed: BaseException | None = None

    def run(self) -> tuple[list[Pose] | None, Proof | None]:
        """(a way or None, a proof or None): at most one of them."""
        steps = self.effort.search_steps
        path = self.search.go_on(min(ALONE_STEPS, steps), self.stop)
        if path is not None or self.stop():
            return path, None
        if self.effort.proof_cells <= 0:
            return self.search.go_on(steps - self.search.done, self.stop), None
        helper = threading.Thread(target=self._prove, name="passage-proof")
        helper.start()
        try:
            while self.search.done < steps and path is None and not self._ended():
                if self.search.done > BEFORE_PROOF_STEPS and self.work.spent < FIRST_CELLS:
                    helper.join(
                        WAIT_SECONDS
                    )  # a way not found by now is rare: the proof goes first
                    if helper.is_alive():
                        continue
                path = self.search.go_on(SLICE_STEPS, self._ended)
            if path is None:
                helper.join()  # the proof has its own share of work, to the end
        finally:
            self.over.set()
            helper.join()
        if self.failed is not None:
            raise self.failed
        return path, None if path is not None else self.proof

    def _ended(self) -> bool:
        return self.proof is not None or self.failed is not None or self.stop()

    def _prove(self) -> None:
        try:
            prover = self.begun if self.begun is not None else Prover(self.looser)
            self.proof = prover.prove(self.work, lambda: self.over.is_set() or self.stop())
        except BaseException as e:  # handed to the caller's thread, never dropped
            self.failed = e


def goes_in(problem: Problem, path: list[Pose], effort: Effort) -> Passage:
    """Improve a way that was found, then certify it once more as a whole."""
    if effort.improve_steps > 0:
        best = followable(problem, path, effort)
    else:
        best = shorten(problem, path, problem.clearance_mm, effort.seed, tries=120)
    best = unambiguous(best)
    if not proven_clear(problem, best):
        raise RuntimeError("a way that was proven clear no longer is: this is a fault in coaming")
    return certified(problem, best, effort.seed)


def followable(problem: Problem, path: list[Pose], effort: Effort) -> list[Pose]:
    """A way a hand can follow: plain moves where there are any, else the way found made plainer."""
    leaning = leaning_way(problem)
    if leaning is not None:
        leaning = plainer(problem, leaning)
        if path_clearance(problem, leaning)[0] >= problem.clearance_mm + ROOMY_MM:
            return leaning
    best = plainer(problem, improve(problem, path, effort.improve_steps, effort.seed))
    if leaning is None:
        return best
    room, other = (path_clearance(problem, p)[0] for p in (best, leaning))
    narrower = other < NARROWER * room
    return best if narrower or awkward(best) <= awkward(leaning) else leaning


def certified(problem: Problem, path: list[Pose], seed: int) -> Passage:
    """The answer for a way that is proven clear, with its least clearance."""
    least, touch = path_clearance(problem, path, within_mm=0.002)
    least = max(least, problem.clearance_mm - TOUCHING_MM)  # both are proven; the larger counts
    return Passage(Verdict.GOES_IN, Evidence.WAY, tuple(path), least, touch, None, seed=seed)


def unambiguous(path: list[Pose]) -> list[Pose]:
    """The same way with near half turns cut in two: a half turn does not tell its direction."""
    out = path[:1]
    for b in path[1:]:
        if turn_between(out[-1].quat, b.quat, np.empty(3)) > LONGEST_TURN_RAD:
            out.append(pose_between(out[-1], b, 0.5))
        out.append(b)
    return out


def proven_clear(problem: Problem, path: list[Pose] | tuple[Pose, ...]) -> bool:
    """Every motion of the way, proven at the wanted clearance and within the allowed tilt."""
    return all(
        motion_allowed(problem.scene, a.at_mm, a.quat, b.at_mm, b.quat, problem.clearance_mm)
        for a, b in zip(path, path[1:], strict=False)
    )
