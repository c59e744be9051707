"""What else keeps a circuit safe: isolators in reach, shunts that see every return, live pumps."""

from typing import Final

import numpy as np

from layout.boat.openings import nearest_point
from layout.boat.parts import OUTSIDE, Piece
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import CHARGERS

REACH_MM: Final = 600.0  # usable reach of an arm through an opening: common practice
HAND_MM: Final = 150.0  # least port an arm works through: common practice


def guard_rules(cabling: Cabling) -> list[RuleFinding]:
    """Findings about isolators, shunts and bilge pumps."""
    return _isolators(cabling) + _shunt(cabling) + _pumps(cabling)


def _isolators(cabling: Cabling) -> list[RuleFinding]:
    """An isolator for each battery that feeds more than a starter, in reach, nothing moved."""
    circuits = cabling.circuits
    spots: list[tuple[str, Piece, Array]] = []
    for p in circuits.boat.pieces.values():
        for key, part in p.parts.items():
            if part.kind == "isolator":
                low, high = p.extent(key)
                spots.append((f"piece:{p.key}.{key}", p, (low + high) / 2))
        if p.kind == "isolator":
            spots.append((f"piece:{p.key}", p, p.rest.at_mm))
    for e in {x.place: x for x in circuits.loads.values()}.values():
        if e.kind == "switch" and circuits.isolates(e):
            spots.append((f"piece:{e.place}", e.piece, e.terminal.at))
    feeds = [number for number, feed in circuits.feeds.items() if feed.kind == "battery"]
    out = []
    if feeds and not circuits.any_isolator():
        out.append(RuleFinding("no isolator", Urgency.MUST, ("job:batteries",)))
    for about, p, at in spots:
        reach, what = _reach(cabling, p, at)
        if reach > REACH_MM:
            # where no opening lets an arm in at all there is no distance to tell
            far = reach if what else 0.0
            values: Values = {"reach_mm": far, "asked_mm": REACH_MM, "opening": what}
            out.append(RuleFinding("isolator reach", Urgency.MUST, (about,), values))
    return out


def _reach(cabling: Cabling, piece: Piece, at: Array) -> tuple[float, str]:
    """(distance from the nearest opening an arm goes through, its key); 0 where one stands in."""
    boat = cabling.circuits.boat
    if piece.space == OUTSIDE or boat.spaces[piece.space].site == "open":
        return 0.0, ""
    best, what = float("inf"), ""
    for opening in boat.openings.values():
        if piece.space in (opening.inner, opening.outer) and float(opening.size.min()) >= HAND_MM:
            d = float(np.linalg.norm(at - nearest_point(opening, at)))
            if d < best:
                best, what = d, f"opening:{opening.key}"
    return best, what


def _shunt(cabling: Cabling) -> list[RuleFinding]:
    """With a shunt in the boat, every return goes to its load side."""
    circuits = cabling.circuits
    if not any("shunt" in p.kinds for p in circuits.boat.pieces.values()):
        return []
    watched = {
        circuits.bank_of(feed.place)
        for n, feed in circuits.feeds.items()
        if feed.kind == "battery"
        and not circuits.models[n].starter
        and "shunt" in circuits.loads[n].piece.kinds
    }
    out = []
    for number, back in circuits.returns.items():
        other = back is not None and back.kind == "battery" and watched
        if other and back is not None and circuits.bank_of(back.place) not in watched:
            continue  # a battery the shunt does not watch
        if circuits.models[number].returns_to is None:
            continue  # found, not told: it goes to the battery where no board leads it
        if back is None or not (
            back.kind == "battery" or (back.kind == "shunt" and back.name.endswith(".battery"))
        ):
            continue
        if circuits.feeds[number].kind == "battery" and circuits.loads[number].piece.is_board:
            continue  # the battery's own main cable
        values: Values = {"end": back.name}
        out.append(RuleFinding("shunt side", Urgency.MUST, (f"circuit:{number}",), values))
    for number, load in circuits.loads.items():  # what charges past it, it does not count
        past = circuits.feeds[number].kind in CHARGERS and load.kind == "battery"
        led = circuits.returns[number] is not None or circuits.models[number].returns_to is not None
        if past and not led and circuits.bank_of(load.place) in watched:
            end: Values = {"end": f"{load.place}.minus"}
            out.append(RuleFinding("shunt side", Urgency.SHOULD, (f"circuit:{number}",), end))
    return out


def _pumps(cabling: Cabling) -> list[RuleFinding]:
    """A bilge pump that goes dead with the isolator."""
    circuits = cabling.circuits
    pieces = circuits.boat.pieces
    out = []
    for number, load in circuits.loads.items():
        feed = circuits.feeds[number]
        if load.kind != "pump" or circuits.models[number].bypass or feed.kind == "battery":
            continue
        boards = {feed.piece.key, *(circuits.feeds[up].piece.key for up in circuits.above(number))}
        if any("isolator" in pieces[b].kinds for b in boards):
            values: Values = {"place": f"piece:{feed.place}"}
            out.append(RuleFinding("pump isolated", Urgency.SHOULD, (f"circuit:{number}",), values))
    return out
