"""Moves in words a fitter can follow."""

from typing import Final

import numpy as np

from viewer.words.names import Names
from viewer.work.piece_rows import HeldRow, MoveRow

SHIFT_TOLD_MM: Final = 6.0
TURN_TOLD_DEG: Final = 3.0
SHIFTS: Final = (
    ("slide it forward", "slide it aft"),
    ("slide it to port", "slide it to starboard"),
    ("lift it", "lower it"),
)
TURNS: Final = (  # about x, y, z; positive first
    ("lean it starboard side down", "lean it port side down"),
    ("tip its forward end down", "tip its aft end down"),
    ("swing its forward end to port", "swing its forward end to starboard"),
)
ENDS: Final = (("forward end", "aft end"), ("port side", "starboard side"), ("top", "bottom"))
RUNS: Final = ("fore and aft", "athwartships", "upright")


def move_words(move: MoveRow) -> str:
    """One move as a sentence."""
    if move.step == "hold":
        text = f"outside, hold it {held_words(move.held)}"
        turned = max(abs(t) for t in move.turn_deg) >= TURN_TOLD_DEG
        shifted = max(abs(s) for s in move.shift_mm) >= SHIFT_TOLD_MM
        if not turned and shifted:
            text += "; " + _shift_and_turn(move)
        return _sentence(text)
    if move.step == "seat":
        return _sentence("down on to its place: " + _shift_and_turn(move))
    return _sentence(_shift_and_turn(move))


def whole_words(move: MoveRow, names: Names) -> str:
    """One move as a sentence, with what tells a hand that it has gone far enough."""
    text = move_words(move)
    if move.stop is not None:
        end = ENDS[move.stop.axis][0 if move.stop.sign > 0 else 1]
        text += f", until its {end} all but touches {names.box(move.stop.fixed)}"
    if move.rest is not None:
        text += f" (it can be set down on {names.box(move.rest.fixed)} here)"
    return text


def held_words(held: HeldRow) -> str:
    """How a piece is held."""
    lies = {True: "lying flat", False: "on edge", None: ""}[held.flat]
    if held.end_down:
        end = "one end" if held.end_down == "one" else f"{held.end_down} end"
        return ", ".join(w for w in (lies, f"{end} {held.down_deg:.0f}° down") if w)
    return ", ".join(w for w in (lies, f"long side {RUNS[held.long_axis]}") if w)


def _shift_and_turn(move: MoveRow) -> str:
    turns = [
        f"{TURNS[k][0 if move.turn_deg[k] > 0 else 1]} {abs(move.turn_deg[k]):.0f}°"
        for k in np.argsort(-np.abs(move.turn_deg))
        if abs(move.turn_deg[k]) >= TURN_TOLD_DEG
    ]
    shifts = [
        f"{SHIFTS[k][0 if move.shift_mm[k] > 0 else 1]} {abs(move.shift_mm[k]):.0f} mm"
        for k in np.argsort(-np.abs(move.shift_mm))
        if abs(move.shift_mm[k]) >= SHIFT_TOLD_MM
    ]
    if turns and shifts:
        return ", ".join(turns) + " while you " + " and ".join(shifts)
    return " and ".join(turns + shifts) or "ease it into line by a few millimetres"


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:]
