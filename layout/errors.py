"""What can go wrong in the layout room.

CoamingError            anything a person can mend; its text is shown as it stands
├── ShapeError          an array is not the box, pose or turn it should be
├── SizeError           a size or an expression cannot be read
├── JobError            a hull or job file cannot be used; holds every problem found
└── Stopped             the person stopped the work
"""

import difflib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

MAX_SHOWN: Final = 60  # characters of a bad value repeated in a message
NEAR: Final = 0.7  # how like a word must be to be offered in its place
# control characters, and the marks that turn the direction of text or hide in it
UNSAFE: Final = re.compile(
    "[\x00-\x1f\x7f-\x9f\u00ad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]"
)


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


def one_line(text: str) -> str:
    """A text with everything taken out that could act on a terminal or hide in a line."""
    return UNSAFE.sub("?", text)


def shown(value: object) -> str:
    """A value as a message may repeat it: short, on one line, nothing that acts on a terminal."""
    try:
        text = f'"{value}"' if isinstance(value, str) else repr(value)
    except ValueError:  # a whole number of thousands of digits is not turned into text
        text = "a number of thousands of digits"
    text = one_line(text[: 4 * MAX_SHOWN])
    return text if len(text) <= MAX_SHOWN else text[: MAX_SHOWN - 1] + "…"


def nearest(word: str, known: Iterable[str], cutoff: float = NEAR) -> str:
    """The known word that is most like one a person wrote; empty when none is near."""
    close = difflib.get_close_matches(word, list(known), n=1, cutoff=cutoff)
    return close[0] if close else ""


def did_you_mean(word: str, known: Iterable[str], cutoff: float = NEAR) -> str:
    """A hint that offers the nearest word, or nothing."""
    close = nearest(word, known, cutoff)
    return f"did you mean '{one_line(close)}'?" if close else ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing wrong in a file: where, what stands there, what should, and a hint.

    `line` is the line of the file it stands on, 0 where that is not known; `label` what people
    call the table it is in.
    """

    file: str
    key: str
    found: str
    expected: str
    hint: str = ""
    line: int = 0
    label: str = ""

    def sentence(self) -> str:
        """The finding in one sentence."""
        place = f"{self.file}, line {self.line}" if self.line else self.file
        whose = f" ({one_line(self.label)})" if self.label else ""
        text = f"{place}: {self.key}{whose}: found {self.found}; expected {self.expected}"
        return text + (f" ({self.hint})" if self.hint else "")


class JobError(CoamingError):
    """A hull or job file cannot be used; `findings` lists every problem at once."""

    def __init__(self, findings: list[Finding]) -> None:
        super().__init__("\n".join(f.sentence() for f in findings))
        self.findings = findings
