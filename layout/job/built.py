"""What was done and measured on the boat: `JOB.as_built.toml` beside the job, one [[mark]] each.

The plan is not changed by it. What is not a mark is passed over: a person may write there too.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from layout.errors import one_line

AS_BUILT_END: Final = ".as_built.toml"
MOST_BYTES: Final = 2_000_000
MOST_LETTERS: Final = 1000


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark: what it is about (a key with its kind), its kind, words, figure, photo, who, on."""

    about: str
    kind: str
    words: str
    value: str
    photo: str
    by: str
    on: str


def as_built_path(job: Path) -> Path:
    """Where the marks of a job are."""
    return job.parent / (job.name.removesuffix(".toml").removesuffix(".job") + AS_BUILT_END)


def marks_beside(job: Path) -> tuple[Mark, ...]:
    """The marks of a job; none where there is no such file or it is not TOML."""
    path = as_built_path(job)
    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            return ()
        found = tomllib.loads(path.read_text(encoding="utf-8-sig")).get("mark", [])
    except (OSError, ValueError, RecursionError):
        return ()
    rows = [m for m in found if isinstance(m, dict)] if isinstance(found, list) else []
    return tuple(_mark(m) for m in rows)


def _mark(m: dict[str, Any]) -> Mark:
    def said(key: str) -> str:
        return one_line(str(m.get(key, "")))[:MOST_LETTERS]

    return Mark(*(said(k) for k in ("about", "kind", "words", "value", "photo", "by", "on")))
