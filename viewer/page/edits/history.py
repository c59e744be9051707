"""Every change beside the job, step by step: undone and done again across restarts.

In `.coaming/history/JOB/` lies one file a step, `NNNNNN.json`: its words and, of every file it
touched, the text before and after. `at.json` says how many steps stand. A step is written before
the files are: a program ended between the two finds it half done at the next start, and finishes
it. What another program changed becomes a step of its own, so that nothing is ever lost.
"""

import base64
import contextlib
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from pydantic import BaseModel, ConfigDict, ValidationError

from layout.errors import CoamingError
from viewer.files import write_bytes, write_text

KEPT: Final = 500  # steps
NO_TEXT: Final = "\x00base64:"  # before the bytes of a file that is not UTF-8
ELSEWHERE: Final = "changed in another program"
Texts = dict[str, str | None]  # by file name; None where there is no file


class Step(BaseModel):
    """One step: what it did in words, and the files' texts on either side of it."""

    words: str
    before: Texts
    after: Texts

    model_config = ConfigDict(frozen=True, extra="forbid")


@dataclass(slots=True)
class History:
    """The steps of one job's files; `known` are the texts as the last step left them."""

    folder: Path  # of the steps
    root: Path  # of the files
    steps: list[Step] = field(default_factory=list)
    at: int = 0
    first: int = 0  # the number of the first step that is kept
    going: int = 0  # -1 or 1 while a step is gone back or forward
    known: Texts = field(default_factory=dict)

    @classmethod
    def of(cls, root: Path, job: str, names: list[str]) -> "History":
        """The history of a job's files, a half-done step finished, a change elsewhere taken in."""
        folder = root / ".coaming" / "history" / job
        if not folder.resolve().is_relative_to(root.resolve()):
            raise CoamingError(".coaming leads out of this folder: put a plain folder in its place")
        h = cls(folder, root)
        h._read()
        with contextlib.suppress(OSError):  # where nothing can be written, what is there counts
            h._finish()
        told = h._told()
        h.known = {n: told[n] if n in told else read_text(root / n) for n in names}
        return h

    def _told(self) -> Texts:
        """The texts as the steps that stand left them: what differs was changed elsewhere since."""
        out: Texts = {}
        for step in self.steps[self.at - self.first :]:
            for name, text in step.before.items():
                out.setdefault(name, text)
        for step in reversed(self.steps[: self.at - self.first]):
            for name, text in step.after.items():
                out.setdefault(name, text)
        return out

    def _read(self) -> None:
        try:
            told = json.loads((self.folder / "at.json").read_text())
            self.at, self.going = int(told["at"]), int(told.get("going", 0))
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            self.at = self.going = 0
        paths = sorted(self.folder.glob("[0-9]*.json"))
        for n, path in enumerate(paths):
            try:
                number = int(path.stem)
                step = Step.model_validate_json(path.read_text(encoding="utf-8"))
            except (OSError, ValueError, ValidationError):
                break
            if not _is_ours(step):
                break
            if n == 0:
                self.first = number
            elif number != self.first + n:
                break
            self.steps.append(step)
        self.at = min(max(self.at, self.first), self.first + len(self.steps))

    def _finish(self) -> None:
        """Finish a step whose files were written in part when the program was ended."""
        if self.going:
            self._finish_going()
            return
        if not self._next:
            return
        step = self._next
        there = {name: read_text(self.root / name) for name in step.after}
        done = [name for name in step.after if there[name] == step.after[name]]
        if not done or any(there[n] not in (step.before[n], step.after[n]) for n in there):
            return  # not begun, or changed since: what is there counts
        for name, text in step.after.items():
            put_text(self.root / name, text)
        self._point(self.at + 1)

    def _finish_going(self) -> None:
        """Finish a step back or forward that was begun."""
        step = self._last if self.going < 0 else self._next
        if step is None:
            return
        to, back = (step.before, step.after) if self.going < 0 else (step.after, step.before)
        if all(read_text(self.root / n) in (to[n], back[n]) for n in to):
            for name, text in to.items():
                put_text(self.root / name, text)
            self._point(self.at + self.going)

    @property
    def _next(self) -> Step | None:
        n = self.at - self.first
        return self.steps[n] if n < len(self.steps) else None

    @property
    def _last(self) -> Step | None:
        n = self.at - self.first
        return self.steps[n - 1] if n > 0 else None

    @property
    def undo_words(self) -> str:
        """What undoing would take back; empty where there is nothing."""
        return self._last.words if self._last else ""

    @property
    def redo_words(self) -> str:
        """What would be done again; empty where there is nothing."""
        return self._next.words if self._next else ""

    def took_in(self) -> list[str]:
        """The files another program has changed since the last step, taken in as a step."""
        names = set(self.known)
        there = {name: read_text(self.root / name) for name in names}
        other = [n for n in sorted(names) if there[n] != self.known[n]]
        if other:
            before = {n: self.known[n] for n in other}
            after = {n: there[n] for n in other}
            self.known |= after
            step = Step(words=f"{', '.join(other)} {ELSEWHERE}", before=before, after=after)
            with contextlib.suppress(OSError):  # it can be looked at where no step can be kept
                self._add(step)
                self._point(self.at + 1)
        return other

    def do(self, words: str, after: Texts) -> None:
        """Write some files as one step, where they are as they are known to be.

        Raises OSError or CoamingError, with nothing changed, where it cannot.
        """
        before = {name: read_text(self.root / name) for name in after}
        for name, text in before.items():
            if name in self.known and self.known[name] != text:
                raise CoamingError(f"{name} was changed in another program just now: look again")
        step = Step(words=words, before=before, after=after)
        self._add(step)
        try:
            self._write(step.after, step.before)
        except OSError:
            self._drop_from(self.at)
            raise
        try:
            self._point(self.at + 1)
        except OSError:  # the step is whole all the same: the next start finds it done
            self.going = 0

    def undo(self) -> bool:
        """Take the last step back; False where there is none or its files have changed since."""
        step = self._last
        if step is None or any(self.known.get(n) != t for n, t in step.after.items()):
            return False
        self._point(self.at, -1)
        self._write(step.before, step.after)
        self._point(self.at - 1)
        return True

    def redo(self) -> bool:
        """Do the next step again; False where there is none or its files have changed since."""
        step = self._next
        if step is None or any(self.known.get(n) != t for n, t in step.before.items()):
            return False
        self._point(self.at, 1)
        self._write(step.after, step.before)
        self._point(self.at + 1)
        return True

    def _write(self, texts: Texts, back: Texts) -> None:
        done: list[str] = []
        try:
            for name, text in texts.items():
                put_text(self.root / name, text)
                done.append(name)
        except OSError:
            for name in done:
                put_text(self.root / name, back[name])
            raise
        self.known |= texts

    def _add(self, step: Step) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        self._drop_from(self.at)
        number = self.first + len(self.steps)
        write_text(self.folder / f"{number:06d}.json", step.model_dump_json() + "\n")
        self.steps.append(step)
        while len(self.steps) > KEPT:
            (self.folder / f"{self.first:06d}.json").unlink(missing_ok=True)
            self.steps.pop(0)
            self.first += 1

    def _drop_from(self, number: int) -> None:
        """Forget the steps from a number on: what was undone is gone once something new is done."""
        while self.first + len(self.steps) > number:
            last = self.first + len(self.steps) - 1
            (self.folder / f"{last:06d}.json").unlink(missing_ok=True)
            self.steps.pop()

    def _point(self, at: int, going: int = 0) -> None:
        """Say how many steps stand, and whether one is being gone back or forward."""
        self.at, self.going = at, going
        told = {"at": at, "going": going} if going else {"at": at}
        write_text(self.folder / "at.json", json.dumps(told) + "\n")


def _is_ours(step: Step) -> bool:
    """True for a step about files right in the folder, each with both its texts."""
    names = set(step.before)
    plain = all(Path(n).name == n and n.endswith(".toml") and not n.startswith(".") for n in names)
    return plain and names == set(step.after)


def read_text(path: Path) -> str | None:
    """The text of a file; None where there is none. What is no UTF-8 comes as marked base 64."""
    try:
        data = path.read_bytes()
    except OSError:
        return None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return NO_TEXT + base64.b64encode(data).decode("ascii")


def put_text(path: Path, text: str | None) -> None:
    """Write a file whole, or take it away."""
    if text is None:
        path.unlink(missing_ok=True)
    elif text.startswith(NO_TEXT):
        write_bytes(path, base64.b64decode(text.removeprefix(NO_TEXT)))
    else:
        write_bytes(path, text.encode("utf-8"))
