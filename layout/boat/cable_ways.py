"""The holes, pipes, trays and tees of a boat, and the lengths a job gives for its wiring."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import (
    OUTSIDE,
    CircuitLengths,
    Hole,
    Pipe,
    Reading,
    Space,
    Tray,
)
from layout.boat.reader import Reader, title
from layout.errors import shown
from layout.geometry.frames import Array
from layout.job.fields import Length
from layout.job.hull_file import HoleModel, PipeModel, TrayModel

FARTHEST_MM: Final = 100.0  # a wall may be this thick: an end farther off is a slip of the pen
LEAST_OD_MM: Final = 0.5
LEAST_STOCK_MM: Final = 10.0


@dataclass(frozen=True, slots=True, eq=False)
class CableWays:
    """What cable passes through or hangs on."""

    holes: dict[str, Hole]
    pipes: dict[str, Pipe]
    trays: dict[str, Tray]


def build_cable_ways(reader: Reader, spaces: dict[str, Space]) -> CableWays:
    """The holes, pipes and trays that lead from a space that is there to another."""
    hull = reader.files.hull
    ways = CableWays({}, {}, {})
    for name, h in hull.holes.items():
        if _between(reader, spaces, h.between, f"holes.{name}"):
            ways.holes[name] = _hole(reader, spaces, name, h)
    for name, p in hull.pipes.items():
        if _between(reader, spaces, p.between, f"pipes.{name}"):
            ways.pipes[name] = _pipe(reader, spaces, name, p)
    for name, t in hull.trays.items():
        if name in ways.holes or name in ways.pipes:
            hint = "names are used in 'via' and 'avoid'"
            reader.say(f"trays.{name}", shown(name), "a name no hole or pipe has", hint)
        if _between(reader, spaces, t.between, f"trays.{name}"):
            ways.trays[name] = _tray(reader, spaces, name, t)
    return ways


def build_tees(
    reader: Reader, spaces: dict[str, Space]
) -> dict[tuple[str, str], tuple[str, Array]]:
    """The space and place of every tee of every backbone."""
    out = {}
    for bone, backbone in reader.files.job.backbones.items():
        for tee, place in backbone.tees.items():
            key = f"backbones.{bone}.tees.{tee}"
            if reader.known(place.space, f"{key}.space", spaces, "a space"):
                at = spaces[place.space].low + reader.vec(place.at, f"{key}.at")
                out[bone, tee] = (place.space, at)
    return out


def build_circuit_lengths(reader: Reader) -> dict[str, CircuitLengths]:
    """The lengths the job gives for each circuit, by the same sizes as everything else."""

    def maybe(text: Length | None, key: str, least: float = 0.0) -> Reading | None:
        return None if text is None else reader.reading(text, key, least)

    out = {}
    for number, model in reader.files.job.circuits.items():
        key = f"circuits.{number}"
        out[number] = CircuitLengths(
            maybe(model.plug, f"{key}.plug", LEAST_OD_MM),
            maybe(model.outside_diameter, f"{key}.outside_diameter", LEAST_OD_MM),
            maybe(model.bend_radius, f"{key}.bend_radius"),
            maybe(model.fuse_at, f"{key}.fuse_at"),
            maybe(model.tail_feed, f"{key}.tail_feed"),
            maybe(model.tail_load, f"{key}.tail_load"),
            tuple(
                reader.reading(x, f"{key}.lead_lengths[{i + 1}]", 1.0)
                for i, x in enumerate(model.lead_lengths)
            ),
            maybe(model.fuse_at_load, f"{key}.fuse_at_load"),
        )
    return out


def build_stock(reader: Reader) -> tuple[float, ...]:
    """The length of every drum and remnant of the job, in its order."""
    stock = reader.files.job.stock
    return tuple(
        reader.mm(s.length, f"stock[{i + 1}].length", LEAST_STOCK_MM) for i, s in enumerate(stock)
    )


def _between(reader: Reader, spaces: dict[str, Space], between: list[str], key: str) -> bool:
    good = [
        reader.known(
            n, f"{key}.between[{i + 1}]", spaces if i == 0 else [*spaces, OUTSIDE], "a space"
        )
        for i, n in enumerate(between)
    ]
    return all(good)  # both are looked at, so that both are told


def _place(
    reader: Reader, spaces: dict[str, Space], space: str, at: Sequence[Length], key: str
) -> Array:
    """A place measured from a space's corner, near that space."""
    corner = spaces[space].low if space != OUTSIDE else np.zeros(3)
    place = corner + reader.vec(at, key)
    _near(reader, spaces, space, place, key)
    return place


def _near(reader: Reader, spaces: dict[str, Space], space: str, at: Array, key: str) -> None:
    """An end that is nowhere near the space it leads to is a slip of the pen."""
    if space == OUTSIDE:
        return
    s = spaces[space]
    away = float(np.linalg.norm(at - np.clip(at, s.low, s.high)))
    if away > FARTHEST_MM:
        reader.say(
            key,
            f"a place {away:.0f} mm from {s.label}",
            f"a place in or on it (a wall may be {FARTHEST_MM:.0f} mm thick)",
            "measure from the first space's aft, starboard, bottom corner",
        )


def _hole(reader: Reader, spaces: dict[str, Space], name: str, m: HoleModel) -> Hole:
    key = f"holes.{name}"
    at = _place(reader, spaces, m.between[0], m.at, f"{key}.at")
    _near(reader, spaces, m.between[1], at, f"{key}.at")
    holds = tuple(float(x) for x in reader.vec(m.holds, f"{key}.holds", LEAST_OD_MM))
    bore = reader.mm(m.bore, f"{key}.bore", 1)
    ends = (m.between[0], m.between[1])
    return Hole(name, m.label or title(name), ends, at, bore, m.edge, m.may_edge, holds, m.ways)


def _pipe(reader: Reader, spaces: dict[str, Space], name: str, m: PipeModel) -> Pipe:
    key = f"pipes.{name}"
    at = _place(reader, spaces, m.between[0], m.at, f"{key}.at")
    to = _place(reader, spaces, m.between[1], m.to, f"{key}.to")
    straight = float(np.linalg.norm(to - at))
    length = straight if m.length is None else reader.mm(m.length, f"{key}.length", 1)
    if length < straight - 1:
        reader.say(
            f"{key}.length",
            f"{length:g} mm",
            f"at least the straight distance of its ends, {straight:.0f} mm",
            "leave it out to use that distance",
            m.label,
        )
    holds = tuple(float(x) for x in reader.vec(m.holds, f"{key}.holds", LEAST_OD_MM))
    ends = (m.between[0], m.between[1])
    bore = reader.mm(m.bore, f"{key}.bore", 1)
    return Pipe(
        name, m.label or title(name), ends, at, to, bore, length, m.bends, m.pull_string, holds
    )


def _tray(reader: Reader, spaces: dict[str, Space], name: str, m: TrayModel) -> Tray:
    key = f"trays.{name}"
    at = _place(reader, spaces, m.between[0], m.at, f"{key}.at")
    to = _place(reader, spaces, m.between[1], m.to, f"{key}.to")
    return Tray(name, m.label or title(name), (m.between[0], m.between[1]), at, to)
