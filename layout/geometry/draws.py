"""Numbers drawn at random by the kernels, from a state that is handed on: the same on any thread.

A generator is an array of one 64-bit word, so that what a search draws depends on its own seed and
on nothing else. Source: Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8, 2003 (the
triple 13, 7, 17); seeds are spread by the finaliser of splitmix64 (Steele, Lea, Flood, 2014).
"""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from layout.geometry.frames import Array
from layout.geometry.kernels import inner_kernel

Generator: TypeAlias = NDArray[np.uint64]
_WORD = 0xFFFFFFFFFFFFFFFF


def generator(seed: int) -> Generator:
    """A fresh generator for a seed, (1,)."""
    z = (seed * 0x9E3779B97F4A7C15 + 0x9E3779B97F4A7C15) & _WORD
    z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & _WORD
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & _WORD
    return np.array([(z ^ (z >> 31)) or 1], dtype=np.uint64)


@inner_kernel
def uniform(g: Generator) -> float:
    """A number in [0, 1), even."""
    x = g[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    g[0] = x
    return float(x >> np.uint64(11)) * (1.0 / 9007199254740992.0)


@inner_kernel
def whole(g: Generator, below: int) -> int:
    """A whole number from 0 to below - 1, even."""
    return min(int(uniform(g) * below), below - 1)


@inner_kernel
def between(g: Generator, low: float, high: float) -> float:
    """A number from low to high, even."""
    return low + (high - low) * uniform(g)


@inner_kernel
def normal(g: Generator) -> float:
    """A number of the normal distribution (Box and Muller, 1958)."""
    u = 1.0 - uniform(g)  # in (0, 1]
    return float(np.sqrt(-2.0 * np.log(u)) * np.cos(2 * np.pi * uniform(g)))


@inner_kernel
def any_turn(g: Generator, q: Array) -> None:
    """A turn drawn evenly from all turns, into q (4,)."""
    size = 0.0
    for k in range(4):
        q[k] = normal(g)
        size += q[k] * q[k]
    size = np.sqrt(size)
    for k in range(4):
        q[k] /= size
