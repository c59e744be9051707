"""The one function of the room: does the body get from start to goal, and what proves it."""

import time
from collections.abc import Callable
from dataclasses import dataclass

from layout.passage.impossible import blocked_at, blocked_depth, prove
from layout.passage.improve import length_mm, shorten, tidy, widen
from layout.passage.problem import Passage, Pose, Problem, Verdict
from layout.passage.search import path_clearance, search


@dataclass(frozen=True, slots=True)
class Effort:
    """How much time may be spent, and on what."""

    seconds: float = 30.0  # in all, before "not settled"
    improve_seconds: float = 0.4  # on fewer moves and more room once a way is found
    seed: int = 1
    stop: Callable[[], bool] | None = None  # asked now and then; True ends the work


def find_passage(problem: Problem, effort: Effort | None = None) -> Passage:
    """Goes in (with a proven way), cannot (with a proof), or not settled.

    Search and proof take turns with growing shares of the time, so that an easy way or a plain
    "cannot" is told at once and a hard one gets all there is.
    """
    effort = effort if effort is not None else Effort()
    began = time.perf_counter()
    end = began + effort.seconds
    for pose, what in ((problem.start, "start"), (problem.goal, "resting place")):
        touch = blocked_at(problem, pose)
        if touch is not None:
            depth, _ = blocked_depth(problem, pose)
            proof: dict[str, object] = {
                "kind": f"{what} not free", "at_mm": pose.at_mm, "quat": pose.quat, "gap_mm": depth,
                "body": touch.body, "fixed": touch.fixed,
            }
            return Passage(
                Verdict.CANNOT, f"the {what} is not free", (), depth, touch, proof, time.perf_counter() - began,
                seed=effort.seed,
            )
    share, turn = 0.35, 0
    while time.perf_counter() < end and not (effort.stop is not None and effort.stop()):
        path = search(problem, min(end, time.perf_counter() + share), effort.seed + 10_000 * turn, effort.stop)
        if path is not None:
            return _goes_in(problem, path, effort, began)
        if time.perf_counter() >= end:
            break
        proved = prove(problem, min(end, time.perf_counter() + 2 * share), effort.stop) if turn < 6 else None
        if proved is not None:
            return Passage(
                Verdict.CANNOT, "no turn of the body fits the opening", (), None, None, proved,
                time.perf_counter() - began, seed=effort.seed,
            )
        share *= 2.5
        turn += 1
    tried = f"{time.perf_counter() - began:.1f} s of search and proof, {turn} rounds"
    return Passage(Verdict.NOT_SETTLED, "neither a way nor a proof was found", tried=tried, seconds=time.perf_counter() - began, seed=effort.seed)


def _goes_in(problem: Problem, path: list[Pose], effort: Effort, began: float) -> Passage:
    """Improve the way within its time, then certify it once more as a whole."""
    until = time.perf_counter() + effort.improve_seconds
    best = shorten(problem, path, problem.clearance_mm, effort.seed)
    if effort.improve_seconds > 0:
        wide, level = widen(problem, best, until, effort.seed)
        if level > problem.clearance_mm:
            best = wide
        for extra in (1, 2):
            if time.perf_counter() > until:
                break
            if level > problem.clearance_mm:
                again = [best[0], *shorten(problem, best[1:-1], level, effort.seed + extra), best[-1]] if len(best) > 4 else best
            else:
                again = shorten(problem, best, problem.clearance_mm, effort.seed + extra)
            if (len(again), length_mm(problem, again)) < (len(best), length_mm(problem, best)):
                best = again
        best = tidy(problem, best, problem.clearance_mm)
    least, touch = path_clearance(problem, best, within_mm=0.002)
    return Passage(
        Verdict.GOES_IN, "a way proven clear all along", tuple(best), least, touch, None,
        time.perf_counter() - began, seed=effort.seed,
    )
