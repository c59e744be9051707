"""The one function of the room: does the body get from start to goal, and what proves it."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.geometry.frames import turn_between
from layout.passage.motion import TOUCHING_MM, motion_clear
from layout.passage.problem import BoxSet, Passage, Pose, Problem, Verdict
from layout.passage.proof.moment import Prover, blocked_at, blocked_depth, moments
from layout.passage.proof.tilt import TiltProver
from layout.passage.search.improve import improve, shorten
from layout.passage.search.plan import Scene, between, path_clearance, search

LONGEST_TURN_RAD: Final = 2.6
ALONE_SECONDS: Final = 0.12  # most ways are found sooner than this; only then is a proof begun
POLITE_AFTER_SECONDS: Final = 1.5  # of search and proof side by side
POLITE_SECONDS: Final = 0.25


@dataclass(frozen=True, slots=True)
class Effort:
    """How much time may be spent, and on what."""

    seconds: float = 30.0  # in all, before "not settled"
    improve_seconds: float = 0.4  # on fewer moves and more room once a way is found
    seed: int = 1
    stop: Callable[[], bool] | None = None  # asked now and then; True ends the work


def find_passage(
    problem: Problem,
    effort: Effort | None = None,
    looser: Problem | None = None,
    like: dict[str, object] | None = None,
) -> Passage:
    """Goes in (with a proven way), cannot (with a proof), or not settled.

    `looser`, when given, is the same question with no less room than there truly is (rounded corners
    covered from inside): "cannot" is proven on it, "goes in" on `problem`. `like` is the proof of a
    very similar problem, tried first.

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
                "kind": f"{what} not free",
                "at_mm": pose.at_mm,
                "quat": pose.quat,
                "gap_mm": depth,
                "body": touch.body,
                "fixed": touch.fixed,
            }
            return Passage(
                Verdict.CANNOT,
                f"the {what} is not free",
                (),
                depth,
                touch,
                proof,
                time.perf_counter() - began,
                seed=effort.seed,
            )
    path, proved = _race(problem, looser if looser is not None else problem, effort, end, like)
    if path is not None:
        return _goes_in(problem, path, effort, began)
    spent = time.perf_counter() - began
    if proved is not None:
        return Passage(
            Verdict.CANNOT, str(proved["kind"]), (), None, None, proved, spent, seed=effort.seed
        )
    tried = f"{spent:.1f} s of search and proof side by side"
    return Passage(
        Verdict.NOT_SETTLED,
        "neither a way nor a proof was found",
        tried=tried,
        seconds=spent,
        seed=effort.seed,
    )


def _race(
    problem: Problem, looser: Problem, effort: Effort, end: float, like: dict[str, object] | None
) -> tuple[list[Pose] | None, dict[str, object] | None]:
    """Search alone for a moment, then search and proof side by side; whichever ends first decides."""
    asked = effort.stop if effort.stop is not None else (lambda: False)
    path = search(problem, min(end, time.perf_counter() + ALONE_SECONDS), effort.seed, asked)
    if path is not None or time.perf_counter() >= end or asked():
        return path, None
    over, began = threading.Event(), time.perf_counter()
    proofs: list[dict[str, object] | None] = []
    failed: list[BaseException] = []

    makers: list[Prover] = []

    def work() -> None:
        try:
            makers.append(Prover(looser, like))
            proofs.append(makers[0].go_on(end, over.is_set))
        except BaseException as e:  # handed to the caller's thread below, never dropped
            failed.append(e)

    helper = threading.Thread(target=work, name="passage-proof")
    helper.start()
    try:

        def ended() -> bool:
            if (
                makers
                and makers[0].hard_at_it
                and time.perf_counter() > began + POLITE_AFTER_SECONDS
            ):
                time.sleep(
                    POLITE_SECONDS
                )  # a way not found by now is rare: the proof gets both cores
            return asked() or bool(failed) or any(p is not None for p in proofs)

        path = search(problem, end, effort.seed + 100_000, ended)
    finally:
        over.set()
        helper.join()
    if failed:
        raise failed[0]
    return path, next((p for p in proofs if p is not None), None) if path is None else None


