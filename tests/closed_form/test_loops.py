"""Slack at ends against plane geometry."""

import numpy as np
import pytest

from layout.boat.parts import Swing
from routing.sizes.loops import swing_slack_mm


def test_an_outboard_that_turns_draws_its_lead_round() -> None:
    # a terminal 300 mm aft of the pivot, its gland 300 mm to port of it: turned by a quarter to
    # starboard it lies opposite, 600 mm from the gland instead of 300 sqrt(2)
    swing = Swing(np.zeros(3), 0.0, np.pi / 2)
    slack = swing_slack_mm(swing, np.array([-300.0, 0.0, 0.0]), np.array([0.0, 300.0, 0.0]))
    assert slack == pytest.approx(600 - 300 * 2**0.5)


def test_an_outboard_that_tilts_takes_its_lead_forward() -> None:
    # 200 mm over the pivot it goes forward as it tilts: a gland 200 mm aft at that height is then
    # 200 away at rest, and 200 sqrt(5) when the top lies level ahead
    swing = Swing(np.zeros(3), np.pi / 2, 0.0)
    slack = swing_slack_mm(swing, np.array([0.0, 0.0, 200.0]), np.array([-200.0, 0.0, 200.0]))
    assert slack == pytest.approx(200 * 5**0.5 - 200)


def test_what_does_not_swing_needs_none() -> None:
    assert swing_slack_mm(None, np.zeros(3), np.ones(3)) == 0.0
