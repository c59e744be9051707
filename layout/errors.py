"""What can go wrong in the layout room.

CoamingError            anything a person can mend; its text is shown as it stands
├── ShapeError          an array is not the box, pose or turn it should be
├── SizeError           a size or an expression cannot be read
├── JobError            a hull or job file cannot be used; holds every problem found
└── Stopped             the person stopped the work
"""

from dataclasses import dataclass


class CoamingError(Exception):
    """Anything a person can mend; the text says what and how."""


class ShapeError(CoamingError):
    """An array is not the box, pose or turn it should be."""


class SizeError(CoamingError):
    """A size or an expression cannot be read; `hint` says what would do."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


class Stopped(CoamingError):
    """The person stopped the work; nothing was written."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing wrong in a file: where, what stands there, what should, and a hint."""

    file: str
    key: str
    found: str
    expected: str
    hint: str = ""

    def line(self) -> str:
        """The finding in one sentence."""
        text = f"{self.file}: {self.key}: found {self.found}; expected {self.expected}"
        return text + (f" ({self.hint})" if self.hint else "")


class JobError(CoamingError):
    """A hull or job file cannot be used; `findings` lists every problem at once."""

    def __init__(self, findings: list[Finding]) -> None:
        super().__init__("\n".join(f.line() for f in findings))
        self.findings = findings
