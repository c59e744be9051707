"""`python -m benchmarks.walk_cables [JOB...]`: every cable of a result walked as a tube of its
diameter by code that shares nothing with what laid it; the last line begins with the number of
findings.

Looked at: bodies, plates, surfaces no cable may touch, hazards and other circuits' terminals
touched by more than 1 mm; bends under their radius; leads that hang longer than their supports may
be apart; turns of square runs that are not square. What the answer tells itself is counted apart.
Without jobs: the demos.
"""

import argparse
import itertools
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from layout.boat.build import Builder
from layout.boat.parts import Boat
from layout.errors import CoamingError
from layout.job import read_job
from viewer.work.rows import Result
from viewer.work.session import Asks, Session
from viewer.work.way_rows import PoleRow

DEMOS = ("harbour_launch", "sailing_yacht", "survey_catamaran", "trip_boat")
ALLOWED_MM = 1.0
STEP_MM = 4.0
# ISO 10133:2012 7.3 and 7.4, typed in here on its own
APART_MM, BATTERY_APART_MM, FIRST_MM = 450.0, 300.0, 1000.0
# what cable keeps off, typed in here on its own: common practice; 33 CFR 183.410 for petrol
OFF_MM = {
    "hot": 300.0,
    "moving": 50.0,
    "steering sweep": 50.0,
    "hose": 20.0,
    "sharp edge": 20.0,
    "fuel": 50.0,
    "petrol tank": 50.0,
    "compass": 300.0,
    "heading sensor": 300.0,
    "radio aerial": 300.0,
}
WIDE = ("hot", "compass", "heading sensor", "radio aerial")  # told through a wall too
AT_HOLE_MM = 75.0  # a bow out of a hole, and a body hard by it: its own allowance


@dataclass(frozen=True)
class Fault:
    """One thing wrong with one cable, and whether the answer says so itself."""

    number: str
    what: str
    told: bool


def bends_of(line: np.ndarray) -> list[tuple[np.ndarray, float]]:
    """(place, radius) of the circle through every three points in a row that is no straight."""
    out = []
    for a, b, c in zip(line, line[1:], line[2:], strict=False):
        u, v, w = b - a, c - b, c - a
        area = float(np.linalg.norm(np.cross(u, v)))
        sides = np.linalg.norm(u) * np.linalg.norm(v)
        if sides < 1e-9 or area / sides < 0.02:
            continue
        out.append((b, float(sides * np.linalg.norm(w) / (2 * area))))
    return out


def dense(line: np.ndarray) -> np.ndarray:
    """Points every few millimetres along a line."""
    rows = [line[:1]]
    for p, q in itertools.pairwise(line):
        n = max(1, int(np.linalg.norm(q - p) / STEP_MM))
        rows.append(p + np.linspace(0, 1, n + 1)[1:, None] * (q - p))
    return np.concatenate(rows)


def from_box(x: np.ndarray, centre: np.ndarray, half: np.ndarray, turn: np.ndarray) -> np.ndarray:
    """The distance of points from a turned box, (n,)."""
    local = np.abs((x - centre) @ turn)
    return np.linalg.norm(np.maximum(local - half, 0.0), axis=1)


