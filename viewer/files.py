"""Files and folders written whole or not at all, and text that is safe where it lands."""

import csv
import ctypes
import errno
import fcntl
import io
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from layout.errors import CoamingError, one_line

FORMULA_STARTS: Final = ("=", "+", "-", "@")
MANIFEST: Final = ".coaming-folder"  # marks a folder as one coaming may replace; lists its files
EXCHANGE: Final = 2  # RENAME_EXCHANGE of renameat2
HERE: Final = -100  # AT_FDCWD


@contextmanager
def naming(path: Path) -> Iterator[None]:
    """A fault of the system while a file is written is told with that file's name."""
    try:
        yield
    except OSError as e:
        if e.errno is None:
            raise
        raise OSError(e.errno, os.strerror(e.errno), str(path)) from e


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file under another name beside it, then put it in place in one step."""
    with naming(path):
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as f:
                f.write(data)
                f.flush()
                os.fsync(f.fileno())
            os.chmod(name, 0o644)
            os.replace(name, path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise


def write_text(path: Path, text: str) -> None:
    """The same for text, UTF-8."""
    write_bytes(path, text.encode("utf-8"))


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Replace a folder of coaming's as a whole: the old one stays until the new one is complete.

    The new one is written beside it, synced, and changed with the old one in one step; what a
    person put into the old one is carried over. Raises CoamingError when the folder holds other
    things and is not coaming's, or another program is writing it.
    """
    folder = folder.resolve()
    if folder.exists() and not folder.is_dir():
        raise CoamingError(f"{folder}: there is a file of that name: choose another folder")
    held = sorted(p.name for p in folder.iterdir()) if folder.exists() else []
    if held and MANIFEST not in held and not _is_old_book(held):
        raise CoamingError(
            f"{folder}: holds other things already, and is left alone: choose a new or empty folder"
        )
    with naming(folder):
        folder.parent.mkdir(parents=True, exist_ok=True)
    with _locked(folder):
        _clear_left(folder)
        new = Path(tempfile.mkdtemp(dir=folder.parent, prefix=_prefix(folder)))
        try:
            _fill(new, files)
            _carry_over(folder, new, set(files))
            _change(new, folder)
        finally:
            shutil.rmtree(new, ignore_errors=True)


def _prefix(folder: Path) -> str:
    return f".{folder.name}.coaming-"


def _is_old_book(names: list[str]) -> bool:
    """True for a book written before folders were marked."""
    return {"book.html", "book.pdf", "boat.png"} <= set(names)


@contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """One writer of a folder at a time; the lock goes with the program that holds it."""
    path = folder.parent / f".{folder.name}.coaming-lock"
    with naming(path):
        lock = open(path, "w", encoding="utf-8")  # noqa: SIM115 - closed below
    try:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise CoamingError(
                f"{folder}: another coaming is writing it: wait, then try again"
            ) from None
        yield
        path.unlink(missing_ok=True)
    finally:
        lock.close()


def _clear_left(folder: Path) -> None:
    """Clear away what a writer that was killed left behind; we hold the lock."""
    for left in folder.parent.glob(f"{_prefix(folder)}*"):
        if left.is_dir():
            shutil.rmtree(left, ignore_errors=True)


def _fill(new: Path, files: Mapping[str, bytes]) -> None:
    os.chmod(new, 0o755)
    listing = "\n".join(sorted(files)) + "\n"
    for name, data in {**files, MANIFEST: listing.encode("utf-8")}.items():
        with naming(new / name), open(new / name, "wb") as f:
            f.write(data)
            f.flush()
            os.fsync(f.fileno())
    handle = os.open(new, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _carry_over(old: Path, new: Path, names: set[str]) -> None:
    """Link what a person put into the old folder into the new one."""
    listing = old / MANIFEST
    if not listing.is_file():
        return
    ours = {*listing.read_text(encoding="utf-8").splitlines(), MANIFEST}
    for entry in old.iterdir():
        if entry.name in ours or entry.name in names:
            continue
        if entry.is_dir() and not entry.is_symlink():
            shutil.copytree(entry, new / entry.name, symlinks=True, copy_function=_link)
        else:
            _link(str(entry), str(new / entry.name))


def _link(source: str, target: str) -> None:
    try:
        os.link(source, target, follow_symlinks=False)
    except OSError:
        shutil.copy2(source, target, follow_symlinks=False)


def _change(new: Path, folder: Path) -> None:
    """Put the new folder in the old one's place, in one step where the system can."""
    if not folder.exists():
        os.rename(new, folder)
        return
    if not _exchanged(new, folder):
        aside = folder.with_name(_prefix(folder) + "old")
        os.rename(folder, aside)
        os.rename(new, folder)
        shutil.rmtree(aside, ignore_errors=True)


def _exchanged(a: Path, b: Path) -> bool:
    """Exchange two folders in one step; False where the system cannot."""
    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    if call(HERE, os.fsencode(a), HERE, os.fsencode(b), EXCHANGE) == 0:
        return True
    if ctypes.get_errno() in (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP):
        return False
    raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()), str(b))


def safe_cell(value: object) -> object:
    """A CSV cell a spreadsheet will not take for a formula; nothing stays an empty cell."""
    if value is None:
        return ""
    if isinstance(value, int | float):
        return value
    text = str(value)
    formula = text.lstrip("\t\r\n \u00a0").startswith(FORMULA_STARTS)
    return "'" + one_line(text) if formula else one_line(text)


def csv_bytes(rows: Iterable[Iterable[object]]) -> bytes:
    """Rows as CSV: numbers as numbers, units in the heads, a mark so that sheets read UTF-8."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([safe_cell(c) for c in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")
