"""Is everything the right way up: boards on a wall, and parts whose makers say how they stand."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from layout.boat.hull_parts import axis_turn
from layout.boat.parts import OUTSIDE, Boat, Piece
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Urgency, Values

UPRIGHT: Final = 0.7  # cosine: within 45 degrees of upright counts as standing
ANY_WAY, ON_END = "any way", "on end"


def turned_rules(boat: Boat, stands: Mapping[str, str]) -> list[RuleFinding]:
    """Findings about boards with their upper edge down, and about pieces and parts that do not
    stand as `stands` says (by piece, or `BOARD.PART`): "upright", or "on end" for either way up.
    """
    out = []
    for piece in boat.pieces.values():
        if piece.space == OUTSIDE:
            continue
        if piece.is_board and _on_a_wall(piece) and piece.turn[2, 1] < -UPRIGHT:
            about = (f"piece:{piece.key}",)
            out.append(RuleFinding("board upside down", Urgency.SHOULD, about, {}))
        for key, ups in _ups(piece):
            rule = stands.get(key, ANY_WAY)
            up = float(ups[2])
            fine = abs(up) >= UPRIGHT if rule == ON_END else up >= UPRIGHT
            if rule != ANY_WAY and _on_a_wall(piece) and not fine:
                values: Values = {"stands": rule, "part": f"piece:{key}"}
                about = (f"piece:{key}",)
                out.append(RuleFinding("turned wrong", Urgency.SHOULD, about, values))
    return out


def _on_a_wall(piece: Piece) -> bool:
    """True where what it is mounted on stands rather than lies."""
    return abs(float(piece.turn[2, 2])) < UPRIGHT


def _ups(piece: Piece) -> list[tuple[str, Array]]:
    """The upward direction, in the hull, of a piece as its maker draws it, or of each part."""
    if not piece.is_board:
        return [(piece.key, piece.turn[:, 1])]
    return [
        (f"{piece.key}.{k}", piece.turn @ axis_turn(2, np.deg2rad(part.turn_deg))[:, 1])
        for k, part in piece.parts.items()
    ]
