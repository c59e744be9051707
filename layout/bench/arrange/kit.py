"""What is to be arranged, as data: parts in each turn they may have, rooms, studs, links.

Everything is flat, in the plate's frame (x right, y up, z off the front), a part's boxes from the
middle of its foot. A room shuts out other parts' bodies that reach into it, never other rooms.
"""

from dataclasses import dataclass, field
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from layout.boat.parts import LUG_MM
from layout.geometry.frames import Array

Whole = NDArray[np.int64]
TURNS: Final = 4
STUDS_APART_MM: Final = 30.0  # live studs of opposite poles: common practice, 25 to 30
ALIGNED_MM: Final = 3.0  # two terminals this near one line are joined straight
WHOLE: Final = -1


@dataclass(frozen=True, slots=True)
class Box:
    """A box from the middle of a part's foot, in its own frame."""

    x0: float
    y0: float
    z0: float
    x1: float
    y1: float
    z1: float


@dataclass(frozen=True, slots=True)
class Post:
    """A terminal of a part, in its own frame; `sign` +1, -1 or 0 for a stud of either pole or none
    that need be kept apart.
    """

    x: float
    y: float
    out_x: float
    out_y: float
    sign: int = 0


@dataclass(frozen=True, slots=True)
class LeadRoom:
    """The room a cable needs straight out of a terminal: how long with its bend, how wide, at what
    height; the part and terminal it may be joined straight to, where it is a link.
    """

    post: int
    long_mm: float
    wide_mm: float
    z0: float
    z1: float
    partner: int = -1
    partner_post: int = -1
    lug_mm: float = LUG_MM  # what its lug takes, straight


@dataclass(frozen=True, slots=True)
class KitPart:
    """A part to be placed. `turns` are those it may have, in degrees."""

    key: str
    boxes: tuple[Box, ...]
    rooms: tuple[Box, ...] = ()
    posts: tuple[Post, ...] = ()
    leads: tuple[LeadRoom, ...] = ()
    turns: tuple[int, ...] = (0, 90, 180, 270)
    mass_kg: float = 0.0
    near_opening: bool = False
    hot: bool = False
    minds_heat: bool = False
    pinned: tuple[float, float, int] | None = None
    row: int = -1


@dataclass(frozen=True, slots=True)
class KitLink:
    """A link between two terminals (part, post), with what a millimetre of it is worth."""

    a: int
    a_post: int
    b: int
    b_post: int
    worth: float = 1.0


@dataclass(frozen=True, slots=True)
class KitLead:
    """A cable that leaves the board from a terminal to one side (unit x, y)."""

    part: int
    post: int
    to_x: float
    to_y: float
    worth: float = 1.0


@dataclass(frozen=True, slots=True)
class Kit:
    """A board to be arranged."""

    parts: tuple[KitPart, ...]
    links: tuple[KitLink, ...] = ()
    leads: tuple[KitLead, ...] = ()
    most_mm: tuple[float, float] = (600.0, 600.0)
    margin_mm: float = 15.0
    gap_mm: float = 5.0
    corner_mm: float = 0.0  # kept free at each corner for what it is fixed by
    hot_gap_mm: float = 75.0
    above_hot_mm: float = 150.0
    upright: bool = True  # its y axis looks up in the boat
    to_opening: tuple[float, float] = (0.0, 0.0)
    forbidden: tuple[tuple[float, float, float, float], ...] = ()
    spare: tuple[tuple[float, float], ...] = field(default=())


class Arrays(NamedTuple):
    """A kit as the kernels take it; n parts, 4 turns, padded."""

    n_turns: Whole
    turn: Whole  # (n, 4) which quarter turns, in order
    boxes: Array  # (n, 4, kb, 6)
    n_boxes: Whole
    rooms: Array  # (n, 4, kr, 6)
    n_rooms: Whole
    room_post: Whole  # (n, kr) the terminal a lead's room is of; -1 for a plain room
    room_partner: Whole  # (n, kr, 2)
    posts: Array  # (n, 4, kp, 5)
    n_posts: Whole
    outline: Array  # (n, 4, 4)
    reach: Array  # (n, 4, 4): beyond it a part minds nothing
    apart: Array  # (n, n)
    above: Array  # (n, n): row must not stand above column within this
    links: Whole  # (m, 4) int
    link_worth: Array
    leads: Whole  # (p, 2) int
    lead_to: Array  # (p, 3): x, y, worth
    pull: Array  # (n, 2): what a millimetre along x and y costs a part
    forbidden: Array  # (f, 4)
    pinned: Array  # (n, 4): 1 where pinned, x, y, index of its turn
    row: Whole  # (n,)
    bounds: Array  # margin, corner


