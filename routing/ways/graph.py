"""The graph of ways: points on faces, holes, pipes and trays, and the shortest way between two of
them. In straight spaces points on a face are joined wherever they see each other; in square ones
cable runs along tracks, and every bend and open panel costs a little.
"""

from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE
from layout.geometry.frames import Array, Ints
from routing.ways.direct import direct_lead
from routing.ways.distances import LONGEST_FREE_LEG_MM
from routing.ways.leads import GivenUp, Lead, Stop, leads_of, mouth_leads
from routing.ways.outside import outside_lead
from routing.ways.row import Row
from routing.ways.shortest import (
    edges_of,
    guided,
    neighbours,
    spread_all,
    spread_near,
    way_back,
)
from routing.ways.tracks import Marks, kept_tracks
from routing.ways.ways import EDGE_STEP_MM, FaceKey, Patch, Ways, feet

EDGING_COST_MM: Final = 60.0  # an edging ring is worth this much detour
LONGEST_OUTSIDE_MM: Final = (
    1500.0  # on deck only a short last stretch, from a gland to its terminal
)
NO_JOINT: Final = -1
# share of the straight distance the search is guided by: pipes may be measured 1 mm short
GUIDE: Final = 0.999
JOINTS: Final = ("hole", "pipe", "tray")
FEW_STOPS: Final = 12  # of one space: a way may be asked between any two
Pairs = frozenset[tuple[Stop, Stop]]
Tracked = dict[str, list[list[float]]]  # by space: coordinates of more tracks on each axis


