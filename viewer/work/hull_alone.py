"""A hull with no job named: the job beside it that names it stands in, else an empty one."""

import tempfile
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from viewer.files import write_bytes

EMPTY = '[job]\nname = "a boat to survey"\nhull = "{name}"\n'
MOST = 200  # files looked at in one folder


def _tables(path: Path) -> dict[str, Any]:
    """A file's tables; empty for one that cannot be read, which is told where it is asked for."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return {}


def is_hull(path: Path) -> bool:
    """True for a hull file."""
    tables = _tables(path)
    return isinstance(tables.get("hull"), dict) and "job" not in tables


def jobs_on(hull: Path) -> list[Path]:
    """The jobs beside a hull file that name it, by name."""
    out = []
    for path in sorted(hull.parent.glob("*.toml"))[:MOST]:
        job = _tables(path).get("job")
        if isinstance(job, dict) and job.get("hull") == hull.name:
            out.append(path)
    return out


@contextmanager
def job_for(path: Path) -> Iterator[Path]:
    """The job to survey. Of a hull alone the first job on it; with none an empty one for the time,
    and what is written into its hull comes back into the file. Raises OSError.
    """
    if not is_hull(path):
        yield path
        return
    on = jobs_on(path)
    if on:
        yield on[0]
        return
    with tempfile.TemporaryDirectory() as folder:
        hull, job = Path(folder) / path.name, Path(folder) / "survey.job.toml"
        before = path.read_bytes()
        hull.write_bytes(before)
        name = path.name.replace("\\", "\\\\").replace('"', '\\"')
        job.write_text(EMPTY.format(name=name), encoding="utf-8")
        yield job
        after = hull.read_bytes()
        if after != before:
            write_bytes(path, after)
