"""Write files whole or not at all, and text that is safe where it lands."""

import csv
import io
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Final

FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file under another name beside it, then put it in place in one step."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as f:
            f.write(data)
        os.chmod(name, 0o644)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def write_text(path: Path, text: str) -> None:
    """The same for text, UTF-8."""
    write_bytes(path, text.encode("utf-8"))


def safe_cell(value: object) -> str:
    """A CSV cell a spreadsheet will not take for a formula."""
    text = str(value)
    if text.startswith(FORMULA_STARTS) and not _is_number(text):
        return "'" + text
    return text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def csv_text(rows: Iterable[Iterable[object]]) -> str:
    """Rows as CSV text."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([safe_cell(c) for c in row] for row in rows)
    return out.getvalue()
