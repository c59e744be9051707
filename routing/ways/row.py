"""An edge of the graph of ways that is no step on a face."""

from layout.geometry.frames import Array
from routing.ways.leads import GivenUp


class Row:
    """An edge that is no step on a face: a joint, a lead, a leg outside or between terminals."""

    __slots__ = ("cost", "ends", "given_up", "kind", "length", "points", "where")

    def __init__(
        self,
        ends: tuple[int, int],
        length: float,
        cost: float,
        kind: str,
        where: str,
        points: Array | None = None,
        given_up: GivenUp | None = None,
    ) -> None:
        self.ends, self.length, self.cost, self.kind, self.where = ends, length, cost, kind, where
        self.points, self.given_up = points, given_up