HEAVY_WORTH: Final = 0.02  # a kilogram a millimetre higher, beside a millimetre of link
OPENING_WORTH: Final = 0.05  # an isolator or fuse a millimetre farther from the opening
RIGHT: Final = ((1, 0, 0, 1), (0, -1, 1, 0), (-1, 0, 0, -1), (0, 1, -1, 0))


def turned_box(b: Box, quarter: int) -> tuple[float, float, float, float, float, float]:
    """A box turned by quarter turns about the middle of its foot: x0, y0, x1, y1, z0, z1."""
    a, c, d, e = RIGHT[quarter]
    xs = sorted((a * b.x0 + c * b.y0, a * b.x1 + c * b.y1))
    ys = sorted((d * b.x0 + e * b.y0, d * b.x1 + e * b.y1))
    return xs[0], ys[0], xs[1], ys[1], b.z0, b.z1


def lead_box(post: Post, lead: LeadRoom) -> Box:
    """The room of a lead as a box in the part's frame."""
    half = lead.wide_mm / 2
    x0, x1 = sorted((post.x, post.x + post.out_x * lead.long_mm))
    y0, y1 = sorted((post.y, post.y + post.out_y * lead.long_mm))
    if post.out_x:
        y0, y1 = post.y - half, post.y + half
    else:
        x0, x1 = post.x - half, post.x + half
    return Box(x0, y0, lead.z0, x1, y1, lead.z1)


