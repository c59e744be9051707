"""Work counted, not timed: the same question gets the same work on any machine, busy or not."""

from collections.abc import Callable
from dataclasses import dataclass


def never() -> bool:
    """Nobody asks for an end."""
    return False


@dataclass(slots=True)
class Work:
    """Work allowed, in whole units (cells of turns, rounds of a search), and how much was done.

    `ended` tells whether a person, or a clock they set, ends it before that.
    """

    allowed: int
    spent: int = 0
    ended: Callable[[], bool] = never

    @property
    def done(self) -> bool:
        """True when all that was allowed is spent, or it is ended."""
        return self.spent >= self.allowed or self.ended()

    @property
    def left(self) -> int:
        """What may still be spent."""
        return max(0, self.allowed - self.spent)

    def spend(self, units: int) -> None:
        """Count units of work that were done."""
        self.spent += units
