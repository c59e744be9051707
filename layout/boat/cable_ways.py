"""The holes, pipes, trays and tees of a boat, built from the files for one set of size values."""

from typing import TYPE_CHECKING, Final

import numpy as np

from layout.boat.parts import OUTSIDE, Hole, Pipe, Space, Tray
from layout.geometry.frames import Array
from layout.job.reading import shown

if TYPE_CHECKING:
    from layout.boat.build import Builder


FARTHEST_MM: Final = 100.0


class CableWays:
    """What cable passes through or hangs on. Problems are told to the builder."""

    def __init__(self, builder: "Builder", spaces: dict[str, Space]) -> None:
        self.builder, self.spaces = builder, spaces
        hull, job = builder.files.hull, builder.files.job
        self.holes: dict[str, Hole] = {}
        self.pipes: dict[str, Pipe] = {}
        self.trays: dict[str, Tray] = {}
        self.tees: dict[tuple[str, str], tuple[str, Array]] = {}
        b = builder
        for name, h in hull.holes.items():
            key = f"holes.{name}"
            if self._between(h.between, key):
                at, _ = self._ends(h.between, h.at, None, key)
                self.holes[name] = Hole(
                    name,
                    h.label or title(name),
                    (h.between[0], h.between[1]),
                    at,
                    b.mm(h.bore, f"{key}.bore", 1),
                    h.edge,
                    h.may_edge,
                    tuple(b.vec(h.holds, f"{key}.holds", 0.5)),
                )
        for name, p in hull.pipes.items():
            key = f"pipes.{name}"
            if self._between(p.between, key):
                at, to = self._ends(p.between, p.at, p.to, key)
                straight = float(np.linalg.norm(to - at))
                length = straight if p.length is None else b.mm(p.length, f"{key}.length", 1)
                if length < straight - 1:
                    b.say(
                        f"{key}.length",
                        f"{length:g} mm",
                        f"at least the straight distance of its ends, {straight:.0f} mm",
                        "leave it out to use that distance",
                    )
                self.pipes[name] = Pipe(
                    name,
                    p.label or title(name),
                    (p.between[0], p.between[1]),
                    at,
                    to,
                    b.mm(p.bore, f"{key}.bore", 1),
                    length,
                    p.bends,
                    p.pull_string,
                    tuple(b.vec(p.holds, f"{key}.holds", 0.5)),
                )
        for name, t in hull.trays.items():
            key = f"trays.{name}"
            if name in self.holes or name in self.pipes:
                b.say(
                    key,
                    shown(name),
                    "a name no hole or pipe has",
                    "names are used in 'via' and 'avoid'",
                )
            if self._between(t.between, key):
                at, to = self._ends(t.between, t.at, t.to, key)
                self.trays[name] = Tray(
                    name, t.label or title(name), (t.between[0], t.between[1]), at, to
                )
        for bone, m in job.backbones.items():
            for tee, place in m.tees.items():
                key = f"backbones.{bone}.tees.{tee}"
                if b.known(place.space, f"{key}.space", spaces, "a space"):
                    self.tees[bone, tee] = (
                        place.space,
                        spaces[place.space].low + b.vec(place.at, f"{key}.at"),
                    )

    def _between(self, between: list[str], key: str) -> bool:
        good = [
            self.builder.known(
                n,
                f"{key}.between[{i + 1}]",
                self.spaces if i == 0 else [*self.spaces, OUTSIDE],
                "a space",
            )
            for i, n in enumerate(between)
        ]
        return all(good)  # both are looked at, so that both are told

    def _ends(
        self, between: list[str], at: list[str | float], to: list[str | float] | None, key: str
    ) -> tuple[Array, Array]:
        first = self.spaces[between[0]].low + self.builder.vec(at, f"{key}.at")
        self._near(between[0], first, f"{key}.at")
        if to is None:
            self._near(between[1], first, f"{key}.at")
            return first, first
        second = self.spaces[between[1]].low if between[1] != OUTSIDE else np.zeros(3)
        end = second + self.builder.vec(to, f"{key}.to")
        self._near(between[1], end, f"{key}.to")
        return first, end

    def _near(self, space: str, at: Array, key: str) -> None:
        """An end of a hole, pipe or tray that is nowhere near the space it leads to is a slip of the pen."""
        if space == OUTSIDE:
            return
        s = self.spaces[space]
        away = float(np.linalg.norm(at - np.clip(at, s.low, s.high)))
        if away > FARTHEST_MM:
            self.builder.say(
                key,
                f"a place {away:.0f} mm from {s.label}",
                f"a place in or on it (a wall may be {FARTHEST_MM:.0f} mm thick)",
                "measure from the first space's aft, starboard, bottom corner",
            )


def title(name: str) -> str:
    """A name as a label."""
    return name.replace("_", " ").capitalize()
