"""What several tests share: the demos worked out once."""

import pytest
from hypothesis import settings

from tests.worked import DEMOS, Worked, demo_worked

settings.register_profile("coaming", deadline=None, max_examples=60, derandomize=True)
settings.load_profile("coaming")


@pytest.fixture(params=DEMOS)
def demo(request: pytest.FixtureRequest) -> Worked:
    """One demo job, worked out."""
    return demo_worked(str(request.param))
