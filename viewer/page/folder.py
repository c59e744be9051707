"""The one folder a page works in: its hulls and jobs, and no path that leads out of it."""

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from layout.errors import CoamingError, one_line, shown
from layout.job.built import AS_BUILT_END
from layout.job.reading import MAX_BYTES

HULL_END: Final = ".hull.toml"
JOB_END: Final = ".job.toml"
MOST_FILES: Final = 400
_NAME: Final = re.compile(r"[^\W_][\w .,()+&'-]{0,99}")
_NOT_IN_A_NAME: Final = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder, with every link in its own path resolved."""

    root: Path

    @classmethod
    def at(cls, path: Path) -> "Folder":
        """The folder a person names. Raises CoamingError."""
        if not path.is_dir():
            what = "there is a file of that name" if path.exists() else "nothing there"
            raise CoamingError(f"{one_line(str(path))}: {what}; expected a folder to work in")
        return cls(path.resolve())

    def file(self, name: str) -> Path:
        """The path of a file right in the folder. Raises CoamingError for any other place."""
        if _NAME.fullmatch(name) is None or name.startswith("."):
            raise CoamingError(f"{shown(name)} is not the name of a file in this folder")
        path = self.root / name
        if path.resolve().parent != self.root:
            raise CoamingError(f"{shown(name)} leads out of this folder: copy the file into it")
        return path

    def job(self, name: str) -> Path:
        """The path of a job file that is there. Raises CoamingError."""
        path = self.file(name)
        if not path.is_file():
            raise CoamingError(f"{one_line(name)} is not there any more: it was moved or renamed")
        return path

    def inside(self, *parts: str) -> Path:
        """A path below the folder, links resolved. Raises CoamingError where it leads out."""
        path = self.root.joinpath(*parts).resolve()
        if not path.is_relative_to(self.root):
            raise CoamingError("That path leads out of this folder")
        return path

    def hulls(self) -> list[str]:
        """The hull files, by name."""
        return self._named(HULL_END)

    def jobs(self) -> list[str]:
        """The job files, by name: `.job.toml`, and any other TOML file that has a `[job]`."""
        out = self._named(JOB_END)
        for name in self._named(".toml"):
            if not name.endswith((HULL_END, JOB_END, AS_BUILT_END)) and self._is_job(name):
                out.append(name)
        return sorted(out)

    def _named(self, end: str) -> list[str]:
        names = sorted(p.name for p in self.root.glob(f"*{end}") if p.is_file())
        return [n for n in names if not n.startswith(".")][:MOST_FILES]

    def _is_job(self, name: str) -> bool:
        path = self.root / name
        try:
            if path.stat().st_size > MAX_BYTES:
                return False
            return "job" in tomllib.loads(path.read_text(encoding="utf-8-sig"))
        except (OSError, ValueError, RecursionError):
            return False

    def free_name(self, words: str, end: str) -> str:
        """A name for a new file, made of words and used by no other."""
        stem = _NOT_IN_A_NAME.sub("_", words.lower()).strip("_")[:40] or "boat"
        name, n = f"{stem}{end}", 2
        while (self.root / name).exists():
            name, n = f"{stem}_{n}{end}", n + 1
        return name


def key_from(words: str, taken: set[str]) -> str:
    """A key for a thing people call `words`, as keys in files are written; none of `taken`."""
    stem = _NOT_IN_A_NAME.sub("_", words.lower()).strip("_")[:32]
    stem = stem if stem[:1].isalpha() else f"n_{stem}".rstrip("_")
    name, n = stem, 2
    while name in taken or name == "outside":
        name, n = f"{stem}_{n}", n + 1
    return name
