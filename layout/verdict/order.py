"""In which order pieces are fitted: found by taking them out again, one after another.

Taking a piece out only makes room, so a greedy order misses none: if any order takes everything
out, this finds one. Fitting is the same order backwards.
"""

from collections.abc import Callable
from typing import Final

from layout.boat.parts import OUTSIDE, Boat, Piece
from layout.passage.search.plain import plain_way
from layout.passage.search.plan import Search
from layout.passage.work import never
from layout.verdict.question import SEATED_MM, question, ways_in

TRY_STEPS: Final = 12_000
Told = Callable[[str], None]
Placed = Callable[[str, frozenset[str]], None]


def fitting_order(
    boat: Boat,
    seed: int = 1,
    told: Told = lambda _: None,
    placed: Placed = lambda _, __: None,
    ended: Callable[[], bool] = never,
) -> list[str]:
    """Keys in the order of fitting: the job's own first, and the rest as found, deepest first.

    Pieces that no try takes out stand at the front, where the answer for each says why. `placed`
    is told each piece, with those fitted before it, as soon as its place in the order is known;
    `ended` tells whether the looking is to end.
    """
    given = [n for n in boat.order if not boat.pieces[n].fixed_already]
    rest = [
        piece
        for piece in boat.pieces.values()
        if not piece.fixed_already and piece.key not in given
    ]
    # the highest is tried first: it likely comes out first
    rest.sort(key=lambda p: -float(p.rest.at_mm[2]))
    if given:
        return _told_in_turn(given + [p.key for p in reversed(rest)], placed)
    out: list[str] = []
    left = list(rest)
    tried: dict[str, frozenset[str]] = {}  # what stood in its spaces when a piece did not come out
    found = True
    while left and found:
        found = False
        for p in list(left):
            others = [o for o in left if o is not p]
            spaces = {s for w in ways_in(boat, p) for s in w.spaces}
            beside = frozenset(o.key for o in others if o.space in spaces)
            if tried.get(p.key) == beside:
                continue  # nothing that could be in its way has gone since
            told(p.label)
            if comes_out(boat, p, [*boat.there(), *others], seed, ended):
                out.append(p.key)
                left.remove(p)
                placed(p.key, frozenset(o.key for o in left))
                found = True
            else:
                tried[p.key] = beside
    return _told_in_turn([p.key for p in reversed(left)], placed) + out[::-1]


def _told_in_turn(keys: list[str], placed: Placed) -> list[str]:
    for k, key in enumerate(keys):
        placed(key, frozenset(keys[:k]))
    return keys


def comes_out(
    boat: Boat,
    piece: Piece,
    others: list[Piece],
    seed: int,
    ended: Callable[[], bool] = never,
) -> bool:
    """True when a proven way out was found with the others in place."""
    if piece.space == OUTSIDE:
        return True
    for way in ways_in(boat, piece):
        if ended():
            return False
        q = question(boat, piece, way, others, boat.clearance_mm)
        if q.rest_gap_mm <= -SEATED_MM:
            continue
        if plain_way(q.outer, widest=False) is not None:
            return True
        if Search(q.outer, seed).go_on(TRY_STEPS, ended) is not None:
            return True
    return False
