"""Which few sizes, measured again, settle most of what is not settled yet.

Each piece in doubt has a least gap at the sizes as told, a gap it should keep, and sizes that move
it, each by so much at the end of its own doubt (first order, as they were ranked). Measuring a size
again leaves it a fraction of its doubt. A piece is settled, one way or the other, when what doubt
is left no longer reaches from its gap to the gap wanted. Chosen exactly by trying sets in order of
size while few, else one after the other, that which settles most (or takes most doubt off) first.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

FEW: Final = 14  # sizes up to which every set is tried
MOST_SETS: Final = 4  # sizes of a set tried: beyond it nobody takes a short way
BEST_MM: Final = 1.0  # what a careful second measuring with two sticks leaves: common practice


@dataclass(frozen=True, slots=True)
class Doubt:
    """A piece in doubt: its gap, the gap wanted, and (size, its effect, its own ±) for each."""

    piece: str
    gap_mm: float
    wanted_mm: float
    sizes: tuple[tuple[str, float, float], ...]

    def left_mm(self, again: frozenset[str]) -> float:
        """The doubt left in its gap when some sizes have been measured again."""
        total = 0.0
        for key, effect, own in self.sizes:
            share = min(BEST_MM / own, 1.0) if key in again and own > 0 else 1.0
            total += abs(effect) * share
        return total

    def settled(self, again: frozenset[str]) -> bool:
        """True when the doubt left does not reach from its gap to the gap wanted."""
        return self.left_mm(again) <= abs(self.gap_mm - self.wanted_mm) + 1e-9


@dataclass(frozen=True, slots=True)
class Again:
    """Sizes to measure again, what each step settles, and whether no smaller set does as much."""

    steps: tuple[tuple[str, tuple[str, ...]], ...]  # size, the pieces settled once it is known
    left: tuple[str, ...]  # pieces no measuring settles
    exact: bool


def measure_again(doubts: Iterable[Doubt]) -> Again:
    """The fewest sizes that settle as many pieces as measuring can."""
    open_ = [d for d in doubts if not d.settled(frozenset())]
    keys = list(dict.fromkeys(k for d in open_ for k, _, _ in d.sizes))
    whole = frozenset(keys)
    can = [d for d in open_ if d.settled(whole)]
    left = tuple(d.piece for d in open_ if d not in can)
    found = _exact(can, keys) if len(keys) <= FEW else None
    chosen = found if found is not None else _greedy(can, keys)
    return Again(_in_turn(can, chosen), left, found is not None)


def _exact(can: Sequence[Doubt], keys: list[str]) -> frozenset[str] | None:
    for n in range(MOST_SETS + 1):
        for some in combinations(keys, n):
            again = frozenset(some)
            if all(d.settled(again) for d in can):
                return again
    return None


def _greedy(can: Sequence[Doubt], keys: list[str]) -> frozenset[str]:
    again: frozenset[str] = frozenset()
    while not all(d.settled(again) for d in can):
        rest = [k for k in keys if k not in again]
        again |= {max(rest, key=lambda k: (_worth(can, again | {k}), -keys.index(k)))}
    return again


def _worth(can: Sequence[Doubt], again: frozenset[str]) -> tuple[int, float]:
    return sum(d.settled(again) for d in can), -sum(d.left_mm(again) for d in can)


def _in_turn(
    can: Sequence[Doubt], chosen: frozenset[str]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The chosen sizes in the order that settles most soonest."""
    out: list[tuple[str, tuple[str, ...]]] = []
    again: frozenset[str] = frozenset()
    while again != chosen:
        key = max(sorted(chosen - again), key=lambda k: _worth(can, again | {k}))
        now = again | {key}
        newly = tuple(d.piece for d in can if d.settled(now) and not d.settled(again))
        out.append((key, newly))
        again = now
    return tuple(out)
