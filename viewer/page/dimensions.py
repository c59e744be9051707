"""Distances a person can measure, found in the files and written back to them.

A dimension is a sum of fields of a file: the length of a space is its `to` less its `from`, the
edge of a hatch its `centre` less half its `size`. Typing a new figure changes the named size that
alone makes it up where there is one, and names a new size where there is none: what was measured
stays in the file as it was measured, with its ±.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from layout.boat.faces import FACE_OF, across
from layout.boat.parts import Boat, Hole, Opening, Pipe, Space
from layout.errors import CoamingError, SizeError
from layout.geometry.frames import Array
from layout.job.expressions import names_in
from layout.job.sizes import Measure, Sizes, looks_measured, parse_measure
from viewer.page.edits.changes import Change
from viewer.page.folder import key_from

Path_ = tuple[str | int, ...]
SPANS: Final = ("length", "breadth", "height")
LOWS: Final = ("aft side", "starboard side", "floor")
SAME_MM: Final = 1e-6
ON_A_SIDE_MM: Final = 1.0  # a hole this near a side is in it: that figure is not measured
SLOPE_TOLERANCE: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Dimension:
    """A distance as a sum of fields; the first is the one written. Points are for drawing."""

    key: str
    words: str
    of: str
    axis: int | None
    terms: tuple[tuple[Path_, float], ...]
    from_mm: tuple[float, float, float]
    to_mm: tuple[float, float, float]
    rank: int


def dimensions_of(boat: Boat) -> Iterator[Dimension]:
    """Every distance of a hull that a person can measure, those of openings first."""
    for opening in boat.openings.values():
        if opening.inner in boat.spaces:
            yield from _of_opening(opening, boat.spaces[opening.inner])
    for space in boat.spaces.values():
        yield from _of_space(space)
    for solid in boat.solids.values():
        low, high = solid.centre - solid.half, solid.centre + solid.half
        space_of = boat.spaces.get(solid.space)
        yield from _of_box("solids", f"solid:{solid.key}", solid.label, low, high, space_of)
    for h in boat.hazards.values():
        space_of = boat.spaces.get(h.space)
        yield from _of_box("hazards", f"hazard:{h.key}", h.label, h.low, h.high, space_of)
    for hole in boat.holes.values():
        yield from _of_joint("holes", hole, boat.spaces)
    for pipe in boat.pipes.values():
        yield from _of_joint("pipes", pipe, boat.spaces)
    origin = (0.0, 0.0, 0.0)
    for word in ("length", "beam"):
        terms: tuple[tuple[Path_, float], ...] = ((("hull", word), 1.0),)
        words = f"the boat, {word} over all"
        yield Dimension(f"hull:boat:{word}", words, "hull:boat", None, terms, origin, origin, 8)


def _point(x: Any) -> tuple[float, float, float]:
    return float(x[0]), float(x[1]), float(x[2])


def _of_space(space: Space) -> Iterator[Dimension]:
    for k in range(3):
        whose = f"space:{space.key}"
        yield _span("spaces", whose, space.label, k, space.low, space.high, 4)


def _span(
    group: str, whose: str, label: str, k: int, low: Array, high: Array, rank: int
) -> Dimension:
    """How long a box told by its two corners is along one axis."""
    path = (group, whose.partition(":")[2])
    end = low.copy()
    end[k] = high[k]
    terms = (((*path, "to", k), 1.0), ((*path, "from", k), -1.0))
    words = f"{label}, {SPANS[k]}"
    return Dimension(f"{whose}:{SPANS[k]}", words, whose, k, terms, _point(low), _point(end), rank)


def _of_opening(o: Opening, space: Space) -> Iterator[Dimension]:
    path, of = ("openings", o.key), f"opening:{o.key}"
    for i, k in enumerate(across(o.axis)):
        half = o.centre * 0.0
        half[k] = o.size[i] / 2
        low, high = o.centre - half, o.centre + half
        word = SPANS[k] if o.axis != k else "size"
        yield Dimension(
            f"{of}:{word}",
            f"{o.label}, clear {word}",
            of,
            k,
            (((*path, "size", i), 1.0),),
            _point(low),
            _point(high),
            0,
        )
        edge = (((*path, "centre", i), 1.0), ((*path, "size", i), -0.5))
        yield _from_wall(of, f"{o.label}, its edge", k, edge, low, space, 3)
    through = o.centre.copy()
    through[o.axis] += o.sign * o.throat_mm
    ends = _point(o.centre), _point(through)
    yield Dimension(
        f"{of}:throat",
        f"{o.label}, depth of the rim",
        of,
        o.axis,
        (((*path, "throat"), 1.0),),
        *ends,
        1,
    )
    yield Dimension(
        f"{of}:corner_radius",
        f"{o.label}, radius of its corners",
        of,
        None,
        (((*path, "corner_radius"), 1.0),),
        ends[0],
        ends[0],
        2,
    )


def _of_box(
    group: str, whose: str, label: str, low: Array, high: Array, space: Space | None
) -> Iterator[Dimension]:
    """A box told by its two corners: how large it is, and where it is in its space."""
    path = (group, whose.partition(":")[2])
    for k in range(3):
        yield _span(group, whose, label, k, low, high, 5)
        if space is not None:
            yield _from_wall(whose, f"{label},", k, (((*path, "from", k), 1.0),), low, space)


def _from_wall(
    whose: str,
    label: str,
    k: int,
    terms: tuple[tuple[Path_, float], ...],
    at: Array,
    space: Space,
    rank: int = 6,
) -> Dimension:
    """How far a point is from the low side of its space along one axis."""
    wall = at.copy()
    wall[k] = space.low[k]
    key, words = f"{whose}:from_{FACE_OF[k, -1]}", f"{label} from the {LOWS[k]}"
    return Dimension(key, words, whose, k, terms, _point(wall), _point(at), rank)


def _of_joint(group: str, joint: Hole | Pipe, spaces: dict[str, Space]) -> Iterator[Dimension]:
    """A hole or pipe: its bore, and where its first end is on the side it is in."""
    path, whose = (group, joint.key), f"joint:{joint.key}"
    ends = _point(joint.at), _point(joint.at)
    terms: tuple[tuple[Path_, float], ...] = (((*path, "bore"), 1.0),)
    yield Dimension(f"{whose}:bore", f"{joint.label}, clear bore", whose, None, terms, *ends, 3)
    space = spaces.get(joint.spaces[0])
    if space is None:
        return
    for k in range(3):
        on_a_side = min(abs(joint.at[k] - space.low[k]), abs(joint.at[k] - space.high[k]))
        if on_a_side > ON_A_SIDE_MM:
            at = (((*path, "at", k), 1.0),)
            yield _from_wall(whose, f"{joint.label},", k, at, joint.at, space)


def field_key(path: Path_) -> str:
    """A field's place as messages and sizes name it: `spaces.locker.from[1]`."""
    out = ""
    for step in path:
        out += f"[{step + 1}]" if isinstance(step, int) else ("." if out else "") + step
    return out


