"""What can go wrong in the routing room.

CoamingError (layout.errors)
└── RoutingError        a circuit cannot be worked out; names the circuit and what to change
"""

from layout.errors import CoamingError


class RoutingError(CoamingError):
    """A circuit cannot be worked out; the text names it and what to change."""
