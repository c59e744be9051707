"""Where one lies to work in each space, and the factor that gives."""

import numpy as np

from layout.boat.parts import OUTSIDE, Boat, Opening, Space
from routing.estimate.access import Lying, access_factor
from viewer.work.estimate.rows import AccessRow

LEVEL = 2  # the hull axis that is up


def access_rows(boat: Boat) -> list[AccessRow]:
    """A row for every space, through the opening that makes it easiest."""
    return [_row(boat, s) for s in boat.spaces.values()]


def _row(boat: Boat, space: Space) -> AccessRow:
    found = [_through(space, o) for o in boat.openings.values() if space.key in (o.inner, o.outer)]
    ways = found or [("", Lying(space.site, 0.0, 0.0, None))]
    opens = {o.key for o in boat.openings.values() if OUTSIDE in (o.inner, o.outer)}
    opening, lying = min(
        ways,
        key=lambda w: (w[0] not in opens, access_factor(w[1]), -(w[1].aperture_mm or 0.0), w[0]),
    )
    return AccessRow(
        space=space.key,
        site=space.site,
        opening=opening,
        below_mm=lying.below_mm,
        from_opening_mm=lying.from_opening_mm,
        aperture_mm=lying.aperture_mm,
        factor=round(access_factor(lying), 2),
    )


def _through(space: Space, o: Opening) -> tuple[str, Lying]:
    """How one lies through an opening: the middle of the space is where one works."""
    middle = (space.low + space.high) / 2
    off = o.centre - middle
    across = [k for k in range(3) if k != LEVEL]
    below = max(float(off[LEVEL]), 0.0) if o.axis == LEVEL else 0.0
    away = float(np.linalg.norm(off[across]))
    return o.key, Lying(space.site, below, away, float(np.min(o.size)))


class Factors:
    """The factor of each place; open ground and the deck are 1."""

    def __init__(self, rows: list[AccessRow], everywhere: float, aboard: float) -> None:
        self.by_space = {r.space: r.factor for r in rows}
        self.everywhere, self.aboard = everywhere, aboard

    def of(self, place: str) -> float:
        """How many times as long work takes there, by what the job tells of the boat too."""
        if place in ("office", "road"):
            return 1.0
        if place == "bench":
            return self.everywhere
        return self.by_space.get(place, 1.0) * self.aboard  # on deck as on open ground
