"""Square ways over the faces of one space: level and plumb along tracks.

Each axis has one set of coordinates for all faces: where the faces end, the edges of what is
blocked, the feet of holes and of terminals. A state is a point where tracks cross and the axis of
travel there; a change of axis is a bend. A straight piece slid between neighbouring coordinates
changes the cost linearly, so that the best square way over the faces is among the tracks. Tracks of
two terminals' feet cross only where a cable is asked for between the two.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.geometry.frames import Array, Ints
from layout.geometry.kernels import kernel
from layout.known import Known, always, mark
from routing.ways.ways import Patch, Ways

SAME_MM: Final = 1e-6
DIGITS: Final = 6
MOST_KEPT: Final = 200  # of a few boats, with each rule left out in turn


@dataclass(slots=True, eq=False)
class Marks:
    """Coordinates of a space's tracks on each axis.

    `main` are crossed by every track; `feet` (of each stop) only by those, and by the tracks of
    the stops they are asked to lead to.
    """

    main: list[list[float]]
    feet: list[list[list[float]]]  # by stop, by axis
    pairs: list[tuple[int, int]]  # stops that a cable is asked for between


@dataclass(frozen=True, slots=True, eq=False)
class Tracks:
    """States and what joins them: `code` sorted, `point` (n, 3), `axis` (n,) of travel.

    `ends` (m, 2) rows of states, `length` mm, `face` row of the face or -1 for a bend, `border`
    true along the edge of a face.
    """

    code: Ints
    point: Array
    ends: Ints
    length: Array
    face: Ints
    border: NDArray[np.bool_]
    coordinates: tuple[Array, Array, Array]

    def states(self, x: Array, axes: tuple[int, ...]) -> list[int]:
        """The states at a point, for some axes of travel; those there are."""
        where = [_index(self.coordinates[k], float(x[k])) for k in range(3)]
        out = []
        for a in axes:
            code = _code(where, a, [len(c) for c in self.coordinates])
            row = int(np.searchsorted(self.code, code))
            if row < len(self.code) and self.code[row] == code:
                out.append(row)
        return out


KEPT: Final[Known[Tracks]] = Known(MOST_KEPT)


def kept_tracks(ways: Ways, space: str, marks: Marks) -> Tracks:
    """`tracks` of a space; those known where the space and what crosses it are as they were."""
    key = mark(ways.mark_of(space), repr(marks))
    return KEPT.of(key, lambda: tracks(ways.by_space[space], marks), always)


def _index(coordinates: Array, value: float) -> int:
    return int(np.argmin(np.abs(coordinates - value)))


def _code(where: list[int], axis: int, sizes: list[int]) -> int:
    return ((where[0] * sizes[1] + where[1]) * sizes[2] + where[2]) * 3 + axis


def tracks(patches: list[Patch], marks: Marks) -> Tracks:
    """All tracks over the open faces of a space."""
    main = [_unique(m) for m in marks.main]
    for p in patches:
        u, v = p.others
        main[p.axis] = _unique([*main[p.axis], p.plane])
        for k, axis in enumerate((u, v)):
            edges = p.blocked[:, 2 * k : 2 * k + 2].ravel()
            inside = edges[(edges > p.low[k]) & (edges < p.high[k])]
            main[axis] = _unique([*main[axis], p.low[k], p.high[k], *inside])
    every = [_unique([*main[k], *(x for foot in marks.feet for x in foot[k])]) for k in range(3)]
    is_main = [np.isin(every[k], main[k]) for k in range(3)]
    foot_rows = [
        [np.searchsorted(every[k], np.round(foot[k], DIGITS)) for k in range(3)]
        for foot in marks.feet
    ]
    sizes = [len(c) for c in every]
    codes, lengths, faces, borders = [], [], [], []
    for row, p in enumerate(patches):
        a, mm, border = _over(p, every, is_main, foot_rows, marks.pairs, sizes)
        codes.append(a)
        lengths.append(mm)
        borders.append(border)
        faces.append(np.full(len(mm), row))
    return _joined(codes, lengths, faces, borders, every, sizes)


def _unique(values: list[float]) -> Array:
    return np.unique(np.round(np.asarray(values, dtype=np.float64), DIGITS))


def _over(
    p: Patch,
    every: list[Array],
    is_main: list[NDArray[np.bool_]],
    feet: list[list[Ints]],
    pairs: list[tuple[int, int]],
    sizes: list[int],
) -> tuple[Ints, Array, NDArray[np.bool_]]:
    """(codes of both ends (m, 2), length (m,), along an edge (m,)) of the tracks of one face."""
    u, v = p.others
    us, vs = every[u], every[v]
    cross = is_main[u][:, None] | is_main[v][None, :]
    for i, j in [*((k, k) for k in range(len(feet))), *pairs]:
        for a, b in ((i, j), (j, i)):
            cross[np.ix_(feet[a][u], feet[b][v])] = True
    on_u = (us >= p.low[0] - SAME_MM) & (us <= p.high[0] + SAME_MM)
    on_v = (vs >= p.low[1] - SAME_MM) & (vs <= p.high[1] + SAME_MM)
    cross &= on_u[:, None] & on_v[None, :]
    steps = _steps(us, vs, cross, p.blocked)
    where = np.zeros((len(steps), 2, 3), dtype=np.int64)
    plane = _index(every[p.axis], p.plane)
    where[:, :, p.axis] = plane
    where[:, 0, u], where[:, 0, v] = steps[:, 0], steps[:, 1]
    where[:, 1, u], where[:, 1, v] = steps[:, 2], steps[:, 3]
    along = np.where(steps[:, 0] == steps[:, 2], v, u)
    code = ((where[..., 0] * sizes[1] + where[..., 1]) * sizes[2] + where[..., 2]) * 3
    code += along[:, None]
    length = np.abs(us[steps[:, 0]] - us[steps[:, 2]]) + np.abs(vs[steps[:, 1]] - vs[steps[:, 3]])
    still_u = (along == v) & (_near(us[steps[:, 0]], p.low[0]) | _near(us[steps[:, 0]], p.high[0]))
    still_v = (along == u) & (_near(vs[steps[:, 1]], p.low[1]) | _near(vs[steps[:, 1]], p.high[1]))
    return code, length, still_u | still_v


def _near(x: Array, value: float) -> NDArray[np.bool_]:
    return np.asarray(np.abs(x - value) < SAME_MM)


@kernel
def _steps(us: Array, vs: Array, cross: NDArray[np.bool_], blocked: Array) -> Ints:
    """Steps between neighbouring crossings of a face that nothing blocks, (m, 4): i, j, i, j."""
    nu, nv = cross.shape
    out = np.empty((2 * nu * nv, 4), dtype=np.int64)
    n = 0
    eps = 1e-6
    for way in range(2):
        outer, inner = (nu, nv) if way == 0 else (nv, nu)
        for a in range(outer):
            fixed = us[a] if way == 0 else vs[a]
            f0, m0 = (0, 2) if way == 0 else (2, 0)
            last = -1
            for b in range(inner):
                if not (cross[a, b] if way == 0 else cross[b, a]):
                    continue
                if last >= 0:
                    low = vs[last] if way == 0 else us[last]
                    high = vs[b] if way == 0 else us[b]
                    free = True
                    for r in range(len(blocked)):
                        if (
                            blocked[r, f0] + eps < fixed < blocked[r, f0 + 1] - eps
                            and blocked[r, m0] + eps < high
                            and blocked[r, m0 + 1] - eps > low
                        ):
                            free = False
                            break
                    if free:
                        if way == 0:
                            out[n] = np.array([a, last, a, b])
                        else:
                            out[n] = np.array([last, a, b, a])
                        n += 1
                last = b
    return out[:n].copy()


def _joined(
    codes: list[Ints],
    lengths: list[Array],
    faces: list[Ints],
    borders: list[NDArray[np.bool_]],
    every: list[Array],
    sizes: list[int],
) -> Tracks:
    """States numbered, the same track of two faces told once, and bends between the axes."""
    pairs = np.concatenate([*codes, np.empty((0, 2), dtype=np.int64)])
    length, face = np.concatenate([*lengths, np.empty(0)]), np.concatenate([*faces, np.empty(0)])
    border = np.concatenate([*borders, np.empty(0, dtype=bool)]).astype(bool)
    pairs, first = np.unique(pairs, axis=0, return_index=True)
    length, face, border = length[first], face[first].astype(np.int64), border[first]
    code, rows = np.unique(pairs, return_inverse=True)
    ends = rows.reshape(-1, 2)
    place = code // 3
    same = [np.flatnonzero(place[k:] == place[:-k]) for k in (1, 2)]
    bends = np.concatenate([np.column_stack([s, s + k]) for k, s in zip((1, 2), same, strict=True)])
    where = np.column_stack([place // (sizes[1] * sizes[2]), place // sizes[2] % sizes[1]])
    point = np.column_stack(
        [every[0][where[:, 0]], every[1][where[:, 1]], every[2][place % sizes[2]]]
    )
    none = np.full(len(bends), -1, dtype=np.int64)
    return Tracks(
        code,
        point,
        np.concatenate([ends, bends]).astype(np.int64),
        np.concatenate([length, np.zeros(len(bends))]),
        np.concatenate([face, none]),
        np.concatenate([border, np.zeros(len(bends), dtype=bool)]),
        (every[0], every[1], every[2]),
    )
