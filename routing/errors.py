"""What can go wrong in the routing room.

CoamingError (layout.errors)
└── RoutingError        a circuit cannot be worked out; names the circuit and what to change
    └── TooLong         a run is longer than any drum there is
"""

from layout.errors import CoamingError


class RoutingError(CoamingError):
    """A circuit cannot be worked out; the text names it and what to change."""


class TooLong(RoutingError):
    """A run is longer than any drum there is, and is never jointed."""

    def __init__(self, run_mm: float, longest_mm: float) -> None:
        super().__init__(
            f"a run of {run_mm / 1000:.2f} m is longer than the longest drum, "
            f"{longest_mm / 1000:.2f} m: buy it as one cut length, never joint it"
        )
        self.run_mm, self.longest_mm = run_mm, longest_mm
