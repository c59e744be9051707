"""In through the openings: a verdict with its evidence.

`find_passage(problem)` is the one door to this engine; nothing outside asks how it works.
"""

from layout.geometry.shapes import BoxSet, Pose
from layout.passage.engine import Effort, find_passage
from layout.passage.problem import Evidence, Passage, Problem, Touch, Verdict

__all__ = [
    "BoxSet",
    "Effort",
    "Evidence",
    "Passage",
    "Pose",
    "Problem",
    "Touch",
    "Verdict",
    "find_passage",
]
