"""Which stud of a row each conductor goes on.

One conductor a stud while there are studs, the greatest current nearest to where the row is fed;
what is left over shares, the smallest on the last studs (common practice; ABYC E-11 lets four ring
terminals stand on one).
"""

from dataclasses import dataclass, replace

import numpy as np

from layout.boat.parts import Piece, Terminal
from routing.circuits.circuits import Circuits
from routing.network.nodes import OUTPUT, Nodes

FED = "feed"  # the terminal a bar is fed by, as types name it


@dataclass(frozen=True, slots=True)
class Conductor:
    """One conductor of a DC circuit: its pole and the terminals it joins."""

    number: str
    pole: str  # "plus" or "minus"
    start: str
    goal: str


def conductors(circuits: Circuits) -> list[Conductor]:
    """Every conductor, circuit by circuit; mains and data leads have none."""
    nodes, out = Nodes(circuits), []
    for n, m in circuits.models.items():
        if not (m.mains or m.signal):
            out += [Conductor(n, *ends) for ends in _ends(circuits, nodes, n)]
    return _main_on_feed(circuits, out)


def _main_on_feed(circuits: Circuits, found: list[Conductor]) -> list[Conductor]:
    """The greatest minus of a bar goes to its larger feed stud, where nobody has put another."""
    used = {name for c in found for name in (c.start, c.goal)}
    most: dict[str, tuple[float, int, bool]] = {}
    for k, c in enumerate(found):
        for name, at_goal in ((c.start, False), (c.goal, True)):
            piece, rest = _piece(circuits, name)
            row = piece.terminals.get(rest) if piece is not None else None
            amps = circuits.models[c.number].amps
            if piece is None or row is None or row.studs == 1 or c.pole != "minus":
                continue
            feed = _feed_of(piece, rest)
            free = feed is not None and f"{piece.key}.{feed}" not in used
            if free and amps > most.get(f"{piece.key}.{feed}", (0.0, 0, False))[0]:
                most[f"{piece.key}.{feed}"] = (amps, k, at_goal)
    for feed_name, (_, k, at_goal) in most.items():
        c = found[k]
        found[k] = replace(c, goal=feed_name) if at_goal else replace(c, start=feed_name)
    return found


def _feed_of(piece: Piece, rest: str) -> str | None:
    """The terminal a part is fed by, beside another of its own; None where it has none of a like
    pole.
    """
    feed = f"{rest.rpartition('.')[0]}.{FED}".lstrip(".")
    there = piece.terminals.get(feed)
    return feed if there is not None and there.pole == piece.terminals[rest].pole else None


def _ends(circuits: Circuits, nodes: Nodes, n: str) -> list[tuple[str, str, str]]:
    feed, load = circuits.feeds[n], circuits.loads[n]
    one = circuits.one(n)
    if one and feed.terminal.pole == load.terminal.pole == "minus":
        return [("minus", feed.name, load.name)]
    ends = [("plus", feed.name, load.name)]
    if not one:
        own = _minus_of(circuits, load.name, load.place, nodes.end_minus(n))
        if load.terminal.pole == "pair" and circuits.on_board(n) is not None:
            own = load.name
        home = _minus_of(circuits, feed.name, feed.place, nodes.home(n))
        ends.append(("minus", home, own))
    return ends


def _piece(circuits: Circuits, name: str) -> tuple[Piece | None, str]:
    key, _, rest = name.partition(".")
    return circuits.boat.pieces.get(key), rest


def terminal_of(circuits: Circuits, name: str) -> Terminal | None:
    """The terminal of a full name; None where there is none such."""
    piece, rest = _piece(circuits, name)
    return piece.terminals.get(rest) if piece is not None else None


def _minus_of(circuits: Circuits, plus: str, place: str, node: str) -> str:
    """The terminal a minus ends on: the node's own, else a minus of its part, else the one terminal
    of what gives it, else the pair itself. Gear that has none told, like a starter that is its
    engine's block, has a "minus" of its own: never its plus.
    """
    name = node.removesuffix(" -").removesuffix(OUTPUT)
    piece, rest = _piece(circuits, name)
    if piece is not None and rest in piece.terminals:
        return name
    for key in (name, place):
        piece, part = _piece(circuits, key)
        if piece is None:
            continue
        own = [t for t in piece.terminals if t.startswith(f"{part}." if part else "")]
        minus = [t for t in own if piece.terminals[t].pole == "minus"]
        minus.sort(key=lambda t: not t.endswith("out"))  # the studs of a bar before its feed
        if minus:
            return f"{piece.key}.{minus[0]}"
        given = f"{part}.out" if part else "out"
        if key == name and given in piece.terminals:  # what gives it has one terminal for both
            return f"{piece.key}.{given}"
    there = terminal_of(circuits, plus)
    return f"{place}.minus" if there is not None and there.pole == "plus" else plus


@dataclass(slots=True)
class _StudRow:
    """A row of studs: itself, the terminal its part is fed by, and what ends on it."""

    row: Terminal
    fed: Terminal | None
    users: list[tuple[str, str]]

    def in_turn(self, count: int) -> list[int]:
        """Studs for so many conductors, the greatest first: nearest the feed, then shared from the
        far end.
        """
        studs, fed = list(range(1, self.row.studs + 1)), self.fed
        if fed is not None:
            studs.sort(key=lambda k: float(np.linalg.norm(self.row.of_row(k).at - fed.at)))
        rounds = -(-count // len(studs)) - 1
        return [*studs, *(list(reversed(studs)) * rounds)][:count]


def _rows(circuits: Circuits) -> dict[str, _StudRow]:
    out: dict[str, _StudRow] = {}
    for c in conductors(circuits):
        for name in (c.start, c.goal):
            piece, rest = _piece(circuits, name)
            row = piece.terminals.get(rest) if piece is not None else None
            if piece is None or row is None or row.studs == 1 or row.pole != c.pole:
                continue  # a minus told to end beside a plus has no stud in its row
            feed = _feed_of(piece, rest)
            fed = piece.terminals[feed] if feed is not None else None
            out.setdefault(name, _StudRow(row, fed, [])).users.append((c.number, c.pole))
    return out


def _dealt(circuits: Circuits) -> list[tuple[tuple[str, str, str], int, Terminal]]:
    out = []
    for name, r in _rows(circuits).items():
        order = sorted(r.users, key=lambda u: -circuits.models[u[0]].amps)
        for (number, pole), stud in zip(order, r.in_turn(len(order)), strict=True):
            out.append(((number, pole, name), stud, r.row.of_row(stud)))
    return out


def studs_of(circuits: Circuits) -> dict[tuple[str, str, str], int]:
    """The stud, counted from 1, of each (circuit, pole, terminal) that ends on a row of studs."""
    return {key: stud for key, stud, _ in _dealt(circuits)}


def ends_of(circuits: Circuits) -> dict[tuple[str, str], tuple[Terminal, Terminal]]:
    """Both terminals of each (circuit, pole), the very stud where it ends on a row of them."""
    studs = {key: terminal for key, _, terminal in _dealt(circuits)}
    out = {}
    for c in conductors(circuits):
        names = (c.start, c.goal)
        ends = [studs.get((c.number, c.pole, x)) or terminal_of(circuits, x) for x in names]
        if ends[0] is not None and ends[1] is not None:
            out[c.number, c.pole] = ends[0], ends[1]
    return out