def as_arrays(kit: Kit) -> Arrays:
    """The kit as the kernels take it. A spare place is a part with a body a millimetre high."""
    parts = [*kit.parts, *_spare_parts(kit)]
    n = len(parts)
    kb = max((len(p.boxes) for p in parts), default=1)
    kr = max((len(p.rooms) + 2 * len(p.leads) for p in parts), default=0) or 1
    kp = max((len(p.posts) for p in parts), default=0) or 1
    boxes, rooms = np.zeros((n, TURNS, kb, 6)), np.zeros((n, TURNS, kr, 6))
    posts, outline = np.zeros((n, TURNS, kp, 5)), np.zeros((n, TURNS, 4))
    room_post = np.full((n, kr), WHOLE, dtype=np.int64)
    room_partner = np.full((n, kr, 2), WHOLE, dtype=np.int64)
    turn, n_turns = np.zeros((n, TURNS), dtype=np.int64), np.zeros(n, dtype=np.int64)
    pinned, pull = np.zeros((n, 4)), np.zeros((n, 2))
    for i, p in enumerate(parts):
        quarters = [t // 90 for t in p.turns]
        if p.pinned is not None:
            quarters = [p.pinned[2] // 90]
            pinned[i] = (1.0, p.pinned[0], p.pinned[1], 0.0)
        n_turns[i] = len(quarters)
        turn[i, : len(quarters)] = quarters
        every = _rooms_of(p)
        for k, q in enumerate(quarters):
            for m, b in enumerate(p.boxes):
                boxes[i, k, m] = turned_box(b, q)
            for m, (b, of, partner) in enumerate(every):
                rooms[i, k, m] = turned_box(b, q)
                room_post[i, m], room_partner[i, m] = of, partner
            a, c, d, e = RIGHT[q]
            for m, t in enumerate(p.posts):
                posts[i, k, m] = (
                    a * t.x + c * t.y, d * t.x + e * t.y,
                    a * t.out_x + c * t.out_y, d * t.out_x + e * t.out_y, t.sign,
                )  # fmt: skip
            mine = boxes[i, k, : len(p.boxes)]
            outline[i, k] = (*mine[:, :2].min(axis=0), *mine[:, 2:4].max(axis=0))
        if kit.upright:
            pull[i, 1] += HEAVY_WORTH * p.mass_kg
        if p.near_opening:
            pull[i] -= OPENING_WORTH * np.array(kit.to_opening)
    apart, above = _apart(kit, parts), _above(kit, parts)
    return Arrays(
        n_turns,
        turn,
        boxes,
        np.array([len(p.boxes) for p in parts], dtype=np.int64),
        rooms,
        np.array(
            [len(p.rooms) + sum(1 + (x.partner >= 0) for x in p.leads) for p in parts],
            dtype=np.int64,
        ),
        room_post,
        room_partner,
        posts,
        np.array([len(p.posts) for p in parts], dtype=np.int64),
        outline,
        _reach(parts, outline, rooms, apart, above),
        apart,
        above,
        np.array([(k.a, k.a_post, k.b, k.b_post) for k in kit.links], dtype=np.int64).reshape(
            -1, 4
        ),
        np.array([k.worth for k in kit.links]),
        np.array([(k.part, k.post) for k in kit.leads], dtype=np.int64).reshape(-1, 2),
        np.array([(k.to_x, k.to_y, k.worth) for k in kit.leads]).reshape(-1, 3),
        pull,
        np.array(kit.forbidden, dtype=float).reshape(-1, 4),
        pinned,
        np.array([p.row for p in parts], dtype=np.int64),
        np.array([kit.margin_mm, kit.corner_mm]),
    )


def _rooms_of(p: KitPart) -> list[tuple[Box, int, tuple[int, int]]]:
    """A part's rooms: box, the terminal it is of, what that may be joined straight to."""
    every = [(r, WHOLE, (WHOLE, WHOLE)) for r in p.rooms]
    for lead in p.leads:
        post, partner = p.posts[lead.post], (lead.partner, lead.partner_post)
        every.append((lead_box(post, lead), lead.post, partner))
        if lead.partner >= 0:  # joined straight it still needs both lugs
            lug = LeadRoom(lead.post, 2 * lead.lug_mm, lead.wide_mm, lead.z0, lead.z1)
            every.append((lead_box(post, lug), lead.post, (WHOLE, WHOLE)))
    return every


def _reach(parts: list[KitPart], outline: Array, rooms: Array, apart: Array, above: Array) -> Array:
    """The rectangle beyond which a part minds nothing: its body with its gaps, and its rooms."""
    out = outline.copy()
    for i, p in enumerate(parts):
        grow = max(float(apart[i].max()), STUDS_APART_MM if any(x.sign for x in p.posts) else 0.0)
        tall = max(grow, float(above[i].max()), float(above[:, i].max()))
        out[i, :, :2] -= (grow, tall)
        out[i, :, 2:] += (grow, tall)
        many = len(p.rooms) + sum(1 + (x.partner >= 0) for x in p.leads)
        if many:
            out[i, :, :2] = np.minimum(out[i, :, :2], rooms[i, :, :many, :2].min(axis=1))
            out[i, :, 2:] = np.maximum(out[i, :, 2:], rooms[i, :, :many, 2:4].max(axis=1))
    return out


def _spare_parts(kit: Kit) -> list[KitPart]:
    return [
        KitPart(f"spare {k + 1}", (Box(-w / 2, -h / 2, 0.0, w / 2, h / 2, 1.0),), turns=(0, 90))
        for k, (w, h) in enumerate(kit.spare)
    ]


def _apart(kit: Kit, parts: list[KitPart]) -> Array:
    out = np.full((len(parts), len(parts)), kit.gap_mm)
    for i, p in enumerate(parts):
        for j, q in enumerate(parts):
            if p.hot and q.hot:
                out[i, j] = max(kit.hot_gap_mm, kit.gap_mm)
    return out


def _above(kit: Kit, parts: list[KitPart]) -> Array:
    """Nothing that minds heat stands right above what gives it off: it rises."""
    out = np.zeros((len(parts), len(parts)))
    for i, p in enumerate(parts):
        for j, q in enumerate(parts):
            if kit.upright and p.minds_heat and q.hot:
                out[i, j] = kit.above_hot_mm
    return out
