"""The answer of a job, worked out again after every change, told as it comes, and stoppable."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from layout.errors import CoamingError, Stopped
from viewer.page.faults import fault_words
from viewer.page.wire import Row
from viewer.work.piece_rows import PieceRow
from viewer.work.rows import Result
from viewer.work.session import Asks, Session

LET_TELL_SECONDS: Final = 0.03  # for the server to send what is known before the wiring is laid


class WorkRow(Row):
    """What the engine does: `state` is resting, working, answered, stopped, waiting or failed."""

    state: str
    revision: str
    words: str


@dataclass(slots=True)
class Live:
    """One thread a desk: the latest revision asked for is worked on, an older one is given up."""

    path: Path
    tell: Callable[[str, dict[str, Any]], None]
    shown: Callable[[Result], dict[str, Any]]  # what each panel shows of a result
    shown_pieces: Callable[[Result], dict[str, Any]]  # of one whose pieces alone are of now
    result: Result | None = None
    result_of: str = ""
    pieces: Result | None = None
    pieces_of: str = ""
    session: Session | None = None
    _wanted: str = ""
    _done: str = ""
    _told: tuple[Result, dict[str, Any]] | None = None  # a result and what is shown of it
    _stopped: bool = False
    _stops: int = 0  # how often a person has stopped
    _ended: bool = False
    _work: WorkRow = field(default_factory=lambda: WorkRow(state="resting", revision="", words=""))
    _turn: threading.Condition = field(default_factory=threading.Condition)
    _thread: threading.Thread | None = None

    @property
    def work(self) -> WorkRow:
        """What is done now."""
        return self._work

    def want(self, revision: str, well: bool) -> None:
        """Ask for the answer of a revision; one with problems in its files has none."""
        with self._turn:
            if not well:
                self._wanted = self._done = ""
                self._say("waiting", revision, "The files need putting right first.")
                return
            if revision == self._wanted:
                return
            if self.result is not None and revision == self.result_of:  # back where it was
                self._wanted, self._done, self._stopped = revision, revision, False
                self._say("answered", revision, "")
                return
            self._wanted, self._stopped = revision, False
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, daemon=True)
                self._thread.start()
            self._turn.notify_all()

    def again(self, revision: str) -> None:
        """Work on after a person has stopped."""
        with self._turn:
            self._wanted = self._done = ""
        self.want(revision, well=True)

    def stop(self) -> None:
        """Stop the work at the person's word: the answer, and whatever is tried beside it."""
        self._stopped = True
        self._stops += 1

    def trying(self) -> Callable[[], bool]:
        """For something tried beside the answer: true once a person has stopped it."""
        begun = self._stops
        return lambda: self._ended or self._stops != begun

    def end(self) -> None:
        """Stop for good."""
        with self._turn:
            self._ended = True
            self._turn.notify_all()
        if self._thread is not None:
            self._thread.join(timeout=10)

    def _say(self, state: str, revision: str, words: str) -> None:
        self._work = WorkRow(state=state, revision=revision, words=words)
        self.tell("work", self._work.model_dump(mode="json"))

    def _run(self) -> None:
        while True:
            with self._turn:
                while not self._ended and (self._wanted in ("", self._done)):
                    self._turn.wait()
                if self._ended:
                    return
                revision = self._done = self._wanted
            try:
                self._answer(revision)
            except Exception as e:  # told and kept: the next change is worked out all the same
                self._say("failed", revision, fault_words(e, self.path.parent))

    def _answer(self, revision: str) -> None:
        def given_up() -> bool:
            return self._stopped or self._ended or self._wanted != revision

        def told(words: str) -> None:
            self._say("working", revision, words)

        def shown(row: PieceRow) -> None:
            if not given_up():
                self.tell("verdict", {"key": row.key, "verdict": row.verdict})

        def fitted(result: Result) -> None:
            if not given_up():
                self.pieces, self.pieces_of = result, revision
                self.tell("pieces", {"revision": revision, "parts": self.shown_pieces(result)})
                time.sleep(LET_TELL_SECONDS)

        self._say("working", revision, "reading the files")
        try:
            if self.session is None:
                self.session = Session(self.path)
            asks = Asks(told=told, stop=given_up, shown=shown, fitted=fitted)
            result = self.session.answer(asks)
        except Stopped:
            self._done = ""
            if self._stopped:
                self._done = revision
                self._say("stopped", revision, "Stopped. What is shown is of an earlier state.")
            return
        except CoamingError as e:
            self._say("failed", revision, str(e))
            return
        if self._wanted != revision:
            return
        self.took(result, revision)

    def took(self, result: Result, revision: str) -> None:
        """Take a result as the answer of a revision and tell it."""
        self.result, self.result_of = result, revision
        self.pieces, self.pieces_of = result, revision
        self._work = WorkRow(state="answered", revision=revision, words="")
        self.tell("answer", self.told())

    def told(self) -> dict[str, Any]:
        """The answer as the page gets it: what each panel shows of it."""
        if self.result is None:
            return {"revision": "", "parts": {}}
        if self._told is None or self._told[0] is not self.result:
            self._told = (self.result, self.shown(self.result))
        return {"revision": self.result_of, "parts": self._told[1]}
