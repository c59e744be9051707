"""What a rule of the trade or a standard finds: none of these is a certificate."""

from dataclasses import dataclass
from enum import Enum


class Weight(Enum):
    """How much a finding weighs."""

    MUST = "put right"
    SHOULD = "better"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class RuleFinding:
    """One finding: what it is about, the rule and its source, what was measured, what was asked, what would mend it."""

    weight: Weight
    about: str
    rule: str
    source: str
    measured: str
    wanted: str
    remedy: str

    def line(self) -> str:
        """The finding as one sentence with its remedy."""
        return f"{self.about}: {self.measured}; {self.rule} asks {self.wanted} ({self.source}). {self.remedy}."


def gathered(findings: list[RuleFinding]) -> list[RuleFinding]:
    """The findings, the weightiest first; those that differ only in what they are about are told as one."""
    groups: dict[tuple[object, ...], list[RuleFinding]] = {}
    for f in findings:
        groups.setdefault((f.weight, f.rule, f.source, f.measured, f.wanted, f.remedy), []).append(
            f
        )
    out = []
    for same in groups.values():
        first = same[0]
        names = list(dict.fromkeys(f.about for f in same))
        out.append(
            RuleFinding(
                first.weight,
                "; ".join(names),
                first.rule,
                first.source,
                first.measured,
                first.wanted,
                first.remedy,
            )
        )
    return sorted(out, key=lambda f: list(Weight).index(f.weight))
