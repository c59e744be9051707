"""What a spoiling is."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Spoiling:
    """One change for the worse, and the tests that should see it."""

    name: str
    file: str
    old: str
    new: str
    tests: str