class WayGraph:
    """Points and edges over all ways of one boat.

    `points` (n, 3); `first`, `to`, `edge` are rows of neighbours: where each leads and by which
    edge. `ends` (m, 2) are the edges, `length` their millimetres and `cost` what they are worth,
    `edge_joint` the joint passed (or -1), `edge_face` the face lain on (or -1). Ways begin and end
    at the `is_stop` nodes and never pass over one.
    """

    def __init__(
        self,
        ways: Ways,
        stops: list[Stop],
        pairs: Pairs = frozenset(),
        beside: Tracked | None = None,
    ) -> None:
        self.ways, self.pairs = ways, pairs
        self._points: list[Array] = []
        self.faces: list[tuple[FaceKey, ...]] = []
        self.slide: list[int] = []  # axis an edge point may slide along, -1 when it may not
        self._rows: list[Row] = []
        self._square_feet: dict[str, list[tuple[int, Array, int, Row]]] = {}
        self._marks: dict[str, Marks] = {
            key: Marks([[], [], []], [], []) for key in ways.by_space if ways.is_square(key)
        }
        for space, marks in (beside or {}).items():
            self._marks[space].main = [list(m) for m in marks]
        self._foot_of: dict[Stop, int] = {}
        self._corners: dict[FaceKey, Array] | None = None
        self._feet: set[int] = set()  # of terminals and mouths, on straight faces
        self.stop_nodes: dict[Stop, int] = {}
        self.joint_ends: dict[str, tuple[int, int]] = {}
        self._mouths_outside: list[int] = []
        self._tray_ends: list[tuple[str, int]] = []
        self._edges_and_corners()
        self._join()
        for stop in dict.fromkeys(stops):
            self._stop(stop)
        self._between()
        self._close()

    def _add(self, x: Array, faces: tuple[FaceKey, ...], slide: int = -1) -> int:
        self._points.append(np.array(x, dtype=np.float64))
        self.faces.append(faces)
        self.slide.append(slide)
        return len(self._points) - 1

    def _lead(self, node: int, foot: Array, face: FaceKey, row: Row) -> None:
        """Join a node to its foot on a face: a point of its own, or the states of its tracks."""
        if not self.ways.is_square(face[0]):
            row.ends = (node, self._add(foot, (face,)))
            self._feet.add(row.ends[1])
            self._rows.append(row)
            return
        self._square_feet.setdefault(face[0], []).append((node, foot, face[1], row))

    def _edges_and_corners(self) -> None:
        for space, patches in self.ways.by_space.items():
            if self.ways.is_square(space):
                continue
            for i, p in enumerate(patches):
                for q in patches[i + 1 :]:
                    if p.axis != q.axis:
                        self._edge(p, q)
            for p in patches:
                offs = self.ways.style.corner_offs
                todo = _corners(p.blocked, offs[0])
                for off in offs:  # the widest that there is room for
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
                leads = mouth_leads(self.ways, space, at)
                if not leads and joint.kind != "tray":
                    break
                mouth = self._add(at, ())
                if joint.kind == "tray":  # it may end where there is no surface: at gear
                    self._tray_ends.append((space, mouth))
                ends.append(mouth)
                for lead in leads:
                    row = Row((mouth, mouth), lead.length_mm, lead.length_mm, "free", space)
                    row.points, row.given_up = lead.points, lead.given_up
                    self._lead(mouth, lead.points[-1], lead.face, row)
                    if self.ways.is_square(space):
                        for k in range(3):
                            self._marks[space].main[k].append(float(lead.points[-1][k]))
            if len(ends) == 2:
                cost = joint.length_mm + (EDGING_COST_MM if joint.needs_edging else 0.0)
                both = (ends[0], ends[1])
                self._rows.append(Row(both, joint.length_mm, cost, joint.kind, joint.key))
                self.joint_ends[joint.key] = both
                self._mouths_outside += [
                    e for e, (space, _) in zip(ends, joint.ends, strict=True) if space == OUTSIDE
                ]

    def _stop(self, stop: Stop) -> None:
        at = np.array(stop.at)
        node = self._add(at, ())
        self.stop_nodes[stop] = node
        if stop.space == OUTSIDE:
            for mouth in self._mouths_outside:
                if float(np.linalg.norm(self._points[mouth] - at)) <= LONGEST_OUTSIDE_MM:
                    found = outside_lead(self.ways, stop, self._points[mouth])
                    if found is not None and found.length_mm <= LONGEST_OUTSIDE_MM:
                        self._reach(node, mouth, found.points, "outside", found.given_up)
            return
        for space, mouth in self._tray_ends:
            away = float(np.linalg.norm(self._points[mouth] - at))
            if space == stop.space and away <= LONGEST_FREE_LEG_MM:
                self._reach(node, mouth, np.array([at, self._points[mouth]]), "free")
        leads = self._leads(stop)
        if self.ways.is_square(stop.space):
            self._foot_of[stop] = len(self._marks[stop.space].feet)
            places = [[float(x.points[-1][k]) for x in leads] for k in range(3)]
            self._marks[stop.space].feet.append(places)
        for lead in leads:
            cost = lead.length_mm + self.ways.style.bend_mm * max(0, len(lead.points) - 2)
            row = Row((node, node), lead.length_mm, cost, "free", stop.space, lead.points)
            row.given_up = lead.given_up
            self._lead(node, lead.points[-1], lead.face, row)

    def _leads(self, stop: Stop) -> tuple[Lead, ...]:
        if stop.out is not None:
            return leads_of(self.ways, stop)
        at = np.array(stop.at)
        return tuple(
            Lead(np.array([at, foot]), patch.key, leg)
            for patch, foot, leg in feet(self.ways, stop.space, at)
        )

    def _reach(
        self, node: int, other: int, points: Array, kind: str, told: GivenUp | None = None
    ) -> None:
        mm = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        where = OUTSIDE if kind == "outside" else "free"
        self._rows.append(Row((node, other), mm, mm, kind, where, points, told))

    def _between(self) -> None:
        """Terminals that a cable is asked for between: crossing tracks, and a leg right across."""
        here: dict[str, list[Stop]] = {}
        for stop in self.stop_nodes:
            here.setdefault(stop.space, []).append(stop)
        wanted = set(self.pairs)
        if not wanted:
            for stops in here.values():
                if len(stops) <= FEW_STOPS:
                    wanted |= {(a, b) for a in stops for b in stops if a != b}
        seen: set[frozenset[Stop]] = set()
        for a, b in sorted(wanted, key=lambda p: (self.stop_nodes[p[0]], self.stop_nodes[p[1]])):
            if a.space != b.space or a.space == OUTSIDE or frozenset((a, b)) in seen:
                continue
            seen.add(frozenset((a, b)))
            if a in self._foot_of and b in self._foot_of:
                self._marks[a.space].pairs.append((self._foot_of[a], self._foot_of[b]))
            found = direct_lead(self.ways, a, b) if a.out is not None else None
            if found is not None:
                row = Row(
                    (self.stop_nodes[a], self.stop_nodes[b]),
                    found.length_mm,
                    found.length_mm + self.ways.style.bend_mm * max(0, len(found.points) - 2),
                    "free",
                    a.space,
                    found.points,
                )
                self._rows.append(row)

    def _close(self) -> None:
        """Join what sees each other on each face, lay the tracks, and all edges out as rows."""
        parts: list[tuple[Ints, Array, Array, Ints]] = []  # ends, length, cost, face
        self.face_names: list[FaceKey] = []
        self._borders: dict[tuple[FaceKey, ...], list[int]] = {}
        for n, keys in enumerate(self.faces):
            if len(keys) > 1:
                self._borders.setdefault(keys, []).append(n)
        self._see_each_other(parts)
        self._lay_tracks(parts)
        rows = self._rows
        self.joint_names = list(self.joint_ends)
        number = {name: k for k, name in enumerate(self.joint_names)}
        ends = np.array([r.ends for r in rows], dtype=np.int64).reshape(-1, 2)
        parts.insert(
            0,
            (
                ends,
                np.array([r.length for r in rows], dtype=np.float64),
                np.array([r.cost for r in rows], dtype=np.float64),
                np.full(len(rows), -1, dtype=np.int64),
            ),
        )
        self.rows = rows  # the first edges, one for one
        self.points = np.concatenate([np.array(self._points).reshape(-1, 3), *self._states])
        more = len(self.points) - len(self.faces)
        self.faces += [()] * more
        self.slide += [-1] * more
        self.ends = np.concatenate([p[0] for p in parts])
        self.length = np.maximum(np.concatenate([p[1] for p in parts]), 0.0)
        self.cost = np.maximum(np.concatenate([p[2] for p in parts]), 1e-6)
        self.edge_face = np.concatenate([p[3] for p in parts])
        self.edge_joint = np.full(len(self.ends), NO_JOINT, dtype=np.int64)
        for k, r in enumerate(rows):
            if r.kind in JOINTS:
                self.edge_joint[k] = number[r.where]
        apart = np.abs(np.diff(self.points[self.ends], axis=1)[:, 0]).sum(axis=1)
        self.by_axes = bool(np.all(self.cost >= GUIDE * apart - 1e-6))
        self.is_stop = np.zeros(len(self.points), dtype=np.bool_)
        self.is_stop[list(self.stop_nodes.values())] = True
        self.first, self.to, self.edge = neighbours(len(self.points), self.ends)

    def _see_each_other(self, parts: list[tuple[Ints, Array, Array, Ints]]) -> None:
        on: dict[FaceKey, list[int]] = {}
        for k, keys in enumerate(self.faces):
            for key in keys:
                on.setdefault(key, []).append(k)
        points = np.array(self._points).reshape(-1, 3)
        for key, nodes in on.items():
            patch, ids = self.ways.patches[key], np.array(nodes)
            uv = patch.flat(points[ids])
            i, j = np.triu_indices(len(ids), 1)
            free = patch.sees(uv[i], uv[j])
            i, j = i[free], j[free]
            mm = np.linalg.norm(uv[i] - uv[j], axis=1)
            face = np.full(len(i), len(self.face_names), dtype=np.int64)
            self.face_names.append(key)
            parts.append((np.column_stack([ids[i], ids[j]]), mm, mm, face))

    def _lay_tracks(self, parts: list[tuple[Ints, Array, Array, Ints]]) -> None:
        """The tracks of every square space, and the leads on to them."""
        self._states: list[Array] = []
        style, before = self.ways.style, len(self._points)
        for space, marks in self._marks.items():
            patches = self.ways.by_space[space]
            laid = kept_tracks(self.ways, space, marks)
            numbers = np.arange(len(self.face_names), len(self.face_names) + len(patches))
            self.face_names += [p.key for p in patches]
            panel = np.where(laid.border, 1.0, style.open_panel)
            bend = laid.face < 0
            cost = np.where(bend, style.bend_mm, laid.length * panel)
            face = np.where(bend, -1, numbers[laid.face] if len(numbers) else -1)
            parts.append((laid.ends + before, laid.length, cost, face))
            self._states.append(laid.point)
            for node, foot, axis, row in self._square_feet.get(space, []):
                axes = tuple(k for k in range(3) if k != axis)
                for state in laid.states(foot, axes):
                    ends = (node, before + state)
                    more = Row(ends, row.length, row.cost, row.kind, row.where, row.points)
                    more.given_up = row.given_up
                    self._rows.append(more)
            before += len(laid.point)

    def edges_along(self, nodes: list[int] | tuple[int, ...]) -> Ints:
        """The edges of a way by its nodes; the cheapest where there are several."""
        way = np.array(nodes, dtype=np.int64)
        return edges_of(self.first, self.to, self.edge, self.cost, way)

    def is_shut(self, stop: Stop) -> bool:
        """True where no cable can leave a terminal in a space."""
        node = self.stop_nodes[stop]
        return stop.space != OUTSIDE and bool(self.first[node] == self.first[node + 1])

    def nodes_between(self, faces: tuple[FaceKey, ...]) -> list[int]:
        """The points along the edge between two faces."""
        return self._borders.get(faces, [])

    def corners(self) -> dict[FaceKey, Array]:
        """The places past the corners of what is blocked, by face."""
        if self._corners is None:
            on: dict[FaceKey, list[int]] = {}
            for n, keys in enumerate(self.faces):
                if len(keys) == 1 and n not in self._feet:
                    on.setdefault(keys[0], []).append(n)
            self._corners = {key: self.points[nodes] for key, nodes in on.items()}
        return self._corners

    def nodes_on(self, face: FaceKey) -> Ints:
        """The nodes on a face."""
        if face not in self.face_names:
            return np.empty(0, dtype=np.int64)
        return np.unique(self.ends[self.edge_face == self.face_names.index(face)])

    def bars(self, names: list[str]) -> Array:
        """For each joint 1 where it is barred, else 0; the last entry stands for no joint."""
        out = np.zeros(len(self.joint_names) + 1)
        for n in names:
            if n in self.joint_ends:
                out[self.joint_names.index(n)] = 1.0
        return out

    def open_weight(self, barred: Array, weight: Array | None = None) -> Array:
        """The weight (or cost) of every edge, infinite where its joint is barred: a bar is a way
        that costs too much.
        """
        w = self.cost if weight is None else weight
        return np.where(barred[self.edge_joint] > 0, np.inf, w) if barred.any() else w

    def shortest(self, start: int, goal: int, weight: Array) -> list[int] | None:
        """Nodes of the way of least weight, or None. Guided by the straight distance."""
        came = guided(
            self.first,
            self.to,
            self.edge,
            weight,
            self.points,
            self.is_stop,
            start,
            goal,
            GUIDE,
            self.by_axes,
        )
        return way_back(came, start, goal)

    def spread(self, start: int, weight: Array) -> tuple[Array, Ints]:
        """(distance of every node from one, where each was reached from): for many ways from one
        place.
        """
        return spread_all(self.first, self.to, self.edge, weight, start, self.is_stop)

    def spread_near(self, start: int, weight: Array) -> tuple[Array, Ints]:
        """`spread` where the weights leave few nodes to be reached."""
        return spread_near(self.first, self.to, self.edge, weight, start, self.is_stop)


def _corners(blocked: Array, off: float) -> Array:
    """The four corners of each blocked rectangle, moved out by `off`, (4 n, 2)."""
    return np.concatenate(
        [
            np.column_stack([blocked[:, i] + s, blocked[:, j] + t])
            for i, s in ((0, -off), (1, off))
            for j, t in ((2, -off), (3, off))
        ]
    )
