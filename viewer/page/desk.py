"""A job on the desk: its files as they are, every change to them, and the answer being worked out.

The files are the truth. A change is made on their texts, read and built before it is written, and
refused with plain words where it would put something wrong that was not wrong before.
"""

import threading
import tomllib
from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from layout.errors import CoamingError, Finding, JobError
from layout.job.built import AS_BUILT_END
from viewer.page.drawn import Now, desk_row
from viewer.page.edits.changes import BOM, Change, changed_text
from viewer.page.edits.history import History, Texts, read_text
from viewer.page.folder import Folder
from viewer.page.live import Live
from viewer.page.reading import Look, look_at, look_at_texts, revision_of
from viewer.page.wire import DeskRow, ProblemRow
from viewer.work.rows import Result

KNOWN_REVISIONS: Final = 60
WITH_IT: Final = "; with it went "
MOST_ROUNDS: Final = 12  # of taking out what needs something that is taken out
Path_ = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Edit:
    """Changes to the hull and to the job that belong together, and what they do in words."""

    words: str
    hull: tuple[Change, ...] = ()
    job: tuple[Change, ...] = ()
    seen: str = ""
    """The revision the person saw; empty where that does not matter."""
    with_users: bool = False
    """True to take out as well what needs what is taken out."""


@dataclass(slots=True)
class Desk:
    """One job, its hull and its history; safe to use from several threads."""

    folder: Folder
    job_name: str
    tell: Callable[[str, dict[str, Any]], None]
    shown_of: Callable[[Result, "Desk", bool], dict[str, Any]]
    """What each panel shows of a result, or of its pieces alone."""
    lock: threading.RLock = field(default_factory=threading.RLock)
    _seen: "OrderedDict[str, tuple[str, str]]" = field(default_factory=OrderedDict)
    _looks: "OrderedDict[str, Look]" = field(default_factory=OrderedDict)
    _history: History | None = None
    _hull_name: str = ""
    _elsewhere: str = ""
    live: Live = field(init=False)

    def __post_init__(self) -> None:
        self.live = Live(
            self.path,
            self.tell,
            lambda result: self.shown_of(result, self, False),
            lambda result: self.shown_of(result, self, True),
        )

    # -- the files ---------------------------------------------------------------------------------

    @property
    def path(self) -> Path:
        """The job file."""
        return self.folder.file(self.job_name)

    @property
    def hull_name(self) -> str:
        """The hull file the job names."""
        return self._hull_name

    @property
    def as_built_name(self) -> str:
        """The file that holds what was done on the boat."""
        return self.job_name.removesuffix(".toml").removesuffix(".job") + AS_BUILT_END

    @property
    def history(self) -> History:
        """The steps of this job; what another program changed is taken in when it is asked for."""
        with self.lock:
            hull = self._hull_of(read_text(self.folder.job(self.job_name)))
            if self._history is None or hull != self._hull_name:
                self._hull_name = hull
                names = [n for n in (self.job_name, hull, self.as_built_name) if n]
                self._history = History.of(self.folder.root, self.job_name, names)
            other = self._history.took_in()
            if other:
                self._elsewhere = f"{' and '.join(other)} changed in another program"
            return self._history

    def _hull_of(self, job: str | None) -> str:
        try:
            name = _tables(job or "").get("job", {}).get("hull", "")
        except AttributeError:
            return ""
        if not isinstance(name, str):
            return ""
        try:
            self.folder.file(name)
        except CoamingError:
            return ""
        return name

    def texts(self) -> tuple[str, str]:
        """The texts of job and hull as they are now, noted as seen."""
        known = self.history.known
        job, hull = known.get(self.job_name) or "", known.get(self._hull_name) or ""
        revision = revision_of(hull, job)
        self._seen[revision] = (job, hull)
        while len(self._seen) > KNOWN_REVISIONS:
            self._seen.popitem(last=False)
        return job, hull

    @property
    def revision(self) -> str:
        """The name of the files as they are now."""
        job, hull = self.texts()
        return revision_of(hull, job)

    def look(self) -> Look:
        """What the files say."""
        with self.lock:
            revision = self.revision
            if revision not in self._looks:
                self._looks[revision] = look_at(self.path)
                while len(self._looks) > 4:
                    self._looks.popitem(last=False)
            return self._looks[revision]

    def state(self, note: str = "") -> DeskRow:
        """Everything the page draws of the files; the answer is asked for where it is not fresh."""
        with self.lock:
            row = desk_row(self._now(note), self.look())
            if not self._hull_name and not row.problems:
                row = row.model_copy(update={"problems": (self._astray(),)})
            self._elsewhere = ""
        self.live.want(row.revision, well=not row.problems)
        return row

    def _astray(self) -> ProblemRow:
        """The hull is not right beside the job: the page would not know when it changes."""
        words = (
            f"{self.job_name}: job.hull: found a file that does not lie right in this folder; "
            "expected a file beside the job file (copy the hull file here and name it)"
        )
        return ProblemRow(file=self.job_name, key="job.hull", line=0, words=words)

    def _now(self, note: str) -> Now:
        job, hull = self.tables()
        result = self.live.result
        sizes = [d.key for p in result.pieces for d in p.deciding_sizes] if result else []
        return Now(
            self.job_name,
            self.hull_name,
            job,
            hull,
            self.revision,
            self.history.undo_words,
            self.history.redo_words,
            note,
            self._elsewhere,
            frozenset(sizes),
        )

    def tables(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """The tables of job and hull as they are written."""
        job, hull = self.texts()
        return _tables(job), _tables(hull)

    # -- changes -----------------------------------------------------------------------------------

    def edit(self, e: Edit) -> DeskRow:
        """Make a change. Raises CoamingError, with nothing changed, where it cannot be made."""
        with self.lock:
            was_job, was_hull = self.texts()
            self._unless_changed(e, was_job, was_hull)
            job, hull, also = self._made(e, was_job, was_hull, self.look())
            after: Texts = {}
            if job != was_job:
                after[self.job_name] = job
            if hull != was_hull:
                after[self._hull_name] = hull
            note = e.words + also
            if after:
                self.write(note, after)
            return self.state(note)

    def write(self, words: str, after: Texts) -> None:
        """Write files as one step of the history. Raises CoamingError with nothing changed."""
        with self.lock:
            try:
                self.history.do(words, after)
                self.tell("changed", {"revision": self.revision})
            except OSError as e:
                why = e.strerror or "it cannot be written"
                raise CoamingError(
                    f"Nothing was changed: {why}. Make room or ask who may write in this folder, "
                    "then try again."
                ) from None

    def needs(self, e: Edit) -> list[str]:
        """What would have to go with an edit that takes something out, as people call it."""
        with self.lock:
            job, hull = self.texts()
            try:
                also = self._made(replace(e, with_users=True), job, hull, self.look())[2]
            except JobError:
                return []
        return also.removeprefix(WITH_IT).split(", ") if also else []

    def _made(self, e: Edit, job: str, hull: str, before: Look) -> tuple[str, str, str]:
        """(the job's new text, the hull's, what else went). Raises JobError for new problems."""
        job_new = changed_text(job, list(e.job)) if e.job else job
        hull_new = changed_text(hull, list(e.hull)) if e.hull else hull
        known = {_same(f) for f in before.findings}
        gone: list[str] = []
        for _ in range(MOST_ROUNDS):
            hull_name = self._hull_name or "x.hull.toml"
            look = look_at_texts(self.job_name, job_new, hull_name, hull_new, self.path.parent)
            new = [f for f in look.findings if _same(f) not in known]
            if not new:
                break
            users = _users(new, _tables(job_new), _tables(hull_new), self.job_name)
            if not e.with_users or not users:
                raise JobError(new)
            for in_job, path in users:
                gone.append(_called(path, _tables(job_new) if in_job else _tables(hull_new)))
                cut = [Change(path=path)]
                if in_job:
                    job_new = changed_text(job_new, cut)
                else:
                    hull_new = changed_text(hull_new, cut)
        else:
            raise JobError(new)
        return job_new, hull_new, WITH_IT + ", ".join(gone) if gone else ""

    def _unless_changed(self, e: Edit, job: str, hull: str) -> None:
        """Refuse a change to what has changed since the person saw it. Raises CoamingError."""
        if not e.seen or e.seen == revision_of(hull, job):
            return
        seen = self._seen.get(e.seen)
        if seen is None:
            raise CoamingError("The page showed an older state of the files: look again, then try")
        for changes, old, now in ((e.job, seen[0], job), (e.hull, seen[1], hull)):
            differ = list(differing(_tables(old), _tables(now)))
            for change in changes:
                for path in differ:
                    n = min(len(path), len(change.path))
                    if path[:n] == change.path[:n]:
                        raise CoamingError(
                            f"{'.'.join(map(str, path))} was changed in another window or program "
                            "meanwhile. It is shown as it is now: look at it and try again."
                        )

    def undo(self) -> DeskRow:
        """Take the last step back."""
        return self._step(lambda h: (h.undo_words, h.undo()), "Taken back")

    def redo(self) -> DeskRow:
        """Do the step taken back again."""
        return self._step(lambda h: (h.redo_words, h.redo()), "Done again")

    def _step(self, step: Callable[[History], tuple[str, bool]], word: str) -> DeskRow:
        with self.lock:
            try:
                what, done = step(self.history)
            except OSError as e:
                raise CoamingError(f"Nothing was changed: {e.strerror}.") from None
            if not done:
                raise CoamingError("There is no step to go to.")
            return self.state(f"{word}: {what}")

    def close(self) -> None:
        """Stop working."""
        self.live.end()


def differing(a: Any, b: Any, at: Path_ = ()) -> Iterator[Path_]:
    """The paths at which two nested tables differ."""
    if isinstance(a, dict) and isinstance(b, dict):
        for key in {**a, **b}:
            if key in a and key in b:
                yield from differing(a[key], b[key], (*at, key))
            elif isinstance(a.get(key, b.get(key)), dict):  # a table that is not there is empty
                yield from differing(a.get(key, {}), b.get(key, {}), (*at, key))
            else:
                yield (*at, key)
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        for n, (x, y) in enumerate(zip(a, b, strict=True)):
            yield from differing(x, y, (*at, n))
    elif a != b:
        yield at


@lru_cache(KNOWN_REVISIONS)
def _tables(text: str) -> dict[str, Any]:
    """The tables of a text; nothing where it is not TOML. Nobody changes them."""
    try:
        return tomllib.loads(text.removeprefix(BOM))
    except (ValueError, RecursionError):
        return {}


def _same(f: Finding) -> tuple[str, str, str, str]:
    return f.file, f.key, f.found, f.expected


def _users(
    found: list[Finding], job: dict[str, Any], hull: dict[str, Any], job_name: str
) -> list[tuple[bool, Path_]]:
    """(is it in the job, the path) of each table or list entry that problems are about."""
    out: list[tuple[bool, Path_]] = []
    for f in found:
        words = [w.partition("[")[0] for w in f.key.split(".")]
        tables = job if f.file == job_name else hull
        group = tables.get(words[0])
        if len(words) < 2 or not isinstance(group, dict) or words[1] not in group:
            if words[0] == "order" and "order" in tables:
                out.append((f.file == job_name, ("order",)))
            continue
        path: Path_ = (words[0], words[1])
        if words[0] in ("boards", "backbones") and len(words) > 3:
            path = _entry(f.key) or tuple(words[:4])
        if words[0] == "circuits" and len(words) > 2 and words[2] in ("via", "avoid"):
            path = tuple(words[:3])  # the circuit stays, its asked way goes
        out.append((f.file == job_name, path))
    # of a list one entry at a time: taking one out gives the others new places
    first: dict[Path_, tuple[bool, Path_]] = {}
    for in_job, path in out:
        first.setdefault(
            (in_job, *(path[:-1] if isinstance(path[-1], int) else path)), (in_job, path)
        )
    return list(first.values())


def _entry(key: str) -> Path_:
    """The path of the entry of a list that a key is about; empty where it is about none."""
    path: Path_ = ()
    for word in key.split("."):
        name, _, index = word.partition("[")
        path = (*path, name)
        if index.removesuffix("]").isdigit():
            return (*path, int(index.removesuffix("]")) - 1)
    return ()


def _called(path: Path_, tables: dict[str, Any]) -> str:
    here: Any = tables
    for step in path:
        if isinstance(here, list) and isinstance(step, int) and step < len(here):
            here = here[step]
        else:
            here = here.get(step, {}) if isinstance(here, dict) else {}
    label = here.get("label") if isinstance(here, dict) else None
    kind = {"circuits": "circuit ", "openings": "opening "}.get(str(path[0]), "")
    return f"{kind}{path[1] if len(path) > 1 else path[0]}" + (f" ({label})" if label else "")
