"""Slack at ends against plane geometry."""

import numpy as np
import pytest

from layout.boat.parts import Swing
from routing.sizes.loops import SERVE_MM, service_loop, swing_slack_mm
from tests.worked import demo_worked


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


def test_a_panel_is_laid_face_down_about_one_edge_for_all_its_leads() -> None:
    # by hand over the demo's chart panel: about the edge that asks the least in all, every
    # terminal goes round half a circle, twice its distance from that edge
    boat = demo_worked("sailing_yacht").boat
    panel = boat.pieces["chart_panel"]
    low, high = panel.extent()
    rest = panel.at_rest()
    c, h = rest.centre_mm[0], rest.half_mm[0]
    world = np.abs(rest.rotation[0]) @ h
    thin = int(np.argmin(world))
    totals = {}
    for k in range(3):
        if k != thin:
            for edge in (c[k] - world[k], c[k] + world[k]):
                away = [
                    2 * float(np.hypot(t.at[k] - edge, t.at[thin] - c[thin]))
                    for t in panel.terminals.values()
                ]
                totals[k, float(edge)] = away
    best = min(totals.values(), key=sum)
    for t, mm in zip(panel.terminals.values(), best, strict=True):
        loop = service_loop(panel, t)
        assert loop.face_down
        assert loop.length_mm == pytest.approx(max(SERVE_MM, mm))
    assert np.all(high > low)
    other = next(p for p in boat.pieces.values() if not p.is_board)
    assert service_loop(other, next(iter(other.terminals.values()))).length_mm == 0.0
