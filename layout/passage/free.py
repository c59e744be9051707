"""Is a pose free: the exact least distance there, and between which boxes."""

from layout.geometry.boxes import nearest_pair
from layout.geometry.shapes import Pose
from layout.passage.motion import TOUCHING_MM
from layout.passage.problem import Problem, Touch

FAR_MM = 1e12


def clearance_at(problem: Problem, pose: Pose) -> tuple[float, Touch | None]:
    """Exact least distance at a pose (minus the depth in a clash) and where it is."""
    s = problem.scene
    least, i, j = nearest_pair(s.body, pose.at_mm, pose.rotation, s.fixed, FAR_MM)
    if i < 0:
        return float("inf"), None
    return float(least), Touch(problem.body.names[i], problem.fixed.names[j], pose, (i, j))


def blocked_at(problem: Problem, pose: Pose) -> tuple[float, Touch] | None:
    """(least distance, where) when a pose is nearer than the wanted clearance; None when free."""
    least, touch = clearance_at(problem, pose)
    if touch is None or least >= problem.clearance_mm - TOUCHING_MM:
        return None
    return least, touch
