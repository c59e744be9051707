"""A general motion-planning library on the same case: its bidirectional tree, our box kernel.

The library samples its motions (a motion counts as clear when its samples are), so it answers an
easier question than the engine, which proves its motions. Benchmark dependency only.
"""

import time
from typing import Any

import numpy as np
from ompl import base, geometric, util

from layout.geometry.frames import matrix_from_quat
from layout.passage import Problem
from layout.passage.search.easing import pose_gap
from layout.passage.search.plan import Scene

STEP_MM = 4.0  # the library's own spacing of samples along a motion
util.setLogLevel(util.LogLevel.LOG_NONE)
util.RNG.setSeed(1)
PLANNERS = ("RRTConnect", "LBKPIECE1", "KPIECE1")


def library_seconds(
    problem: Problem, seconds: float, planner: str = "RRTConnect"
) -> dict[str, Any]:
    """{"seconds", "solved", "planner"} for one run with a time limit."""
    s = Scene.of(problem)
    space = base.SE3StateSpace()
    points = np.vstack([problem.start.at_mm, problem.goal.at_mm])
    reach = problem.radius_mm
    low, high = points.min(0) - reach, points.max(0) + reach
    bounds = base.RealVectorBounds(3)
    for k in range(3):
        bounds.setLow(k, float(low[k]))
        bounds.setHigh(k, float(high[k]))
    space.setBounds(bounds)
    setup = geometric.SimpleSetup(space)
    wanted = problem.clearance_mm

    def pose(state: Any) -> tuple[np.ndarray, np.ndarray]:
        r = state.rotation()
        return np.array([state.getX(), state.getY(), state.getZ()]), np.array([r.x, r.y, r.z, r.w])

    def valid(state: Any) -> bool:
        p, q = pose(state)
        return bool(
            pose_gap(*s.body, *s.fixed, p, matrix_from_quat(q), wanted + 1e-3) >= wanted - 1e-6
        )

    setup.setStateValidityChecker(valid)
    ends = []
    for at in (problem.start, problem.goal):
        state = space.allocState()
        state.setXYZ(*(float(v) for v in at.at_mm))
        r = state.rotation()
        r.x, r.y, r.z, r.w = (float(v) for v in at.quat)
        ends.append(state)
    setup.setStartAndGoalStates(ends[0], ends[1])
    setup.getSpaceInformation().setStateValidityCheckingResolution(
        STEP_MM / space.getMaximumExtent()
    )
    setup.setPlanner(getattr(geometric, planner)(setup.getSpaceInformation()))
    began = time.perf_counter()
    setup.solve(seconds)
    return {
        "planner": planner,
        "seconds": round(time.perf_counter() - began, 4),
        "solved": bool(setup.haveExactSolutionPath()),
    }


def best_of_library(problem: Problem, seconds: float) -> dict[str, Any]:
    """The quickest of the library's planners on a case, each with the same limit."""
    runs = [library_seconds(problem, seconds, p) for p in PLANNERS]
    solved = [r for r in runs if r["solved"]]
    return min(solved or runs, key=lambda r: r["seconds"])
