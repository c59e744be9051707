"""Spaces, solids, openings and hazards of a boat, built from the hull file."""

from typing import Final

import numpy as np

from layout.boat.faces import FACES, across
from layout.boat.parts import OUTSIDE, Hazard, Opening, Solid, Space
from layout.boat.reader import Reader, title
from layout.geometry.frames import Array
from layout.job.hull_file import OpeningModel

MEETS_MM: Final = 30.0  # how far two faces joined by an opening may be from its throat's depth
STRAIGHT_SITES: Final = ("lining", "duct", "bilge")  # cable is pulled, not dressed: practice
LONGEST_SHARE: Final = 1.5  # of the boat's length: no space is longer
WORDS: Final = "xyz"


def build_spaces(reader: Reader, length_mm: float) -> dict[str, Space]:
    """Every space, its size checked against the boat's."""
    out = {}
    for name, space in reader.files.hull.spaces.items():
        key = f"spaces.{name}"
        low, high = reader.vec(space.from_, f"{key}.from"), reader.vec(space.to, f"{key}.to")
        low, high = reader.corners(low, high, key, space.label)
        if np.max(high - low) > LONGEST_SHARE * length_mm:
            long = f"{np.max(high - low):g} mm long"
            reader.say(
                f"{key}.to", long, "a space smaller than the boat", "check the units", space.label
            )
        closed: dict[str, str] = {c.face: c.why for c in space.closed}
        wall, clip = (
            reader.mm(space.wall, f"{key}.wall", 1),
            reader.mm(space.clip, f"{key}.clip", 1),
        )
        label = space.label or title(name)
        lay = reader.files.job.job.lay or space.lay
        square = space.site not in STRAIGHT_SITES if lay is None else lay == "square"
        out[name] = Space(
            name, label, low, high, wall, closed, space.site, space.petrol, clip, square
        )
    return out


def build_solids(reader: Reader, spaces: dict[str, Space]) -> dict[str, Solid]:
    """Everything fixed."""
    out = {}
    for name, m in reader.files.hull.solids.items():
        key = f"solids.{name}"
        o = reader.origin(m.space, f"{key}.space", spaces)
        a, b = o + reader.vec(m.from_, f"{key}.from"), o + reader.vec(m.to, f"{key}.to")
        a, b = reader.corners(a, b, key, m.label)
        turn = np.eye(3)
        if m.tilt_about is not None:
            turn = axis_turn(WORDS.index(m.tilt_about), np.deg2rad(m.tilt_degrees))
        label = m.label or title(name)
        out[name] = Solid(
            name, label, m.space, m.kind, (a + b) / 2, (b - a) / 2, turn, m.removable_minutes
        )
    return out


def build_hazards(reader: Reader, spaces: dict[str, Space]) -> dict[str, Hazard]:
    """Everything to keep off."""
    out = {}
    for name, m in reader.files.hull.hazards.items():
        key = f"hazards.{name}"
        o = reader.origin(m.space, f"{key}.space", spaces)
        a, b = o + reader.vec(m.from_, f"{key}.from"), o + reader.vec(m.to, f"{key}.to")
        a, b = reader.corners(a, b, key, m.label)
        keep = None if m.keep_off is None else reader.mm(m.keep_off, f"{key}.keep_off", 0)
        out[name] = Hazard(name, m.label or title(name), m.kind, m.space, a, b, keep)
    return out


def build_openings(reader: Reader, spaces: dict[str, Space]) -> dict[str, Opening]:
    """Every opening that leads from a space that is there to another or outside."""
    out = {}
    for name, opening in reader.files.hull.openings.items():
        key = f"openings.{name}"
        inner = reader.known(opening.between[0], f"{key}.between[1]", spaces, "a space")
        outer = reader.known(opening.between[1], f"{key}.between[2]", [*spaces, OUTSIDE], "a space")
        if inner and outer:
            out[name] = _opening(reader, name, opening, spaces)
    return out


def _opening(reader: Reader, name: str, m: OpeningModel, spaces: dict[str, Space]) -> Opening:
    key = f"openings.{name}"
    s = spaces[m.between[0]]
    axis, sign = FACES[m.face]
    u, v = across(axis)
    centre = np.empty(3)
    centre[axis] = s.high[axis] if sign > 0 else s.low[axis]
    middle, size = reader.vec(m.centre, f"{key}.centre"), reader.vec(m.size, f"{key}.size", 1)
    centre[u], centre[v] = s.low[u] + middle[0], s.low[v] + middle[1]
    radius = reader.mm(m.corner_radius, f"{key}.corner_radius", 0)
    throat = reader.mm(m.throat, f"{key}.throat", 1)
    inner_size = size if m.inner_size is None else reader.vec(m.inner_size, f"{key}.inner_size", 1)
    least = min(float(size.min()), float(inner_size.min()))
    if 2 * radius > least + 1e-9:
        wanted = f"at most half the opening's least size, {least / 2:g} mm"
        reader.say(f"{key}.corner_radius", f"{radius:g} mm", wanted, "", m.label)
    for k, c, w in ((u, middle[0], size[0]), (v, middle[1], size[1])):
        room = s.high[k] - s.low[k]
        if c - w / 2 < -1e-6 or c + w / 2 > room + 1e-6:
            reader.say(
                f"{key}.size",
                f"{w:g} mm wide about {c:g} mm along {WORDS[k]}",
                f"an opening inside its wall, 0 to {room:g} mm",
                "measure from the aft, starboard, bottom corner",
                m.label,
            )
    label = m.label or title(name)
    inner, outer = m.between
    o = Opening(name, label, inner, outer, axis, sign, centre, size, radius, throat, inner_size)
    if outer != OUTSIDE:
        _meets(reader, key, o, s, spaces[outer])
    return o


def _meets(reader: Reader, key: str, opening: Opening, space: Space, other: Space) -> None:
    """An opening must lie on both spaces' faces, as far apart as its throat is deep."""
    axis = opening.axis
    gap = (
        other.low[axis] - space.high[axis]
        if opening.sign > 0
        else space.low[axis] - other.high[axis]
    )
    for k, w in zip(opening.others, opening.size, strict=True):
        low, high = opening.centre[k] - w / 2, opening.centre[k] + w / 2
        beyond = max(other.low[k] - low, high - other.high[k])
        if beyond > MEETS_MM:
            reader.say(
                f"{key}.centre",
                f"an opening {beyond:.0f} mm beyond {other.label} along {WORDS[k]}",
                "an opening that lies on both spaces' faces",
                "check where it is, or where the spaces are",
                opening.label,
            )
    if abs(gap - opening.throat_mm) > MEETS_MM:
        reader.say(
            f"{key}.between",
            f"spaces {gap:g} mm apart with a throat of {opening.throat_mm:g} mm",
            "two spaces as far apart as the throat is deep",
            "check the face, or where the spaces are",
            opening.label,
        )


def axis_turn(axis: int, angle_rad: float) -> Array:
    """Rotation matrix about x (0), y (1) or z (2); exact at the quarter turns."""
    c, s = float(np.cos(angle_rad)), float(np.sin(angle_rad))
    c = round(c) if abs(c - round(c)) < 1e-12 else c
    s = round(s) if abs(s - round(s)) < 1e-12 else s
    r = np.eye(3)
    u, v = (axis + 1) % 3, (axis + 2) % 3
    r[u, u], r[u, v], r[v, u], r[v, v] = c, -s, s, c
    return r
