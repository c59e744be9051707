"""In through the openings: a verdict with its evidence.

`find_passage(problem)` is the one door to this engine; nothing outside asks how it works.
"""

from layout.passage.engine import Effort, find_passage, warm_up
from layout.passage.problem import BoxSet, Passage, Pose, Problem, Touch, Verdict

__all__ = [
    "BoxSet",
    "Effort",
    "Passage",
    "Pose",
    "Problem",
    "Touch",
    "Verdict",
    "find_passage",
    "warm_up",
]
