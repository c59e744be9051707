"""The compiler behind the kernels: one decorator, and a cache that can never be stale.

The compiler's own cache looks only at the file a function stands in, so that a changed callee in
another file would leave the caller running the old one. Here the cache folder's name is a
fingerprint of every file that holds a kernel, of all files of ours those import, and of the
versions of Python, the compiler and the array library: any change is another folder.
"""

import hashlib
import os
import re
import sys
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, update_wrapper
from importlib.metadata import version
from pathlib import Path
from threading import Event, RLock
from typing import Any, Final, TypeVar

MARK: Final = "kernel\ndef "
ROOMS: Final = ("layout", "routing")
FOLDER_VARIABLE: Final = "COAMING_CACHE"  # a person may say where compiled kernels are kept
KEPT_FOLDERS: Final = 4  # older fingerprints are cleared away
_IMPORT: Final = re.compile(r"^\s*from ((?:layout|routing)[\w.]*) import", re.MULTILINE)
Function = TypeVar("Function", bound=Callable[..., Any])


def kernel_files(root: Path) -> list[Path]:
    """Every file under `root` that holds a kernel, and every file of ours those import, sorted."""
    sources = {p: p.read_text(encoding="utf-8") for r in ROOMS for p in (root / r).rglob("*.py")}
    todo = [p for p, text in sources.items() if MARK in text]
    found: set[Path] = set()
    while todo:
        path = todo.pop()
        if path in found:
            continue
        found.add(path)
        for module in _IMPORT.findall(sources.get(path, "")):
            at = root.joinpath(*module.split("."))
            todo += [p for p in (at.with_suffix(".py"), at / "__init__.py") if p in sources]
    return sorted(found)


def fingerprint(root: Path) -> str:
    """A name that changes with any kernel source and with the libraries that compile them."""
    digest = hashlib.sha256()
    python = ".".join(str(v) for v in sys.version_info[:3])
    libraries = " ".join(version(name) for name in ("numba", "llvmlite", "numpy"))
    digest.update(f"{python} {libraries}".encode())
    for path in kernel_files(root):
        digest.update(
            path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes() + b"\0"
        )
    return digest.hexdigest()[:20]


def _places() -> list[Path]:
    """Folders the cache may lie in, the best first."""
    asked = os.environ.get(FOLDER_VARIABLE)
    if asked:
        return [Path(asked)]
    usual = os.environ.get("XDG_CACHE_HOME")
    home = [Path(usual) / "coaming"] if usual else []
    with suppress(RuntimeError):  # no home folder: the next place is tried
        home.append(Path.home() / ".cache" / "coaming")
    return [
        *home,
        Path(tempfile.gettempdir()) / f"coaming-{os.getuid() if hasattr(os, 'getuid') else 0}",
    ]


def _usable(folder: Path) -> bool:
    """True when the folder is there, ours, and can be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        if hasattr(os, "getuid") and folder.stat().st_uid != os.getuid():
            return False
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


@dataclass(frozen=True, slots=True)
class KernelCache:
    """The folder compiled kernels are kept in, or None; whether it was empty; why starts are slow
    where they are.
    """

    folder: Path | None
    cold: bool
    why_slow: str


@cache
def kernel_cache() -> KernelCache:
    """The cache of this program's kernels, opened when it is first asked for."""
    name = "kernels-" + fingerprint(Path(__file__).parents[2])
    for place in _places():
        folder = place / name
        if _usable(folder):
            cold = not any(folder.iterdir())
            if cold:
                _clear_old(place)
            return KernelCache(folder, cold, "")
    why = (
        "No folder for compiled kernels can be written, so every start compiles them again: "
        f"set {FOLDER_VARIABLE} to a folder of yours."
    )
    return KernelCache(None, True, why)


def _clear_old(place: Path) -> None:
    """Clear fingerprints away that no program has begun with lately."""
    import shutil

    old = sorted(place.glob("kernels-*"), key=lambda p: -p.stat().st_mtime)
    for folder in old[KEPT_FOLDERS:]:
        shutil.rmtree(folder, ignore_errors=True)  # another program may be clearing it too


class _Waiting:
    """A kernel before the compiler is loaded, which files that are only checked never need."""

    def __init__(self, function: Callable[..., Any], inner: bool) -> None:
        self.function, self.inner = function, inner
        self.compiled: Callable[..., Any] | None = None
        update_wrapper(self, function)

    def __call__(self, *args: Any) -> Any:
        if self.compiled is None:
            _load()
        return self.compiled(*args)  # type: ignore[misc]


_WAITING: Final[list[_Waiting]] = []
_LOCK: Final = RLock()
_LOADED: Final = Event()


def _load() -> None:
    """Load the compiler and put the compiled kernel in the place of every one that waited.

    A kernel finds those it calls among the names of its module, so each name there is set anew.
    """
    with _LOCK:
        for w in _WAITING:
            w.compiled = _compiled(w.function, w.inner)
        for w in _WAITING:
            _settle(w.function.__globals__)
        _WAITING.clear()
        _LOADED.set()
        for name, module in list(sys.modules.items()):
            if name.split(".")[0] in ROOMS:
                _settle(vars(module))


def _settle(names: dict[str, Any]) -> None:
    for key, value in list(names.items()):
        if isinstance(value, _Waiting):
            names[key] = value.compiled


def _compiled(function: Callable[..., Any], inner: bool) -> Callable[..., Any]:
    import numba

    folder = kernel_cache().folder
    if folder is not None:
        numba.config.CACHE_DIR = str(folder)
    made: Callable[..., Any] = numba.njit(
        cache=folder is not None, nogil=True, no_cpython_wrapper=inner, no_cfunc_wrapper=True
    )(function)
    return made


def _kernel(function: Any, inner: bool) -> Any:
    with _LOCK:
        if _LOADED.is_set():
            _settle(function.__globals__)  # what it took from modules read before the compiler
            return _compiled(function, inner)
        _WAITING.append(_Waiting(function, inner))
        return _WAITING[-1]


def kernel(function: Function) -> Function:
    """Compile a function on its first call; the compiled code is kept for the next start."""
    found: Function = _kernel(function, inner=False)
    return found


def inner_kernel(function: Function) -> Function:
    """The same for a function that only kernels call: no door from Python is compiled for it."""
    found: Function = _kernel(function, inner=True)
    return found
