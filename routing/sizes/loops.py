"""Slack with a reason: to lay a panel face down for work on its back, to serve a board, to let an
outboard tilt and turn.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.hull_parts import axis_turn
from layout.boat.parts import PLATE_ROW, Piece, Swing, Terminal
from layout.geometry.frames import Array

SERVE_MM: Final = 150.0  # kept at a board so that it can be taken off its wall: memory
PANEL_KINDS: Final = frozenset({"fuse panel", "switch", "instrument", "radio"})
POSES: Final = 13  # of each of tilt and turn that are looked at


@dataclass(frozen=True, slots=True)
class Loop:
    """Cable kept at an end and why: to lay a panel face down, or to serve a board."""

    length_mm: float
    face_down: bool


def service_loop(piece: Piece, terminal: Terminal) -> Loop:
    """The loop kept at a terminal of a board; none at other gear.

    A panel laid face down about one edge of its plate takes every terminal round half a circle:
    twice its distance from that edge. It is laid about the edge that asks the least of all its
    terminals together.
    """
    if not piece.is_board:
        return Loop(0.0, False)
    if not piece.kinds & PANEL_KINDS:
        return Loop(SERVE_MM, False)
    rest = piece.at_rest()
    c, h, r = rest.centre_mm[PLATE_ROW], rest.half_mm[PLATE_ROW], rest.rotation[PLATE_ROW]
    thin = int(np.argmin(h))
    every = np.array([(t.at - c) @ r for t in piece.terminals.values()])
    mine = (terminal.at - c) @ r
    edges = [(k, s) for k in range(3) if k != thin for s in (-1.0, 1.0)]
    k, s = min(edges, key=lambda e: float(_from_edge(every, h, thin, *e).sum()))
    return Loop(max(SERVE_MM, 2 * float(_from_edge(mine[None], h, thin, k, s)[0])), True)


def _from_edge(local: Array, half: Array, thin: int, axis: int, sign: float) -> Array:
    """How far terminals (n, 3) in a plate's frame are from one of its edges, (n,)."""
    return np.hypot(half[axis] - sign * local[:, axis], local[:, thin])


def swing_slack_mm(swing: Swing | None, terminal: Array, gland: Array) -> float:
    """How much farther a terminal gets from the gland its cable comes out of when its gear tilts
    and turns: over what it is at rest.
    """
    if swing is None:
        return 0.0
    rest = float(np.linalg.norm(terminal - gland))
    most = rest
    for tilt in np.linspace(0.0, swing.tilt_rad, POSES):
        for turn in np.linspace(-swing.turn_rad, swing.turn_rad, POSES):
            r = axis_turn(2, float(turn)) @ axis_turn(1, float(tilt))
            x = swing.pivot + r @ (terminal - swing.pivot)
            most = max(most, float(np.linalg.norm(x - gland)))
    return most - rest
