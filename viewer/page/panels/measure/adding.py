"""New parts of a boat from figures as typed: each figure becomes a named size with its ±."""

from collections.abc import Callable
from typing import Any, Final

from layout.boat.faces import FACES, across
from layout.boat.parts import OUTSIDE, Boat
from layout.errors import CoamingError
from viewer.page.dimensions import LOWS, SPANS, Reckoner, measure_of, written_measure
from viewer.page.edits.changes import Change
from viewer.page.folder import key_from

GROUPS: Final = {
    "space": "spaces",
    "opening": "openings",
    "solid": "solids",
    "hazard": "hazards",
    "hole": "holes",
    "pipe": "pipes",
    "tray": "trays",
}
USUAL_WALL_MM: Final = 12.0
APART_MM: Final = 100.0  # between a place told nowhere and the foremost of the others


class Figures:
    """The figures of one part: those measured are named, so that they stay as they were taken."""

    def __init__(self, key: str, fields: dict[str, str], how: str, reckoner: Reckoner) -> None:
        self.key, self.fields, self.how, self.reckoner = key, fields, how, reckoner
        self.sizes: dict[str, str] = {}

    def word(self, name: str, usual: str = "") -> str:
        """A field that is no figure."""
        return self.fields.get(name, "").strip() or usual

    def mm(self, name: str, usual: float | None = None) -> float:
        """A figure as a number. Raises CoamingError."""
        text = self.word(name)
        if not text and usual is not None:
            return usual
        return measure_of(self._text(name), self.reckoner.sizes.plus_minus).value_mm

    def size(self, name: str, called: str) -> str:
        """The name of a new size for a measured figure. Raises CoamingError."""
        taken = {*self.reckoner.sizes.measured, *self.reckoner.sizes.derived, *self.sizes}
        text = self._text(name)
        measure_of(text, self.reckoner.sizes.plus_minus)
        new = key_from(f"{self.key}_{called}", taken)
        self.sizes[new] = text
        return new

    def _text(self, name: str) -> str:
        ways = self.reckoner.sizes.plus_minus
        try:
            return written_measure(self.word(name), "", self.how, ways)
        except CoamingError as e:
            raise CoamingError(f"{name.replace('_', ' ')}: {e}") from None


def added(
    kind: str,
    label: str,
    fields: dict[str, str],
    how: str,
    hull: dict[str, Any],
    reckoner: Reckoner,
    boat: Boat,
) -> tuple[list[Change], list[str]]:
    """(the changes, the keys of the sizes measured). Raises CoamingError."""
    group = GROUPS[kind]
    key = key_from(label, {k for g in GROUPS.values() for k in hull.get(g, {})})
    f = Figures(key, fields, how, reckoner)
    makers: dict[str, Callable[[Figures, Boat], dict[str, Any]]] = {
        "space": _space,
        "opening": _opening,
        "solid": _solid,
        "hazard": _hazard,
        "hole": _hole,
        "pipe": _pipe,
        "tray": _tray,
    }
    table = {"label": label, **makers[kind](f, boat)}
    changes = [Change(path=("sizes", k), value=text) for k, text in f.sizes.items()]
    return [*changes, Change(path=(group, key), value=table)], list(f.sizes)


def _in_space(f: Figures, boat: Boat, name: str = "space") -> str:
    space = f.word(name)
    if space not in boat.spaces and space != OUTSIDE:
        raise CoamingError("Choose the space it is in")
    return space


def _space(f: Figures, boat: Boat) -> dict[str, Any]:
    """A space beside another one, its corner told from that one's."""
    spans = [f.size(word, word) for word in SPANS]
    beside, side = f.word("beside"), f.word("side", "forward")
    low: list[Any] = [f.mm(f"from_{k}", 0.0) for k in ("aft", "starboard", "floor")]
    if not beside and not any(low) and boat.spaces:  # told nowhere: clear of all others
        low[0] = round(max(float(s.high[0]) for s in boat.spaces.values()) + APART_MM, 1)
    if beside:
        if beside not in boat.spaces or side not in FACES:
            raise CoamingError("Choose the space it is beside, and on which side of it")
        other, (axis, sign) = boat.spaces[beside], FACES[side]
        low = [round(float(other.low[k]) + low[k], 1) for k in range(3)]
        if sign > 0:
            low[axis] = round(float(other.high[axis]) + USUAL_WALL_MM, 1)
        else:
            edge = round(float(other.low[axis]) - USUAL_WALL_MM, 1)
            low[axis] = f"{edge:g} - {spans[axis]}"
    high = [
        f"{name} + {x:g}" if not isinstance(x, str) else f"({x}) + {name}"
        for name, x in zip(spans, low, strict=True)
    ]
    return {
        "from": low,
        "to": high,
        "wall": USUAL_WALL_MM,
        "site": f.word("site", "locker"),
    }


