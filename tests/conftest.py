"""What several tests share: the demos worked out once, and a warm engine."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import settings

from layout.passage import warm_up
from routing.runs.looms import Demand, TrunkGraph, plan_looms
from viewer.work.result import JobResult, work_out

settings.register_profile("coaming", deadline=None, max_examples=60, derandomize=True)
settings.load_profile("coaming")
ROOT = Path(__file__).parent.parent
DEMOS = ("harbour_launch", "sailing_yacht", "survey_catamaran")


@pytest.fixture(scope="session", autouse=True)
def warm() -> None:
    warm_up()
    ring = TrunkGraph(3, np.array([[0, 1], [1, 2], [0, 2]]), np.ones(3), np.ones(3))
    plan_looms(
        ring, [Demand(0, 2, 1.0), Demand(0, 1, 1.0)]
    )  # its time is for looking, not for compiling


_worked: dict[str, JobResult] = {}


@pytest.fixture(params=DEMOS)
def demo(request: pytest.FixtureRequest) -> JobResult:
    """One demo job, worked out with time to spare."""
    name = str(request.param)
    if name not in _worked:
        _worked[name] = work_out(ROOT / "demo_hulls" / f"{name}.job.toml", seconds=40.0)
    return _worked[name]
