"""The forest a search grows: its nodes, which trees have met, and how far poses are apart."""

from typing import NamedTuple

from layout.geometry.frames import (
    Array,
    Ints,
)
from layout.geometry.kernels import inner_kernel, kernel

NODES, TREES, LINKS, STEPS = 0, 1, 2, 3  # what `Forest.tally` counts


class Forest(NamedTuple):
    """All trees of a search: poses, where each was grown from, and which trees are one by now."""

    places: Array  # (n, 3)
    turns: Array  # (n, 4)
    parent: Ints  # (n,), -1 at a root
    tree: Ints  # (n,)
    joined: Ints  # (trees,): the tree each hangs on
    links: Ints  # (m, 2): pairs of nodes of two trees at one pose
    tally: Ints  # (4,): nodes, trees and links there are, and steps of work done


@kernel
def apart2(p: Array, q: Array, p1: Array, q1: Array, gyration: float) -> float:
    """Squared length between two poses: mm of shift and mm of turn at the gyration radius."""
    dot = abs(q[0] * q1[0] + q[1] * q1[1] + q[2] * q1[2] + q[3] * q1[3])
    dx, dy, dz = p[0] - p1[0], p[1] - p1[1], p[2] - p1[2]
    return float(dx * dx + dy * dy + dz * dz + gyration * gyration * 8 * max(0.0, 1.0 - dot))


@kernel
def root_of(joined: Ints, t: int) -> int:
    """The component a tree belongs to now."""
    while joined[t] != t:
        joined[t] = joined[joined[t]]
        t = joined[t]
    return int(t)


@inner_kernel
def add_node(forest: Forest, p: Array, q: Array, parent: int, tree: int) -> int:
    """Add a pose to a tree; its number."""
    n = forest.tally[NODES]
    for k in range(3):
        forest.places[n, k] = p[k]
    for k in range(4):
        forest.turns[n, k] = q[k]
    forest.parent[n] = parent
    forest.tree[n] = tree
    forest.tally[NODES] = n + 1
    return int(n)


@inner_kernel
def nearest(forest: Forest, comp: int, p: Array, q: Array, gyration: float) -> int:
    """Nearest node inside component `comp`, or outside it for ~comp; -1 when there is none."""
    best, at = 1e300, -1
    for i in range(forest.tally[NODES]):
        root = root_of(forest.joined, forest.tree[i])
        if (comp >= 0 and root != comp) or (comp < 0 and root == ~comp):
            continue
        d2 = apart2(forest.places[i], forest.turns[i], p, q, gyration)
        if d2 < best:
            best, at = d2, i
    return at


@inner_kernel
def copy_into(x: Array, out: Array) -> None:
    """Copy a point."""
    for k in range(3):
        out[k] = x[k]


@inner_kernel
def is_fresh(forest: Forest, p: Array, q: Array, gyration: float) -> bool:
    """False when a root already stands nearly at a pose."""
    near = 0.04 * gyration
    for i in range(2, forest.tally[NODES]):
        d2 = apart2(forest.places[i], forest.turns[i], p, q, gyration)
        if forest.parent[i] < 0 and d2 < near * near:
            return False
    return True


@inner_kernel
def copy_pose(forest: Forest, i: int, p: Array, q: Array) -> None:
    """Copy a node's pose out."""
    for k in range(3):
        p[k] = forest.places[i, k]
    for k in range(4):
        q[k] = forest.turns[i, k]
