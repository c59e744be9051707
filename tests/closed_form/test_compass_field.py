"""The field of wires at a compass against closed forms of any textbook of electricity."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.network.magnetic import (
    deviation_deg,
    lead_off_mm,
    loop_field,
    pair_loops,
    segments_field,
)

MICRO = 1e6


def test_a_long_wire() -> None:
    # mu0 I / (2 pi d): 95 A at 300 mm is 63.33 microtesla
    ends = np.array([[-1e6, 0.0, 0.0]]), np.array([[1e6, 0.0, 0.0]])
    b = segments_field(*ends, 95.0, np.array([0.0, 300.0, 0.0]))
    assert np.linalg.norm(b) * MICRO == pytest.approx(63.33, abs=0.005)
    assert b[2] > 0  # right hand: current forward, field up to port


def test_a_square_loop() -> None:
    # 2 sqrt(2) mu0 I / (pi a): 10 A round 1 m is 11.3137 microtesla in its middle
    corners = np.array([[0, 0, 0], [1000, 0, 0], [1000, 1000, 0], [0, 1000, 0]], dtype=float)
    b = loop_field(corners, 10.0, np.array([500.0, 500.0, 0.0]))
    assert b[2] * MICRO == pytest.approx(11.3137, abs=5e-5)


def test_a_round_loop() -> None:
    # mu0 I / (2 R), as a polygon of many sides
    t = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    ring = np.column_stack([200 * np.cos(t), 200 * np.sin(t), 0 * t])
    b = loop_field(ring, 5.0, np.zeros(3))
    assert b[2] == pytest.approx(4e-7 * np.pi * 5.0 / (2 * 0.2), rel=1e-5)


def test_a_long_pair_and_what_it_turns() -> None:
    # 95 A out and back, 9.8 mm apart, at 300 mm: 2.0694 microtesla, 5.9 degrees at 20
    line = np.array([[-1e6, 0.0, 0.0], [1e6, 0.0, 0.0]])
    fields = [loop_field(x, 95.0, np.array([0.0, 300.0, 0.0])) for x in pair_loops(line, 9.8)]
    worst = max(float(np.linalg.norm(b)) for b in fields)
    assert worst * MICRO == pytest.approx(2.0694, abs=2e-4)
    assert deviation_deg(worst, 20.0) == pytest.approx(5.9, abs=0.05)
    assert deviation_deg(30e-6, 20.0) == 90.0  # stronger than the earth's: any way


@given(st.floats(1, 200), st.floats(2, 20), st.floats(200, 2000))
def test_a_pair_at_the_distance_told_gives_the_field_asked(
    amps: float, spacing: float, off: float
) -> None:
    line = np.array([[-1e6, 0.0, 0.0], [1e6, 0.0, 0.0]])
    field = 2e-7 * amps * spacing * 1e-3 / (off * 1e-3) ** 2
    told = lead_off_mm(amps, spacing, field)
    assert told == pytest.approx(off)
    level = [
        float(np.linalg.norm(loop_field(x, amps, np.array([0.0, told, 0.0]))))
        for x in pair_loops(line, spacing)
    ]
    assert max(level) == pytest.approx(field, rel=(spacing / off) ** 2 + 1e-3)


@given(st.integers(0, 10**6))
def test_a_closed_loop_has_no_field_from_nothing(seed: int) -> None:
    # out and back on one line cancel
    rng = np.random.default_rng(seed)
    line = rng.uniform(-1000, 1000, (6, 3))
    both = np.vstack([line, line[::-1]])
    b = loop_field(both, 10.0, np.array([5000.0, 0.0, 0.0]))
    assert np.linalg.norm(b) < 1e-15
