"""The graph of ways: points on faces, holes, pipes and trays, and the shortest way between two of
them.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, Terminal
from layout.geometry.frames import Array, Ints
from layout.known import Known, always, mark
from routing.ways.shortest import guided, neighbours, spread_all
from routing.ways.ways import (
    CORNER_OFFS_MM,
    EDGE_STEP_MM,
    LONGEST_FREE_LEG_MM,
    FaceKey,
    Patch,
    Ways,
    feet,
)

EDGING_COST_MM: Final = 60.0  # an edging ring is worth this much detour
LONGEST_OUTSIDE_MM: Final = (
    1500.0  # on deck only a short last stretch, from a gland to its terminal
)
NO_JOINT: Final = -1
MOST_GRAPHS: Final = 16  # kept: one for each rule that is told, and a few boats
# share of the straight distance the search is guided by: pipes may be measured 1 mm short
GUIDE: Final = 0.999


@dataclass(frozen=True, slots=True)
class Stop:
    """An end of a route: a point in a space (or outside)."""

    space: str
    at: tuple[float, float, float]

    @classmethod
    def of(cls, space: str, terminal: Terminal) -> "Stop":
        """The stop at a terminal."""
        x, y, z = (float(v) for v in terminal.at)
        return cls(space, (x, y, z))


class WayGraph:
    """Points and edges over all ways of one boat.

    `points` (n, 3); `first`, `to`, `cost`, `joint`, `edge` are rows of neighbours: where each
    leads, its cost in mm, the joint it passes (or -1) and the edge. `ends` (m, 2) are the edges.
    """

    def __init__(self, ways: Ways, stops: list[Stop]) -> None:
        self.ways = ways
        self._points: list[Array] = []
        self.faces: list[tuple[FaceKey, ...]] = []
        self.slide: list[int] = []  # axis an edge point may slide along, -1 when it may not
        self._rows: list[tuple[int, int, float, str, str]] = []  # a, b, cost, kind, where
        self.stop_nodes: dict[Stop, int] = {}
        self.joint_ends: dict[str, tuple[int, int]] = {}
        self._mouths_outside: list[int] = []
        self._tray_ends: list[tuple[str, int]] = []
        self._edges_and_corners()
        self._join()
        for stop in stops:
            self._stop(stop)
        self.points = np.array(self._points).reshape(-1, 3)
        self._close()

    def _add(self, x: Array, faces: tuple[FaceKey, ...], slide: int = -1) -> int:
        self._points.append(np.array(x, dtype=np.float64))
        self.faces.append(faces)
        self.slide.append(slide)
        return len(self._points) - 1

    def _edges_and_corners(self) -> None:
        for patches in self.ways.by_space.values():
            for i, p in enumerate(patches):
                for q in patches[i + 1 :]:
                    if p.axis != q.axis:
                        self._edge(p, q)
            for p in patches:
                todo = _corners(p.blocked, CORNER_OFFS_MM[0])
                for off in CORNER_OFFS_MM:  # the widest that there is room for
                    corners = _corners(p.blocked, off)
                    good = (
                        ~np.isnan(todo[:, 0])
                        & np.all((corners >= p.low) & (corners <= p.high), axis=1)
                        & p.are_free(corners)
                    )
                    for uv in corners[good]:
                        self._add(p.lift(uv), (p.key,))
                    todo[good] = np.nan

    def _edge(self, patch: Patch, q: Patch) -> None:
        along = 3 - patch.axis - q.axis
        k = patch.others.index(along)
        a, b = patch.low[k], patch.high[k]
        t = np.linspace(a, b, max(2, int((b - a) / EDGE_STEP_MM) + 2))
        x = np.empty((len(t), 3))
        x[:, patch.axis], x[:, q.axis], x[:, along] = patch.plane, q.plane, t
        for row in x[patch.are_free(patch.flat(x)) & q.are_free(q.flat(x))]:
            self._add(row, (patch.key, q.key), along)

    def _join(self) -> None:
        for joint in self.ways.joints:
            if not joint.passable:
                continue
            ends = []
            for space, at in joint.ends:
                if space == OUTSIDE:
                    ends.append(self._add(at, ()))
                    continue
                near = min(feet(self.ways, space, at), key=lambda f: f[2], default=None)
                if near is None and joint.kind != "tray":
                    break
                mouth = self._add(at, ())
                if joint.kind == "tray":
                    self._tray_ends.append((space, mouth))
                if near is None:
                    ends.append(
                        mouth
                    )  # a tray may end where there is no surface: at gear that stands free
                    continue
                patch, foot, leg = near
                self._rows.append((mouth, self._add(foot, (patch.key,)), leg, "free", space))
                ends.append(mouth)
            if len(ends) == 2:
                self._rows.append(
                    (
                        ends[0],
                        ends[1],
                        joint.length_mm + (EDGING_COST_MM if joint.needs_edging else 0.0),
                        joint.kind,
                        joint.key,
                    )
                )
                self.joint_ends[joint.key] = (ends[0], ends[1])
                self._mouths_outside += [
                    e for e, (space, _) in zip(ends, joint.ends, strict=True) if space == OUTSIDE
                ]

    def _stop(self, stop: Stop) -> None:
        if stop in self.stop_nodes:
            return
        at = np.array(stop.at)
        node = self._add(at, ())
        self.stop_nodes[stop] = node
        if stop.space == OUTSIDE:
            for mouth in self._mouths_outside:
                away = float(np.linalg.norm(self._points[mouth] - at))
                if away <= LONGEST_OUTSIDE_MM:
                    self._rows.append((node, mouth, away, "outside", "outside"))
            return
        for space, mouth in self._tray_ends:
            away = float(np.linalg.norm(self._points[mouth] - at))
            if space == stop.space and away <= LONGEST_FREE_LEG_MM:
                self._rows.append((node, mouth, away, "free", space))
        for patch, foot, leg in feet(self.ways, stop.space, at):
            self._rows.append((node, self._add(foot, (patch.key,)), leg, "free", stop.space))

    def _close(self) -> None:
        """Join what sees each other on each face, and lay all edges out as rows of neighbours."""
        on: dict[FaceKey, list[int]] = {}
        for k, keys in enumerate(self.faces):
            for key in keys:
                on.setdefault(key, []).append(k)
        self.special: dict[tuple[int, int], tuple[str, str]] = {}
        names = list(self.joint_ends)
        ends = [np.array([[r[0], r[1]] for r in self._rows], dtype=np.int64).reshape(-1, 2)]
        costs = [np.array([r[2] for r in self._rows])]
        joints = [
            np.array(
                [
                    names.index(r[4]) if r[3] in ("hole", "pipe", "tray") else NO_JOINT
                    for r in self._rows
                ],
                dtype=np.int64,
            )
        ]
        self.face_names = list(on)
        faces = [np.full(len(self._rows), -1, dtype=np.int64)]
        for x, y, _, kind, where in self._rows:
            self.special[x, y] = self.special[y, x] = (kind, where)
        for number, (key, nodes) in enumerate(on.items()):
            patch, ids = self.ways.patches[key], np.array(nodes)
            uv = patch.flat(self.points[ids])
            i, j = np.triu_indices(len(ids), 1)
            free = patch.sees(uv[i], uv[j])
            i, j = i[free], j[free]
            ends.append(np.column_stack([ids[i], ids[j]]))
            costs.append(np.linalg.norm(uv[i] - uv[j], axis=1))
            joints.append(np.full(len(i), NO_JOINT, dtype=np.int64))
            faces.append(np.full(len(i), number, dtype=np.int64))
        self.joint_names = names
        self.ends = np.concatenate(ends)
        self.length = np.maximum(np.concatenate(costs), 1e-6)
        self.edge_joint = np.concatenate(joints)
        self.edge_face = np.concatenate(faces)
        self.first, self.to, self.edge = neighbours(len(self.points), self.ends)

    def bars(self, names: list[str]) -> Array:
        """For each joint 1 where it is barred, else 0; the last entry stands for no joint."""
        out = np.zeros(len(self.joint_names) + 1)
        for n in names:
            if n in self.joint_ends:
                out[self.joint_names.index(n)] = 1.0
        return out

    def open_weight(self, barred: Array, weight: Array | None = None) -> Array:
        """The weight (or length) of every edge, infinite where its joint is barred: a bar is a way
        that costs too much.
        """
        w = self.length if weight is None else weight
        return np.where(barred[self.edge_joint] > 0, np.inf, w) if barred.any() else w

    def shortest(self, start: int, goal: int, weight: Array) -> list[int] | None:
        """Nodes of the way of least weight, or None. Guided by the straight distance."""
        return way_back(
            guided(self.first, self.to, self.edge, weight, self.points, start, goal, GUIDE),
            start,
            goal,
        )

    def spread(self, start: int, weight: Array) -> tuple[Array, Ints]:
        """(distance of every node from one, where each was reached from): for many ways from one
        place.
        """
        return spread_all(self.first, self.to, self.edge, weight, start)


_GRAPHS: Final[Known[WayGraph]] = Known(MOST_GRAPHS)


def graph_of(ways: Ways, stops: list[Stop]) -> WayGraph:
    """The graph of some ways with these stops.

    A price, a current or a lid leaves where cable may lie as it was: its graph is used again.
    """
    key = mark(list(ways.patches.values()), ways.joints, stops)
    return _GRAPHS.of(key, lambda: WayGraph(ways, stops), always)


def way_back(came: Ints, start: int, goal: int) -> list[int] | None:
    """Nodes from start to goal by where each was reached from; None when the goal was not."""
    if start != goal and came[goal] < 0:
        return None
    out = [goal]
    while out[-1] != start:
        out.append(int(came[out[-1]]))
    return out[::-1]


def _corners(blocked: Array, off: float) -> Array:
    """The four corners of each blocked rectangle, moved out by `off`, (4 n, 2)."""
    return np.concatenate(
        [
            np.column_stack([blocked[:, i] + s, blocked[:, j] + t])
            for i, s in ((0, -off), (1, off))
            for j, t in ((2, -off), (3, off))
        ]
    )
