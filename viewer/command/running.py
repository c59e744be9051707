"""How a command runs: progress, a stop, a clock, what is said and the code it ends with."""

import argparse
import math
import os
import sys
import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from layout.errors import one_line

if TYPE_CHECKING:
    from rich.console import Console

    from viewer.work.rows import Result
    from viewer.work.session import Asks

IN_ORDER, NOT_IN_ORDER, BAD_INPUT, STOPPED = 0, 1, 2, 130
WIDTH = 100


class Ended:
    """Whether a person has stopped the work, or the time they allowed has run out."""

    def __init__(self) -> None:
        self._stopped = threading.Event()
        self._until = math.inf

    def allow(self, seconds: float | None) -> None:
        """Set the clock a person asks for."""
        self._until = math.inf if seconds is None else time.monotonic() + seconds

    def stop(self) -> None:
        """Stop the work."""
        self._stopped.set()

    def stopped(self) -> bool:
        """True when a person stopped it."""
        return self._stopped.is_set()

    def clocked(self) -> bool:
        """True when the time allowed has run out."""
        return time.monotonic() > self._until


def plain_streams() -> None:
    """Letters a terminal cannot show are replaced, never a fault; closed streams are nothing."""
    for name in ("stdout", "stderr"):
        stream: Any = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def own_output() -> None:
    """Part our output from what a solver prints past Python: answers alone reach a file or pipe.

    The solver scipy brings prints a line of its own to the process's output in rare cases.
    """
    if sys.stdout is None:
        return
    stream = sys.stdout
    stream.flush()
    ours = os.dup(stream.fileno())
    with open(os.devnull, "wb") as nowhere:
        os.dup2(nowhere.fileno(), stream.fileno())
    lines = 1 if os.isatty(ours) else -1
    sys.stdout = open(ours, "w", lines, stream.encoding, "replace")  # noqa: SIM115


def say(text: str, code: int) -> int:
    """Tell a person something on the error stream; the code to end with."""
    try:
        sys.stderr.write("\n".join(one_line(line) for line in text.split("\n")) + "\n")
        sys.stderr.flush()
    except OSError:
        return code  # nobody listens
    return code


def console(error: bool = False) -> "Console":
    """Where tables and progress go, as wide as the terminal."""
    from rich.console import Console

    stream = sys.stderr if error else sys.stdout
    width = None if stream.isatty() else WIDTH
    return Console(file=stream, highlight=False, width=width)


def working(
    args: argparse.Namespace, ended: Ended, then: "Callable[[Asks], int]", whole: bool = True
) -> int:
    """Do some work with its progress shown. `whole` asks for a job with nothing left to be put."""
    from layout.job import read_job

    files = read_job(args.job)
    from viewer.work.described import Described

    if whole:
        Described.by(files)  # a slip in the files is told before anything heavy is loaded
    from layout.geometry.kernels import kernel_cache
    from viewer.work.session import Asks
    from viewer.work.warming import warm_beside

    ended.allow(args.seconds)
    known = kernel_cache()
    if known.why_slow:
        say(known.why_slow, 0)
    with console(error=True).status("reading the files", spinner="line") as status:

        def told(what: str) -> None:
            status.update(f"working on {one_line(what)}".replace("[", "("))

        with warm_beside(known.cold, told):
            asks = Asks(
                args.work,
                1,
                args.fresh,
                told,
                ended.stopped,
                ended.clocked if args.seconds is not None else None,
            )
            return then(asks)


def code_of(result: "Result") -> int:
    """The code a command ends with for a result."""
    return IN_ORDER if result.in_order else NOT_IN_ORDER
