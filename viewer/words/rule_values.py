"""A finding's values, and the small words rules share."""

from dataclasses import dataclass
from typing import Final

from viewer.words.names import Names
from viewer.work.rows import FindingRow

Figures = dict[str, float]


@dataclass(frozen=True, slots=True)
class RuleWords:
    """One finding in words."""

    about: str
    rule: str
    source: str
    found: str
    asks: str
    remedy: str

    def sentence(self) -> str:
        """The finding as sentences: what is wrong, what is asked, what to do."""
        asks = f"; {self.asks}" if self.asks else ""
        source = f" ({self.source})" if self.source else ""
        return f"{self.about}: {self.found}{asks}{source}. {self.remedy}."


class Values:
    """A finding's values, numbers and words apart."""

    def __init__(self, finding: FindingRow, names: Names) -> None:
        self.values, self.names = finding.values, names

    def n(self, key: str) -> float:
        """A number."""
        value = self.values.get(key, 0.0)
        return float(value) if isinstance(value, int | float) else 0.0

    def s(self, key: str) -> str:
        """A text."""
        return str(self.values.get(key, ""))

    def name(self, key: str) -> str:
        """The words for a key."""
        return self.names.of(self.s(key))

    def end(self, key: str) -> str:
        """The words for one end of a circuit: its terminal and what that is on."""
        place, _, terminal = self.s(key).removeprefix("end:").rpartition(".")
        return f"{terminal.replace('_', ' ')} of {self.names.place(place)}"

    def list(self, key: str) -> list[str]:
        """Several texts."""
        value = self.values.get(key, ())
        return [str(v) for v in value] if isinstance(value, tuple | list) else []


Words = tuple[str, str, str, str, str]  # rule, source, found, asks, remedy
CFR: Final = "33 CFR"


def in_m(mm: float) -> str:
    """A length in metres."""
    return f"{mm / 1000:.1f} m"


def in_ka(amp: float) -> str:
    """A current in kA."""
    return f"{amp / 1000:.3g} kA"


def larger(values: Values) -> str:
    """The next size up, where there is one."""
    size = values.s("size")
    return f"Take {size} or larger" if size else "Share the load over two cables"
