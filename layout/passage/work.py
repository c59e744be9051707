"""Work counted, not timed: the same question gets the same work on any machine, busy or not."""

from dataclasses import dataclass


@dataclass(slots=True)
class Work:
    """Work allowed, in whole units (cells of turns, rounds of a search), and how much was done."""

    allowed: int
    spent: int = 0

    @property
    def done(self) -> bool:
        """True when all that was allowed is spent."""
        return self.spent >= self.allowed

    @property
    def left(self) -> int:
        """What may still be spent."""
        return max(0, self.allowed - self.spent)

    def spend(self, units: int) -> None:
        """Count units of work that were done."""
        self.spent += units