class Walker:
    """Walks the cables of one answer."""

    def __init__(self, boat: Boat, result: Result) -> None:
        self.boat, self.result = boat, result
        self.rules: dict[str, set[str]] = {}  # by circuit, the rules that tell of it
        self.near: set[tuple[str, str]] = set()  # (circuit or hole, thing) told to be near
        for f in result.findings:
            for about in f.about:
                kind, _, key = about.partition(":")
                if kind == "circuit":
                    self.rules.setdefault(key, set()).add(f.rule)
                what = f.values.get("what")
                if isinstance(what, str):
                    self.near.add((key, what.partition(":")[2]))
        self.ends = {
            f"{p.key}.{name}": [t.of_row(k).at for k in range(1, t.studs + 1)]
            for p in boat.pieces.values()
            for name, t in p.terminals.items()
        }

    def faults(self) -> list[Fault]:
        """Everything wrong with any cable."""
        return [fault for pole in self.result.poles for fault in self.walk(pole)]

    def walk(self, pole: PoleRow) -> list[Fault]:
        """Everything wrong with one way."""
        x = dense(np.array(pole.line))
        mouths = [
            np.array(p)
            for leg in pole.legs
            if leg.kind in ("hole", "pipe", "tray")
            for p in (leg.points[0], leg.points[-1])
        ]
        by_hole = np.zeros(len(x), dtype=bool)
        for m in mouths:
            by_hole |= np.linalg.norm(x - m, axis=1) < AT_HOLE_MM
        where = self._where(pole, x)
        return [
            *self._boxes(pole, x, by_hole, where),
            *self._hazards(pole, x, where),
            *self._closed(pole, x, by_hole, where),
            *self._terminals(pole, x),
            *self._bends(pole, mouths),
            *self._hanging(pole),
            *self._square(pole),
        ]

    def _where(self, pole: PoleRow, x: np.ndarray) -> list[str]:
        """The space each point is in, by the nearest leg; nothing inside walls and pipes."""
        away = np.full((len(pole.legs), len(x)), np.inf)
        for k, leg in enumerate(pole.legs):
            for p, q in itertools.pairwise(np.array(leg.points)):
                d = q - p
                t = np.clip((x - p) @ d / max(float(d @ d), 1e-12), 0, 1)
                away[k] = np.minimum(away[k], np.linalg.norm(x - p - t[:, None] * d, axis=1))
        hidden = ("hole", "pipe", "tray")
        boards = {p.key: p.space for p in self.boat.pieces.values() if p.is_board}
        names = [
            "" if leg.kind in hidden else boards.get(leg.where, leg.where) for leg in pole.legs
        ]
        return [names[k] for k in away.argmin(axis=0)]

    def _own(self, pole: PoleRow, key: str, x: np.ndarray, whole_lead: bool) -> np.ndarray:
        """Where a cable may touch a thing because it ends on it: by its terminal, or along its
        whole lead.
        """
        out = np.zeros(len(x), dtype=bool)
        for end, leg, last in ((pole.start, pole.legs[0], 0), (pole.goal, pole.legs[-1], -1)):
            own = end.rpartition(".")[0]
            board = own.partition(".")[0]
            mine = key == own or key.startswith(own + "/") or key == f"{board}.plate"
            if mine:
                reach = leg.length_mm if whole_lead or key.endswith(".plate") else 0.0
                studs = self.ends[end]
                stud = min(studs, key=lambda s: float(np.linalg.norm(s - pole.line[last])))
                out |= np.linalg.norm(x - stud, axis=1) < reach + 25.0
        return out

    def _boxes(
        self, pole: PoleRow, x: np.ndarray, by_hole: np.ndarray, where: list[str]
    ) -> list[Fault]:
        """Bodies, plates and fixed things touched."""
        out = []
        radius = pole.outside_diameter_mm / 2
        short = bool(self.rules.get(pole.number, set()) & {"lead room", "no lug room"})
        foot = "lead under foot" in self.rules.get(pole.number, set())
        boxes = [
            (n, p.space, c, h, r)
            for p in self.boat.pieces.values()
            for n, c, h, r in zip(
                p.at_rest().names,
                p.at_rest().centre_mm,
                p.at_rest().half_mm,
                p.at_rest().rotation,
                strict=True,
            )
        ]
        boxes += [(s.key, s.space, s.centre, s.half, s.rotation) for s in self.boat.solids.values()]
        for key, space, c, h, r in boxes:
            here = np.array([w == space for w in where]) & ~by_hole
            here &= ~self._own(pole, key, x, short or foot)
            if here.any():
                deep = radius - float(from_box(x[here], c, h, r).min())
                if deep > ALLOWED_MM:
                    told = (pole.number, key) in self.near
                    out.append(Fault(pole.number, f"touches {key} by {deep:.0f} mm", told))
        return out

    def _hazards(self, pole: PoleRow, x: np.ndarray, where: list[str]) -> list[Fault]:
        """Hazards come too near to."""
        out = []
        used = {leg.where for leg in pole.legs if leg.kind in ("hole", "pipe", "tray")}
        for z in self.boat.hazards.values():
            asked = OFF_MM.get(z.kind, 0.0) if z.keep_off_mm is None else z.keep_off_mm
            here = np.array([w != "" and (w == z.space or z.kind in WIDE) for w in where])
            if not here.any():
                continue
            middle, half = (z.low + z.high) / 2, (z.high - z.low) / 2
            gap = float(from_box(x[here], middle, half, np.eye(3)).min())
            if gap < asked - ALLOWED_MM:
                told = any((key, z.key) in self.near for key in (pole.number, *used))
                told |= z.kind in ("compass", "heading sensor") and any(  # then in degrees
                    hole in self.boat.holes and thing == z.key for hole, thing in self.near
                )
                what = f"{gap:.0f} mm from {z.key}, which asks {asked:.0f}"
                out.append(Fault(pole.number, what, told))
        return out

    def _closed(
        self, pole: PoleRow, x: np.ndarray, by_hole: np.ndarray, where: list[str]
    ) -> list[Fault]:
        """Surfaces no cable may touch, touched."""
        out = []
        radius = pole.outside_diameter_mm / 2
        sides = {"bottom": (2, 0), "top": (2, 1), "starboard": (1, 0), "port": (1, 1)}
        sides |= {"aft": (0, 0), "forward": (0, 1)}
        for s in self.boat.spaces.values():
            here = np.array([w == s.key for w in where]) & ~by_hole
            for face in s.closed:
                axis, high = sides[face]
                if here.any():
                    gap = s.high[axis] - x[here, axis] if high else x[here, axis] - s.low[axis]
                    if float(gap.min()) < radius - ALLOWED_MM:
                        told = "lead under foot" in self.rules.get(pole.number, set())
                        told |= (pole.number, f"{s.key}.{face}") in self.near
                        out.append(Fault(pole.number, f"lies on {s.key} {face}", told))
        return out

    def _terminals(self, pole: PoleRow, x: np.ndarray) -> list[Fault]:
        """Other terminals touched, but those of the parts it ends on."""
        out = []
        own = {end.rpartition(".")[0] for end in (pole.start, pole.goal)}
        for name, studs in self.ends.items():
            if name.rpartition(".")[0] in own:
                continue
            gap = min(float(np.linalg.norm(x - at, axis=1).min()) for at in studs)
            if gap < pole.outside_diameter_mm / 2 - ALLOWED_MM:
                told = any(n == pole.number and name.startswith(t) for n, t in self.near)
                out.append(Fault(pole.number, f"lies on terminal {name}", told))
        return out

    def _bends(self, pole: PoleRow, mouths: list[np.ndarray]) -> list[Fault]:
        """The tightest bend, away from the mouths of holes, under its radius."""
        least = np.inf
        for at, radius in bends_of(np.array(pole.line)):
            if all(np.linalg.norm(at - m) > AT_HOLE_MM for m in mouths):
                least = min(least, radius)
        if least >= pole.bend_radius_mm - 1.5:
            return []
        told = "bend radius" in self.rules.get(pole.number, set())
        what = f"bends by {least:.0f} mm of {pole.bend_radius_mm:.0f}"
        return [Fault(pole.number, what, told)]

    def _hanging(self, pole: PoleRow) -> list[Fault]:
        """Leads that hang longer than their supports may be apart; on a plate they are tied."""
        out = []
        kinds = {p.key: p.kind for p in self.boat.pieces.values()}
        ends = [e.rpartition(".")[0] for e in (pole.start, pole.goal)]
        allowed = FIRST_MM if any(kinds.get(e) == "battery" for e in ends) else APART_MM
        boards = [p for p in self.boat.pieces.values() if p.is_board]
        mine = [p for p in boards if any(e.partition(".")[0] == p.key for e in ends)]
        for leg in pole.legs:
            if leg.kind != "free":
                continue
            x = dense(np.array(leg.points))
            tied = np.zeros(len(x), dtype=bool)
            for p in mine:
                rest = p.at_rest()
                box = (rest.centre_mm[0], rest.half_mm[0], rest.rotation[0])
                tied |= from_box(x, *box) < 2 * pole.outside_diameter_mm + 5
            hangs = leg.length_mm * float(np.mean(~tied))
            if hangs > allowed + STEP_MM:
                told = "hangs" in self.rules.get(pole.number, set())
                out.append(Fault(pole.number, f"hangs {hangs:.0f} mm in {leg.where}", told))
        return out

    def _square(self, pole: PoleRow) -> list[Fault]:
        """Pieces of square runs that are neither level nor plumb."""
        out = []
        for leg in pole.legs:
            if leg.square:
                d = np.abs(np.subtract(leg.points[-1], leg.points[0]))
                if np.sort(d)[1] > 1e-3:
                    out.append(Fault(pole.number, f"runs askew in {leg.where}", False))
        return out


def main() -> None:
    """Walk the cables of the jobs and print what is wrong."""
    parser = argparse.ArgumentParser(description=__doc__, prog="python -m benchmarks.walk_cables")
    parser.add_argument("jobs", nargs="*", type=Path)
    jobs = parser.parse_args().jobs or [Path(f"demo_hulls/{d}.job.toml") for d in DEMOS]
    wrong = told = walked = 0
    for job in jobs:
        try:
            result = Session(job).answer(Asks(fresh=True))
            boat, _ = Builder(read_job(job)).try_boat()
            walker = Walker(boat, result)
        except CoamingError as e:
            sys.exit(str(e))
        for fault in walker.faults():
            note = " (told)" if fault.told else ""
            print(f"{job.stem}: circuit {fault.number} {fault.what}{note}")
            wrong, told = wrong + (not fault.told), told + fault.told
        walked += len(result.poles)
    print(f"{wrong} findings that are not told, {told} that the answer tells itself, {walked} ways")


if __name__ == "__main__":
    main()
