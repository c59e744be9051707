"""What a rule of the trade or a standard finds, as data: none of these is a certificate.

The words of every rule are in `viewer.words`; here is which rule, how urgent, about what, and the
numbers with their units in their names.
"""

from dataclasses import dataclass, field
from enum import StrEnum


class Urgency(StrEnum):
    """How urgent a finding is: must for danger or law, should for good practice, note to know."""

    MUST = "must"
    SHOULD = "should"
    NOTE = "note"


Values = dict[str, float | str | tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class RuleFinding:
    """One finding: a rule by its key, how urgent, what it is about, and what was measured.

    `about` are keys: `piece:KEY`, `circuit:NUMBER`, `hazard:KEY`, `backbone:KEY`, `cable:SIZE` or
    `job:WORD`. `values` are numbers with units in their names, texts that a person or a list gave,
    and keys of parts as the boat names them.
    """

    rule: str
    urgency: Urgency
    about: tuple[str, ...]
    values: Values = field(default_factory=dict)


def gathered(findings: list[RuleFinding]) -> list[RuleFinding]:
    """The findings, the most urgent first; those that differ only in what they are about as one."""
    groups: dict[tuple[object, ...], list[RuleFinding]] = {}
    for f in findings:
        same = (f.rule, f.urgency, tuple(sorted(f.values.items(), key=lambda v: v[0])))
        groups.setdefault(same, []).append(f)
    out = []
    for group in groups.values():
        about = tuple(dict.fromkeys(a for f in group for a in f.about))
        out.append(RuleFinding(group[0].rule, group[0].urgency, about, group[0].values))
    order = list(Urgency)
    return sorted(out, key=lambda f: order.index(f.urgency))