def _opening(f: Figures, boat: Boat) -> dict[str, Any]:
    space, face = _in_space(f, boat), f.word("face", "top")
    to = f.word("to", OUTSIDE)
    if face not in FACES:
        raise CoamingError("Choose the side it is in")
    u, v = across(FACES[face][0])
    size, centre = [], []
    for word, k in (("first", u), ("second", v)):
        name = f.size(f"size_{word}", SPANS[k])
        size.append(name)
        if f.word(f"from_{word}"):
            edge = f.size(f"from_{word}", f"from_{LOWS[k].removesuffix(' side')}")
            centre.append(f"{edge} + {name} / 2")
        else:
            span = float(boat.spaces[space].high[k] - boat.spaces[space].low[k])
            centre.append(f"{span / 2:g}")
    out: dict[str, Any] = {
        "between": [space, to],
        "face": face,
        "centre": centre,
        "size": size,
        "throat": f.size("throat", "throat"),
    }
    if f.mm("corner_radius", 0.0) > 0:
        out["corner_radius"] = f.size("corner_radius", "corner_radius")
    return out


def _box(f: Figures) -> tuple[list[str], list[str]]:
    low, high = [], []
    for k, wall in enumerate(("aft", "starboard", "floor")):
        at = f.size(f"from_{wall}", f"from_{wall}")
        low.append(at)
        high.append(f"{at} + {f.size(SPANS[k], SPANS[k])}")
    return low, high


def _solid(f: Figures, boat: Boat) -> dict[str, Any]:
    space = _in_space(f, boat)
    low, high = _box(f)
    out: dict[str, Any] = {"space": space, "from": low, "to": high, "kind": f.word("what")}
    if not out["kind"]:
        out["kind"] = "structure"
    if f.word("removable_minutes"):
        out["removable_minutes"] = _number(f, "removable_minutes")
    return out


def _hazard(f: Figures, boat: Boat) -> dict[str, Any]:
    space = _in_space(f, boat)
    low, high = _box(f)
    out: dict[str, Any] = {"kind": f.word("what", "hot"), "space": space, "from": low, "to": high}
    if f.word("keep_off"):
        out["keep_off"] = f.mm("keep_off")
    return out


def _number(f: Figures, name: str) -> float:
    try:
        return float(f.word(name).replace(",", "."))
    except ValueError:
        raise CoamingError(f"{name.replace('_', ' ')}: a number, like 10") from None


def _at(f: Figures, boat: Boat, space: str, start: str) -> list[float]:
    """A point told from a space's corner; for a hole the side it is in fixes one of the three."""
    at = [f.mm(f"{start}from_{wall}", 0.0) for wall in ("aft", "starboard", "floor")]
    face = f.word("face")
    if not start and face in FACES and space in boat.spaces:
        axis, sign = FACES[face]
        span = float(boat.spaces[space].high[axis] - boat.spaces[space].low[axis])
        at[axis] = span if sign > 0 else 0.0
    return [round(x, 1) for x in at]


def _hole(f: Figures, boat: Boat) -> dict[str, Any]:
    space, to = _in_space(f, boat), f.word("to", OUTSIDE)
    out: dict[str, Any] = {
        "between": [space, to],
        "at": _at(f, boat, space, ""),
        "bore": f.size("bore", "bore"),
        "edge": f.word("edge", "bare"),
    }
    if f.word("ways"):
        out["ways"] = int(_number(f, "ways"))
    return out


def _pipe(f: Figures, boat: Boat) -> dict[str, Any]:
    space, to = _in_space(f, boat), _in_space(f, boat, "to")
    out: dict[str, Any] = {
        "between": [space, to],
        "at": _at(f, boat, space, ""),
        "to": _at(f, boat, to, "to_"),
        "bore": f.size("bore", "bore"),
        "bends": int(_number(f, "bends")) if f.word("bends") else 0,
    }
    if f.word("length"):
        out["length"] = f.size("length", "length")
    return out


def _tray(f: Figures, boat: Boat) -> dict[str, Any]:
    space, to = _in_space(f, boat), f.word("to") or f.word("space")
    return {
        "between": [space, to],
        "at": _at(f, boat, space, ""),
        "to": _at(f, boat, to, "to_"),
    }
