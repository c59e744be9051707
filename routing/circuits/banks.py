"""Batteries that are one bank."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Bank:
    """Batteries that are one bank: strings side by side, each from its minus to its plus end."""

    key: str
    strings: tuple[tuple[str, ...], ...]

    @property
    def batteries(self) -> tuple[str, ...]:
        """Every battery of it."""
        return tuple(b for s in self.strings for b in s)

    @property
    def in_series(self) -> int:
        """How many batteries stand in series."""
        return len(self.strings[0])

    def next_to(self, minus_side: str, plus_side: str) -> bool:
        """True when two batteries follow each other in a string."""
        return any(
            a == minus_side and b == plus_side
            for s in self.strings
            for a, b in zip(s, s[1:], strict=False)
        )
