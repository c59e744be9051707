"""Three-point times: least, likely, most; what they come to together, and a range about it.

Each time is taken to spread as the beta distribution of the programme evaluation and review
technique (Malcolm, Roseboom, Clark and Fazar, Operations Research 7, 1959): mean (a + 4 m + b) / 6,
standard deviation (b - a) / 6. Tasks of one kind rest on one usual value, so they are long or short
together: their deviations add. Kinds are independent: their variances add. The range is the mean
and 1.2816 deviations either way, which holds 8 of 10 where the sum is near to normal.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Final

EIGHTY: Final = 1.2816  # deviations about the mean that hold 8 of 10 of a normal distribution


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """A time as least, likely and most, in any one unit. Raises ValueError when out of order."""

    least: float
    likely: float
    most: float

    def __post_init__(self) -> None:
        if not 0 <= self.least <= self.likely <= self.most:
            raise ValueError("least, likely and most are out of order")

    @property
    def mean(self) -> float:
        """The expected value."""
        return (self.least + 4 * self.likely + self.most) / 6

    @property
    def deviation(self) -> float:
        """The standard deviation."""
        return (self.most - self.least) / 6

    def times(self, factor: float) -> "ThreePoint":
        """So many times as much."""
        return ThreePoint(self.least * factor, self.likely * factor, self.most * factor)


@dataclass(frozen=True, slots=True)
class Spread:
    """A sum of times: its mean, and the ends of the range that holds 8 of 10."""

    mean: float
    low: float
    high: float


def together(times: Iterable[tuple[str, ThreePoint]]) -> Spread:
    """The sum of times, each with the kind it is of."""
    mean, by_kind = 0.0, dict[str, float]()
    for kind, t in times:
        mean += t.mean
        by_kind[kind] = by_kind.get(kind, 0.0) + t.deviation
    return spread_of(mean, by_kind)


def spread_of(mean: float, deviations: Mapping[str, float]) -> Spread:
    """The range about a mean, from the deviation of each kind."""
    off = EIGHTY * sqrt(sum(d * d for d in deviations.values()))
    return Spread(mean, max(mean - off, 0.0), mean + off)
