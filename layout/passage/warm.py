"""Compile the kernels a proof takes, on two tiny problems: for a first start on a machine."""

from layout.geometry.shapes import BoxSet, Pose
from layout.passage.problem import Problem
from layout.passage.proof.prover import Prover
from layout.passage.search.improve import improve
from layout.passage.search.plan import search
from layout.passage.work import Work


def _tiny(hole: float) -> Problem:
    """A box over a square hole of half so many mm, and a room under it."""
    body = BoxSet.checked([[0, 0, 0]], [[30, 20, 10]])
    walls = [[-100, 0, 5], [100, 0, 5], [0, -100, 5], [0, 100, 5], [0, 0, -100]]
    walls += [[-200, 0, -50], [200, 0, -50], [0, -200, -50], [0, 200, -50]]
    rim = 100 - hole
    half = [[rim, 200, 5], [rim, 200, 5], [200, rim, 5], [200, rim, 5], [210, 210, 5]]
    half += [[5, 210, 60], [5, 210, 60], [210, 5, 60], [210, 5, 60]]
    fixed = BoxSet.checked(walls, half)
    return Problem(body, fixed, Pose.checked([0, 0, 120]), Pose.checked([0, 0, -60]))


def _slot() -> Problem:
    """A flat board under a slot it only passes on edge, too low to lie down."""
    body = BoxSet.checked([[0, 0, 0]], [[60, 40, 5]])
    walls = [[-110, 0, 5], [110, 0, 5], [0, -110, 5], [0, 110, 5], [0, 0, -70]]
    walls += [[-75, 0, -30], [75, 0, -30], [0, -75, -30], [0, 75, -30]]
    half = [[90, 200, 5], [90, 200, 5], [20, 65, 5], [20, 65, 5], [210, 210, 5]]
    half += [[5, 210, 35], [5, 210, 35], [210, 5, 35], [210, 5, 35]]
    fixed = BoxSet.checked(walls, half)
    return Problem(body, fixed, Pose.checked([0, 0, 150]), Pose.checked([0, 0, -40]))


def warm() -> None:
    """Compile or load the kernels of proofs and of the search by trees."""
    Prover(_tiny(12.0)).prove(Work(2_000), lambda: False)
    Prover(_slot()).prove(Work(4_000), lambda: False)
    easy = _tiny(40.0)
    path = search(easy, 20_000, 1)
    if path is not None:
        improve(easy, path, 500, 1)
