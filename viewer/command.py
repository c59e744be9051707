"""The command line: check, book, remedy, compare, schema, page."""

import argparse
import json
import math
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layout.errors import CoamingError, JobError, Stopped, one_line

if TYPE_CHECKING:
    from rich.console import Console

    from viewer.work.rows import Result
    from viewer.work.session import Asks

IN_ORDER, NOT_IN_ORDER, BAD_INPUT, STOPPED = 0, 1, 2, 130
WIDTH = 100
Told = Callable[[str], None]


def _more_than_nothing(text: str) -> float:
    """A number above nothing. Raises ArgumentTypeError."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value > 0):
        raise argparse.ArgumentTypeError(f"{one_line(text)!r} is not a number above 0")
    return value


def parser() -> argparse.ArgumentParser:
    """The commands and their options."""
    p = argparse.ArgumentParser(
        prog="coaming",
        description="Will this gear go through that hatch, stand clear, and be wired by cable of "
        "known length and size?",
    )
    sub = p.add_subparsers(dest="command", required=True)

    def command(name: str, words: str, run: Callable[..., int]) -> argparse.ArgumentParser:
        c = sub.add_parser(name, help=words, description=words[0].upper() + words[1:] + ".")
        c.set_defaults(run=run)
        return c

    def works(c: argparse.ArgumentParser) -> None:
        c.add_argument("job", type=Path, help="the job file, .toml")
        c.add_argument(
            "--work",
            type=_more_than_nothing,
            default=1.0,
            help='how many times the usual work before "not settled" (usual: 1)',
        )
        c.add_argument(
            "--seconds",
            type=_more_than_nothing,
            default=None,
            help="stop looking after so many seconds; the result says when that happened",
        )
        c.add_argument(
            "--fresh", action="store_true", help="work everything out anew, use nothing kept"
        )

    check = command("check", "work a job out and print a short table", _check)
    works(check)
    check.add_argument("--json", action="store_true", help="print the whole result as JSON")
    book = command("book", "write the job's book: pictures, moves, circuits, cut list", _book)
    works(book)
    book.add_argument("-o", "--out", type=Path, required=True, help="the folder to write into")
    book.add_argument(
        "--moving", action="store_true", help="a moving picture (GIF) of every way in, too"
    )
    bench = command("bench", "write every board's bench papers: drawn, template, lists", _bench)
    works(bench)
    bench.add_argument("-o", "--out", type=Path, required=True, help="the folder to write into")
    remedy = command("remedy", "what would make a board or piece go in", _remedy)
    works(remedy)
    remedy.add_argument("piece", help="the board's or piece's key or label")
    remedy.add_argument(
        "--up-to",
        type=_more_than_nothing,
        metavar="MM",
        help="how large a board to try, mm (usual: two and a half times as large as it is)",
    )
    compare = command("compare", "what changed between two jobs or two results", _compare)
    compare.add_argument(
        "before", type=Path, help="a job file, or a result printed by check --json"
    )
    compare.add_argument("after", type=Path, help="another")
    schema = command("schema", "write JSON Schemas, so that an editor completes the keys", _schema)
    schema.add_argument("-o", "--out", type=Path, required=True, help="the folder to write into")
    page = command("page", "the same in your browser: measure, put gear in, see the answer", _page)
    page.add_argument(
        "folder", type=Path, nargs="?", default=Path(), help="the folder of boats and jobs (here)"
    )
    page.add_argument("--no-browser", action="store_true", help="print the address only")
    return p


class _Ended:
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


def main(argv: list[str] | None = None) -> int:
    """Run a command. 0: all in order, 1: something is not or is not settled, 2: bad input."""
    _plain_streams()
    args = parser().parse_args(argv)
    ended = _Ended()

    def stop(_signal: int, _frame: object) -> None:
        ended.stop()
        raise KeyboardInterrupt

    on_main = threading.current_thread() is threading.main_thread()
    asked = (signal.SIGTERM, signal.SIGINT)  # both end what other threads work on, too
    before = {s: signal.signal(s, stop) for s in asked} if on_main else {}
    try:
        code = int(args.run(args, ended))
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # nobody reads any more: that is no fault
        return IN_ORDER
    except KeyboardInterrupt:
        ended.stop()
        return _say("Stopped; nothing half-written was left behind.", STOPPED)
    except Stopped as e:
        return _say(str(e), STOPPED)
    except JobError as e:
        count = len(e.findings)
        lines = [f"{count} thing{'s' if count != 1 else ''} to put right:"]
        lines += ["  " + finding.sentence() for finding in e.findings]
        return _say("\n".join(lines), BAD_INPUT)
    except CoamingError as e:
        return _say(str(e), BAD_INPUT)
    except OSError as e:
        words = e.strerror or "it cannot be used"
        name = one_line(str(e.filename or "a file"))
        return _say(f"{name}: {words}: check the folder and who may write there.", BAD_INPUT)
    finally:
        for s, handler in before.items():
            signal.signal(s, handler)


def _plain_streams() -> None:
    """Letters a terminal cannot show are replaced, never a fault; closed streams are nothing."""
    for name in ("stdout", "stderr"):
        stream: Any = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _say(text: str, code: int) -> int:
    """Tell a person something on the error stream; the code to end with."""
    try:
        sys.stderr.write("\n".join(one_line(line) for line in text.split("\n")) + "\n")
        sys.stderr.flush()
    except OSError:
        return code  # nobody listens
    return code


def _console(error: bool = False) -> "Console":
    from rich.console import Console

    stream = sys.stderr if error else sys.stdout
    width = None if stream.isatty() else WIDTH
    return Console(file=stream, highlight=False, width=width)


def _working(args: argparse.Namespace, ended: _Ended, then: "Callable[[Asks], int]") -> int:
    """Do some work with its progress shown."""
    from layout.job import read_job

    files = read_job(args.job)
    from viewer.work.described import Described

    Described.by(files)  # a slip in the files is told before anything heavy is loaded
    from layout.geometry.kernels import kernel_cache
    from viewer.work.session import Asks
    from viewer.work.warming import warm_beside

    ended.allow(args.seconds)
    known = kernel_cache()
    if known.why_slow:
        _say(known.why_slow, 0)
    with _console(error=True).status("reading the files", spinner="line") as status:

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


def _code(result: "Result") -> int:
    return IN_ORDER if result.in_order else NOT_IN_ORDER


def _check(args: argparse.Namespace, ended: _Ended) -> int:
    kept: list[Result] = []

    def work(asks: "Asks") -> int:
        from viewer.work.session import Session

        kept.append(Session(args.job).answer(asks))
        return _code(kept[0])

    code = _working(args, ended, work)
    if args.json:
        from viewer.work.saved import json_text

        sys.stdout.write(json_text(kept[0]))
    else:
        from viewer.words.terminal import print_result

        print_result(kept[0], _console())
    return code


def _book(args: argparse.Namespace, ended: _Ended) -> int:
    def work(asks: "Asks") -> int:
        from viewer.sheets.writing import write_book
        from viewer.work.session import Session

        session = Session(args.job)
        result = session.answer(asks)
        result = session.remedied(session.stuck(result), asks)
        for path in write_book(result, args.out, asks.told, args.moving):
            sys.stdout.write(f"{path}\n")
        return _code(result)

    return _working(args, ended, work)


def _bench(args: argparse.Namespace, ended: _Ended) -> int:
    def work(asks: "Asks") -> int:
        from viewer.sheets.bench.writing import write_bench
        from viewer.work.session import Session

        session = Session(args.job)
        result = session.nested(asks)
        for path in write_bench(result, args.out, asks.told):
            sys.stdout.write(f"{path}\n")
        return _code(result)

    return _working(args, ended, work)


def _remedy(args: argparse.Namespace, ended: _Ended) -> int:
    lines: list[str] = []

    def work(asks: "Asks") -> int:
        from viewer.words.names import Names
        from viewer.words.pieces import PieceWords
        from viewer.work.session import find_remedies

        result, key = find_remedies(args.job, args.piece, asks, args.up_to)
        row = result.piece(key)
        words = PieceWords(result, row, Names(result))
        if not row.remedies:
            lines.append(
                f"{words.label}: nothing tried makes it go; choose another way in or place."
            )
            return NOT_IN_ORDER
        goes = (
            "goes in. How large it may be, each way alone, with a proven way"
            if row.verdict == "goes in"
            else "goes in with any one of these, each with a proven way"
        )
        lines.append(f"{words.label} {goes}:")
        lines.extend(f"  {words.remedy(r)}" for r in row.remedies)
        return IN_ORDER

    code = _working(args, ended, work)
    sys.stdout.write("\n".join(one_line(x) for x in lines) + "\n")
    return code


def _compare(args: argparse.Namespace, ended: _Ended) -> int:
    from viewer.words.compare import changes
    from viewer.work.saved import load_result

    args.work, args.seconds, args.fresh = 1.0, None, False
    results = []
    for path in (args.before, args.after):
        found = load_result(path)
        if found is None:
            kept: list[Result] = []

            def work(asks: "Asks", path: Path = path, kept: "list[Result]" = kept) -> int:
                from viewer.work.session import Session

                kept.append(Session(path).answer(asks))
                return IN_ORDER

            args.job = path
            _working(args, ended, work)
            found = kept[0]
        results.append(found)
    told = changes(*results)
    sys.stdout.write("\n".join(one_line(x) for x in told or ["Nothing changed."]) + "\n")
    return IN_ORDER if not told else NOT_IN_ORDER


def _page(args: argparse.Namespace, ended: _Ended) -> int:
    from viewer.page.server import serve

    del ended

    def say(address: str) -> None:
        sys.stdout.write(f"The page: {address}\n")
        sys.stdout.flush()

    return serve(args.folder, not args.no_browser, say)


def _schema(args: argparse.Namespace, ended: _Ended) -> int:
    from layout.job import HullFile, JobFile
    from viewer.files import write_text
    from viewer.work.rows import Result

    del ended
    args.out.mkdir(parents=True, exist_ok=True)
    draft = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    for name, model in (
        ("hull.schema.json", HullFile),
        ("job.schema.json", JobFile),
        ("result.schema.json", Result),
    ):
        path = args.out / name
        mode: Any = "serialization" if model is Result else "validation"
        schema = {**draft, **model.model_json_schema(by_alias=True, mode=mode)}
        write_text(path, json.dumps(schema, indent=1) + "\n")
        sys.stdout.write(f"{path}\n")
    return IN_ORDER


if __name__ == "__main__":
    sys.exit(main())