@dataclass(frozen=True, slots=True)
class Found:
    """A dimension's value, its doubt, and the measured sizes it is made of with their shares."""

    mm: float
    plus_minus_mm: float
    how: str
    slopes: Mapping[str, float]


class Reckoner:
    """Values of dimensions from the tables of a file and the sizes of a job."""

    def __init__(self, tables: Mapping[str, Any], sizes: Sizes) -> None:
        self.tables, self.sizes = tables, sizes
        self._nudged: dict[str, Sizes] = {}

    def text(self, path: Path_) -> Any:
        """What is written at a path; None where nothing is."""
        here: Any = self.tables
        for step in path:
            try:
                here = here[step]
            except (KeyError, IndexError, TypeError):
                return None
        return here

    def _value(self, d: Dimension, sizes: Sizes) -> float:
        total = 0.0
        for path, share in d.terms:
            text = self.text(path)
            total += share * (0.0 if text is None else sizes.mm(text, field_key(path)))
        return total

    def found(self, d: Dimension) -> Found:
        """The value of a dimension. Raises SizeError."""
        mm = self._value(d, self.sizes)
        slopes: dict[str, float] = {}
        for name in self._names(d):
            if name not in self._nudged:
                self._nudged[name] = self.sizes.nudged({name: 1.0})
            slope = self._value(d, self._nudged[name]) - mm
            if abs(slope) > SLOPE_TOLERANCE:
                slopes[name] = slope
        measures = [self.sizes.measured[n] for n in slopes]
        doubt = sum(
            abs(s) * m.plus_minus_mm for s, m in zip(slopes.values(), measures, strict=True)
        )
        hows = {m.how for m in measures if m.how}
        return Found(mm, doubt, hows.pop() if len(hows) == 1 else "", slopes)

    def _names(self, d: Dimension) -> list[str]:
        """The measured sizes, named or in place, that a dimension is made of."""
        out: dict[str, None] = {}
        open_: list[str] = []
        for path, _ in d.terms:
            text = self.text(path)
            if not isinstance(text, str):
                continue
            if looks_measured(text):
                self.sizes.mm(text, field_key(path))
                out[field_key(path)] = None
            else:
                open_ += names_in(text)
        seen: set[str] = set()
        while open_:
            name = open_.pop()
            if name in seen:
                continue
            seen.add(name)
            if name in self.sizes.measured:
                out[name] = None
            elif name in self.sizes.derived:
                open_ += names_in(self.sizes.derived[name])
        return list(out)

    def alone(self, d: Dimension, f: Found) -> str:
        """The measured size that is this dimension and nothing else; empty where none is."""
        for name, slope in f.slopes.items():
            same = abs(self.sizes.value(name) - f.mm) <= SAME_MM
            if len(f.slopes) == 1 and abs(slope - 1.0) <= SLOPE_TOLERANCE and same:
                return name
        return ""

    def written(self, d: Dimension, text: str) -> tuple[list[Change], str]:
        """(the changes that make a dimension what a person typed, the size's key).

        Raises SizeError for a text that is no length.
        """
        parse_measure(text, self.sizes.plus_minus)
        f = self.found(d)
        name = self.alone(d, f)
        if name in self.tables.get("sizes", {}):
            return [Change(path=("sizes", name), value=text)], name
        path = d.terms[0][0]
        if len(d.terms) == 1 and (name or not f.slopes):
            return [Change(path=path, value=text)], field_key(path)
        return self._named(d, text)

    def _named(self, d: Dimension, text: str) -> tuple[list[Change], str]:
        """A new named size, and the field written as arithmetic on it."""
        taken = {*self.sizes.measured, *self.sizes.derived}
        _, thing, what = d.key.split(":")
        name = key_from(f"{thing}_{what}", taken)
        changes = [Change(path=("sizes", name), value=text)]
        whole = name
        for path, share in d.terms[1:]:
            written = self.text(path)
            if isinstance(written, str) and looks_measured(written):
                other = key_from("_".join(str(s) for s in path[1:]), {*taken, name})
                changes += [
                    Change(path=("sizes", other), value=written),
                    Change(path=path, value=other),
                ]
                written = other
            whole += _term(written, -share)
        return [*changes, Change(path=d.terms[0][0], value=whole)], name


