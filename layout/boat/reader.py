"""Lengths and names read out of the files, for one set of size values; every problem is noted."""

from collections.abc import Callable, Iterable, Mapping
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, Reading, Space
from layout.errors import Finding, SizeError, did_you_mean, one_line, shown
from layout.geometry.frames import Array
from layout.job.fields import Length
from layout.job.reading import JobFiles
from layout.job.sizes import PLUS_MINUS_MM, Measure, Sizes, looks_measured, parse_measure

HULL_TABLES: Final = ("hull", "spaces", "openings", "solids", "hazards", "holes", "pipes", "trays")
MOST_KNOWN: Final = 8  # names offered in a message
NEARLY_MM: Final = 0.5  # a box is at least this large along each axis


def sizes_of(files: JobFiles, findings: list[Finding]) -> Sizes:
    """The named sizes of hull and job together, with the ways of measuring of both."""
    allowed = dict(PLUS_MINUS_MM)
    measured: dict[str, Measure] = {}
    derived: dict[str, str] = {}

    def say(path_name: str, key: str, text: object, expected: str, hint: str = "") -> None:
        file = one_line(path_name)
        line = files.line(file, key)
        findings.append(Finding(file, key, shown(text), expected, hint, line))

    for model, path in ((files.hull, files.hull_path), (files.job, files.job_path)):
        for how, text in model.plus_minus.items():
            try:
                mm = float(text) if not isinstance(text, str) else parse_measure(text).value_mm
                if mm < 0:
                    raise SizeError(f"{shown(text)} is below nothing", "0 or more")
                allowed[how] = mm
            except SizeError as e:
                say(path.name, f"plus_minus.{one_line(how)}", text, f"a length: {e}", e.hint)
    for model, path in ((files.hull, files.hull_path), (files.job, files.job_path)):
        for name, text in model.sizes.items():
            key = f"sizes.{name}"
            if name in measured or name in derived:
                say(path.name, key, text, "a name not used in the hull file")
            elif not isinstance(text, str):
                measured[name] = Measure(float(text))
            elif looks_measured(text):
                try:
                    measured[name] = parse_measure(text, allowed)
                except SizeError as e:
                    say(path.name, key, text, f"a length: {e}", e.hint)
                    measured[name] = Measure(0.0)
            else:
                derived[name] = text
    return _settled(files, measured, derived, allowed, say)


def _settled(
    files: JobFiles,
    measured: dict[str, Measure],
    derived: dict[str, str],
    allowed: dict[str, float],
    say: Callable[..., None],
) -> Sizes:
    """The sizes with every derived one that cannot be worked out told and left out."""
    while True:
        try:
            return Sizes(measured, derived, None, allowed)
        except SizeError as e:
            bad = next((n for n in derived if _fails(measured, derived, n)), None)
            if bad is None:
                raise
            path = files.hull_path if bad in files.hull.sizes else files.job_path
            say(
                path.name,
                f"sizes.{bad}",
                derived[bad],
                f"a size that can be worked out: {e}",
                e.hint,
            )
            derived = {n: t for n, t in derived.items() if n != bad}
            measured = {**measured, bad: Measure(0.0)}


def _fails(measured: dict[str, Measure], derived: dict[str, str], name: str) -> bool:
    trial = Sizes(measured, {})
    trial.derived = dict(derived)
    try:
        trial.value(name)
    except SizeError:
        return True
    return False


class Reader:
    """Reads lengths and names of the files at one set of sizes; notes what is wrong."""

    def __init__(self, files: JobFiles, sizes: Sizes) -> None:
        self.files, self.sizes = files, sizes
        self.findings: list[Finding] = []
        self.used: dict[str, frozenset[str]] = {}  # table -> measured sizes its lengths are made of
        self._missing = {k.split(".")[1] for k in files.dropped if k.count(".") >= 1}

    def say(self, key: str, found: str, expected: str, hint: str = "", label: str = "") -> None:
        """Note a problem; all are told at once."""
        file = self.file(key)
        line = self.files.line(file, key)
        self.findings.append(Finding(file, key, found, expected, hint, line, label))

    def file(self, key: str) -> str:
        """The name of the file a key stands in."""
        on_hull = key.split(".", maxsplit=1)[0] in HULL_TABLES
        return one_line((self.files.hull_path if on_hull else self.files.job_path).name)

    def mm(self, text: Length, key: str, least: float | None = None) -> float:
        """A field's length in mm; a bad one is noted and stands as `least`."""
        try:
            value = self.sizes.mm(text, key)
        except SizeError as e:
            self.say(key, shown(text), f"a length: {e}", e.hint)
            return least if least is not None else 0.0
        if least is not None and value < least:
            self.say(
                key,
                f"{shown(text)} = {value:g} mm",
                f"at least {least:g} mm",
                "a size cannot be less",
            )
            return least
        return value

    def reading(self, text: Length, key: str, least: float | None = None) -> Reading:
        """A field's length with how far it may be off."""
        value = self.mm(text, key, least)
        try:
            return Reading(value, self.sizes.doubt_mm(text, key))
        except SizeError:
            return Reading(value)  # told already

    def vec(self, texts: Iterable[Length], key: str, least: float | None = None) -> Array:
        """Several lengths at once, (n,)."""
        return np.array([self.mm(t, f"{key}[{i + 1}]", least) for i, t in enumerate(texts)])

    def known(self, name: str, key: str, known: Iterable[str], what: str) -> bool:
        """True when a name is known; an unknown one is noted with the nearest that is."""
        names = list(known)
        if name in names:
            return True
        if name in self._missing:
            return False  # it is there, but something in it was wrong and has been told
        hint = did_you_mean(name, names)
        more = "known: " + ", ".join(names[:MOST_KNOWN]) if names else "there is none yet"
        self.say(key, shown(name), f"the name of {what}", hint or more)
        return False

    def resolved(self, name: str, key: str, labels: Mapping[str, str], what: str) -> str | None:
        """The key a person means by a key or a label; None, and noted, when there is none such.

        A label that two of them have decides nothing.
        """
        if name in labels:
            return name
        mine = [k for k, label in labels.items() if label == name]
        if len(mine) == 1:
            return mine[0]
        if len(mine) > 1:
            self.say(key, shown(name), f"one of {', '.join(mine)}", "several carry that label")
            return None
        if self.known(name, key, [*labels, *labels.values()], what):
            return name
        return None

    def origin(self, space: str, key: str, spaces: dict[str, Space], outside: bool = True) -> Array:
        """The corner a space's own lengths are measured from; the hull's origin outside."""
        if space == OUTSIDE and outside:
            return np.zeros(3)
        if self.known(space, key, [*spaces, OUTSIDE] if outside else list(spaces), "a space"):
            return spaces[space].low
        return np.zeros(3)

    def corners(self, a: Array, b: Array, key: str, label: str = "") -> tuple[Array, Array]:
        """Two corners of a box; put right, and noted, when the second is not beyond the first."""
        if np.any(b - a < NEARLY_MM):
            self.say(
                f"{key}.to",
                f"{mm_list(b)} after {mm_list(a)}",
                "each 'to' number larger than its 'from'",
                "x is forward, y to port, z up",
                label,
            )
            b = np.maximum(b, a + 1)
        return a, b


def mm_list(x: Array) -> str:
    """Lengths as a list, for a message."""
    return "[" + ", ".join(f"{v:g}" for v in x) + "]"


def title(key: str) -> str:
    """A key as a label."""
    return key.replace("_", " ").capitalize()