def _goes_in(problem: Problem, path: list[Pose], effort: Effort, began: float) -> Passage:
    """Improve the way within its time, then certify it once more as a whole."""
    if effort.improve_seconds > 0:
        best = improve(problem, path, time.perf_counter() + effort.improve_seconds, effort.seed)
    else:
        best = shorten(problem, path, problem.clearance_mm, effort.seed, tries=120)
    best = unambiguous(best)
    if not proven_clear(problem, best):
        raise RuntimeError("a way that was proven clear no longer is: this is a fault in coaming")
    least, touch = path_clearance(problem, best, within_mm=0.002)
    least = max(least, problem.clearance_mm - TOUCHING_MM)  # both are proven; the larger counts
    return Passage(
        Verdict.GOES_IN,
        "a way proven clear all along",
        tuple(best),
        least,
        touch,
        None,
        time.perf_counter() - began,
        seed=effort.seed,
    )


def unambiguous(path: list[Pose]) -> list[Pose]:
    """The same way with near half turns cut in two: a half turn alone does not tell its direction."""
    out = path[:1]
    for b in path[1:]:
        if turn_between(out[-1].quat, b.quat, np.empty(3)) > LONGEST_TURN_RAD:
            out.append(between(out[-1], b, 0.5))
        out.append(b)
    return out


def proven_clear(problem: Problem, path: list[Pose]) -> bool:
    """Every motion of the way, proven at the wanted clearance."""
    s = Scene.of(problem)
    return all(
        motion_clear(
            *s.body,
            *s.fixed,
            s.fixed_corners,
            a.at_mm,
            a.quat,
            b.at_mm,
            b.quat,
            problem.clearance_mm,
        )
        for a, b in zip(path, path[1:], strict=False)
    )


def warm_up() -> None:
    """Load or compile every kernel, so that no question's time is spent on it."""
    body = BoxSet.checked([[0, 0, 0]], [[30, 20, 10]])
    walls = [
        [-100, 0, 5],
        [100, 0, 5],
        [0, -100, 5],
        [0, 100, 5],
        [0, 0, -100],
        [-200, 0, -50],
        [200, 0, -50],
        [0, -200, -50],
        [0, 200, -50],
    ]
    for hole in (
        40.0,
        12.0,
    ):  # one that lets the body through and one that only a proof of turns settles
        half = [
            [100 - hole, 200, 5],
            [100 - hole, 200, 5],
            [200, 100 - hole, 5],
            [200, 100 - hole, 5],
            [210, 210, 5],
            [5, 210, 60],
            [5, 210, 60],
            [210, 5, 60],
            [210, 5, 60],
        ]
        fixed = BoxSet.checked(walls, half)
        tiny = Problem(body, fixed, Pose.checked([0, 0, 120]), Pose.checked([0, 0, -60]), 0.0)
        if hole > 20:
            search(tiny, time.perf_counter() + 60.0, 1)
            find_passage(tiny, Effort(seconds=60.0, improve_seconds=0.05))
        else:
            proof = Prover(tiny).go_on(time.perf_counter() + 60.0, lambda: False)
            Prover(tiny, proof).go_on(time.perf_counter() + 5.0, lambda: False)
    _warm_tilt()


def _warm_tilt() -> None:
    """The kernels for turns that never join: a flat board under a slot it only passes on edge, too low to lie down."""
    body = BoxSet.checked([[0, 0, 0]], [[60, 40, 5]])
    walls = [
        [-110, 0, 5],
        [110, 0, 5],
        [0, -110, 5],
        [0, 110, 5],
        [0, 0, -70],
        [-75, 0, -30],
        [75, 0, -30],
        [0, -75, -30],
        [0, 75, -30],
    ]
    half = [
        [90, 200, 5],
        [90, 200, 5],
        [20, 65, 5],
        [20, 65, 5],
        [210, 210, 5],
        [5, 210, 35],
        [5, 210, 35],
        [210, 5, 35],
        [210, 5, 35],
    ]
    tiny = Problem(
        body, BoxSet.checked(walls, half), Pose.checked([0, 0, 150]), Pose.checked([0, 0, -40]), 0.0
    )
    for moment in moments(tiny, 0, 0.0)[:1]:
        TiltProver(tiny, moment, []).warm()