def _term(written: Any, share: float) -> str:
    if written is None:
        return ""
    if not isinstance(written, str):
        value = float(written) * share
        return f" - {-value:g}" if value < 0 else f" + {value:g}"
    plain = written if written.isidentifier() else f"({written})"
    sign = "-" if share < 0 else "+"
    return f" {sign} {plain}" if abs(share) == 1 else f" {sign} {abs(share):g} * {plain}"


def written_measure(value: str, plus_minus: str, how: str, ways: Mapping[str, float]) -> str:
    """A measured length as files hold it, of what a person typed. Raises CoamingError."""
    text = value.strip()
    if not text:
        raise CoamingError("Type a length, like 430 or 16 15/16 in")
    if text.replace(",", ".").replace(".", "", 1).lstrip("-").isdigit():
        text += " mm"
    if how and how not in ways:
        raise CoamingError(f"Choose how it was taken: {', '.join(ways)}")
    wide = plus_minus.strip().lstrip("±").strip()
    if wide:
        text += f" ±{wide}"
    return f"{text} {how}".strip()


def measure_of(text: str, ways: Mapping[str, float]) -> Measure:
    """What a typed text says. Raises CoamingError in plain words."""
    try:
        return parse_measure(text, ways)
    except SizeError as e:
        raise CoamingError(f"{e}. {e.hint}.".replace("..", ".")) from None
