"""A measured length: value, plus or minus, and how it was taken; and arithmetic on named sizes.

People write `"430 mm ±2 tape"`, `"16 15/16 in"`, `"1 ft 4 1/2 in"`, or arithmetic on sizes they
have named: `"hatch_length - 2 * trim"`. Everything else in the job is worked out from such sizes,
so one changed number re-answers the whole job.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from layout.errors import SizeError, did_you_mean
from layout.job.expressions import evaluate, names_in

MM_PER: Final = MappingProxyType({"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8})
LARGEST_MM: Final = 100_000.0  # 100 m: no small boat, and no way of measuring, is larger
MAX_DIGITS: Final = 40  # of one number as people write it

# Plus or minus in mm by way of measuring. From memory of shop practice, not from a standard: a job
# or hull file may set its own in [plus_minus].
PLUS_MINUS_MM: Final = MappingProxyType(
    {
        "tape": 2.0,  # steel tape on a clear span
        "tape in a corner": 5.0,  # tape bent into a corner
        "stick": 1.0,  # two sticks slid apart
        "template": 3.0,
        "mirror": 10.0,  # at arm's length by mirror
        "drawing": 20.0,
        "sister boat": 25.0,
        "guess": 50.0,
        "maker": 1.0,  # a maker's data sheet
        "cut": 0.5,  # cut on the bench by the shop itself
    }
)

_NUMBER: Final = r"(?:\d+/\d+|\d+(?:[.,]\d+)?(?:\s+\d+/\d+)?)"
_PART: Final = re.compile(rf"\s*({_NUMBER})\s*([A-Za-z\"']+)")
_MEASURE_START: Final = re.compile(rf"^\s*[-+]?\s*{_NUMBER}\s*[A-Za-z\"']+(?:\s|$|\d|±|\+)")
_PLUS_MINUS: Final = re.compile(rf"(?:±|\+/-|\+-)\s*({_NUMBER})\s*([A-Za-z\"']*)")


@dataclass(frozen=True, slots=True)
class Measure:
    """One measured length. `how` is empty for a number that was not measured (a choice)."""

    value_mm: float
    plus_minus_mm: float = 0.0
    how: str = ""


def _number(text: str, whole: str) -> float:
    """A number such as `16 15/16`. Raises SizeError."""
    text = text.strip().replace(",", ".")
    if len(text) > MAX_DIGITS:
        raise SizeError("a number of that many digits is not a length", "write it like 430 mm")
    try:
        return sum(float(Fraction(word)) if "/" in word else float(word) for word in text.split())
    except (ZeroDivisionError, OverflowError):
        hint = "a fraction of an inch looks like 15/16"
        raise SizeError(f"'{whole}' divides by zero", hint) from None


def _length(text: str, whole: str) -> float:
    """A length such as `5 ft 6 1/2 in`; every part needs its unit."""
    sign = 1.0
    rest = text.strip()
    if rest[:1] in "+-":
        sign, rest = (-1.0 if rest[0] == "-" else 1.0), rest[1:]
    total, at = 0.0, 0
    while at < len(rest.rstrip()):
        m = _PART.match(rest, at)
        if m is None:
            raise SizeError(
                f"'{whole}' is not a length", "write it like 430 mm, 16 15/16 in or 1 ft 4 in"
            )
        unit = {'"': "in", "'": "ft", "inch": "in", "inches": "in"}.get(
            m.group(2).lower(), m.group(2).lower()
        )
        if unit not in MM_PER:
            raise SizeError(f"'{m.group(2)}' is not a unit I know", "use mm, cm, m, in or ft")
        total += _number(m.group(1), whole) * MM_PER[unit]
        at = m.end()
    return sign * total


def looks_measured(text: str) -> bool:
    """True when the text starts like a length with its unit rather than like arithmetic."""
    return _MEASURE_START.match(text) is not None


def parse_measure(text: str, plus_minus: Mapping[str, float] = PLUS_MINUS_MM) -> Measure:
    """Read `"430 mm ±2 tape"`. Raises SizeError saying what was wrong and what would do.

    >>> parse_measure("16 15/16 in ±1/16 in stick").value_mm
    430.2125
    """
    body, how, tolerance = text.strip(), "", None
    m = _PLUS_MINUS.search(body)
    if m is not None:
        unit = m.group(2).lower()
        if unit and unit not in MM_PER:  # "±2 tape": the word belongs to the way of measuring
            tail, unit = body[m.start(2) :], "mm"
        else:
            tail, unit = body[m.end() :], unit or "mm"
        tolerance = _number(m.group(1), text) * MM_PER[unit]
        body, how = body[: m.start()], tail.strip()
    else:
        for word in sorted(plus_minus, key=len, reverse=True):
            if body.lower().endswith(" " + word):
                body, how = body[: -len(word)].strip(), word
                break
    if how and how.lower().startswith("by "):
        how = how[3:]
    if body.lower().endswith(" by"):
        body = body[:-3]
    if how and how not in plus_minus:
        raise SizeError(
            f"'{how}' is not a way of measuring I know",
            "use one of: " + ", ".join(sorted(plus_minus)),
        )
    value = _length(body, text)
    return Measure(
        _in_range(value, text),
        tolerance if tolerance is not None else plus_minus.get(how, 0.0),
        how,
    )


def _in_range(value: float, text: object) -> float:
    if not math.isfinite(value) or abs(value) > LARGEST_MM:
        raise SizeError(f"'{text}' is not a length a boat can have", "lengths go up to 100 m")
    return value


class Sizes:
    """Named sizes and arithmetic on them, evaluated once; `nudged` gives the same with some moved.

    A size's own error is independent of the others; a derived size has none of its own.
    `plus_minus` gives the usual ± of each way of measuring, for sizes written in place as well.
    """

    def __init__(
        self,
        measured: Mapping[str, Measure],
        derived: Mapping[str, str],
        nudge: Mapping[str, float] | None = None,
        plus_minus: Mapping[str, float] = PLUS_MINUS_MM,
    ) -> None:
        self.measured = dict(measured)
        self.derived = dict(derived)
        self.nudge = dict(nudge or {})
        self.plus_minus = plus_minus
        self._values = {
            k: measure.value_mm + self.nudge.get(k, 0.0) for k, measure in self.measured.items()
        }
        self._open: list[str] = []
        for name in self.derived:
            self.value(name)

    def value(self, name: str) -> float:
        """The value in mm of a named size. Raises SizeError."""
        if name in self._values:
            return self._values[name]
        if name not in self.derived:
            hint = did_you_mean(name, [*self.measured, *self.derived])
            raise SizeError(f"no size is named '{name}'", hint)
        if name in self._open:
            loop = " -> ".join([*self._open[self._open.index(name) :], name])
            hint = "give one of them as a measured length"
            raise SizeError(f"sizes go round in a circle: {loop}", hint)
        self._open.append(name)
        try:
            text = self.derived[name]
            needed = {n: self.value(n) for n in names_in(text)}
            value = _in_range(evaluate(text, needed), text)
        finally:
            self._open.pop()
        self._values[name] = value
        return value

    def mm(self, text: str | float | int, key: str) -> float:
        """The length a field stands for, in mm. A measured one is remembered under its `key`.

        A bare number is mm. Raises SizeError.
        """
        if isinstance(text, bool):
            raise SizeError(f"'{text}' is not a length", "write it like 430 mm")
        if isinstance(text, int | float):
            return _in_range(float(text), text)
        if looks_measured(text):
            if key not in self.measured:
                self.measured[key] = parse_measure(text, self.plus_minus)
                value = self.measured[key].value_mm + self.nudge.get(key, 0.0)
                self._values[key] = _in_range(value, text)
            return self._values[key]
        needed = {n: self.value(n) for n in names_in(text)}
        return _in_range(evaluate(text, needed), text)

    def measured_in(self, text: str | float | int, key: str) -> frozenset[str]:
        """The measured sizes with a ± that a field's length is made of. Raises SizeError."""
        if not isinstance(text, str):
            return frozenset()
        names = [key] if looks_measured(text) else names_in(text)
        out: set[str] = set()
        seen: set[str] = set()
        while names:
            name = names.pop()
            if name in seen:
                continue
            seen.add(name)
            if name in self.measured:
                if self.measured[name].plus_minus_mm > 0:
                    out.add(name)
            elif name in self.derived:
                names += names_in(self.derived[name])
        return frozenset(out)

    def doubt_mm(self, text: str | float | int, key: str) -> float:
        """How far a field's length may be off when each size in it is at its worst. Raises
        SizeError.
        """
        total = 0.0
        self.mm(text, key)
        for name in self.measured_in(text, key):
            reach = self.measured[name].plus_minus_mm
            ends = [self.nudged({name: sign * reach}).mm(text, key) for sign in (1.0, -1.0)]
            total += abs(ends[0] - ends[1]) / 2
        return total

    def nudged(self, nudge: Mapping[str, float]) -> "Sizes":
        """The same sizes with some measured ones moved by so many mm."""
        return Sizes(self.measured, self.derived, nudge, self.plus_minus)

    def uncertain(self) -> dict[str, Measure]:
        """The measured sizes that have a plus or minus."""
        return {
            name: measure for name, measure in self.measured.items() if measure.plus_minus_mm > 0
        }


def inches(mm: float) -> str:
    """Inches to the nearest sixteenth, as read off a rule.

    >>> inches(430.2)
    '16 15/16 in'
    """
    sixteenths = round(abs(mm) / 25.4 * 16)
    whole, part = divmod(sixteenths, 16)
    f = Fraction(part, 16)
    text = " ".join(
        t for t in (str(whole) if whole or not part else "", str(f) if part else "") if t
    )
    return ("-" if mm < 0 and sixteenths else "") + text + " in"
