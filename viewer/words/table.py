"""A table as data: what every sheet sets."""

from dataclasses import dataclass

Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A titled table with a line of words above it; `widths` share out the page."""

    key: str
    title: str
    note: str
    head: Words
    rows: tuple[Words, ...]
    widths: tuple[int, ...]
