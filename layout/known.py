"""What is known already: marks of plain data, and results kept by what they came from."""

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from functools import cache
from threading import Lock
from typing import Any, Final, Generic, TypeVar

import numpy as np

Result = TypeVar("Result")


_SIMPLE: Final = frozenset({str, float, int, bool, type(None), bytes})


@cache
def _field_names(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind))


def feed(digest: Any, value: Any) -> None:
    """Feed any plain data (arrays, dataclasses, texts, numbers, tables) into a digest."""
    kind = type(value)
    if kind in _SIMPLE:  # most of what there is: nothing else need be asked of it
        digest.update(f"{kind.__name__}:{value!r};".encode())
    elif isinstance(value, np.ndarray):
        digest.update(f"a{value.dtype.str}{value.shape}".encode())
        digest.update(np.ascontiguousarray(value).tobytes())
    elif is_dataclass(value) and not isinstance(value, type):
        digest.update(type(value).__name__.encode())
        for name in _field_names(type(value)):
            feed(digest, getattr(value, name))
    elif isinstance(value, dict):
        digest.update(b"{")
        for k, v in value.items():
            feed(digest, k)
            feed(digest, v)
        digest.update(b"}")
    elif isinstance(value, list | tuple):
        digest.update(b"(")
        for v in value:
            feed(digest, v)
        digest.update(b")")
    elif isinstance(value, set | frozenset):
        feed(digest, sorted(value, key=str))
    else:
        digest.update(f"{type(value).__name__}:{value!r};".encode())


def mark(*values: Any) -> bytes:
    """A mark of some plain data: equal data have equal marks on any machine."""
    digest = hashlib.blake2b(digest_size=16)
    feed(digest, values)
    return digest.digest()


class Known(Generic[Result]):
    """The last few results of a step that reads nothing but what it is given.

    A step asked again about equal data is not done again; any other is, so that a result from here
    is the one a fresh start would give.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[bytes, Result] = OrderedDict()
        self._lock = Lock()

    def forget(self) -> None:
        """Forget all of them."""
        with self._lock:
            self._kept.clear()

    def of(self, key: bytes, work_out: Callable[[], Result], keep: Callable[[], bool]) -> Result:
        """The result of a mark, worked out where it is not known; kept if `keep` says so then."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        made = work_out()
        if keep():
            with self._lock:
                self._kept[key] = made
                while len(self._kept) > self._most:
                    self._kept.popitem(last=False)
        return made


def always() -> bool:
    """Keep whatever was worked out."""
    return True
