"""The commands, their options, and how every end of them is told."""

import argparse
import math
import os
import signal
import sys
import threading
from collections.abc import Callable
from pathlib import Path

from layout.errors import CoamingError, JobError, Stopped, one_line
from viewer.command.answers import bench, book, check, compare, remedy
from viewer.command.finding import add as add_finding
from viewer.command.other import page, schema
from viewer.command.papers import add as add_papers
from viewer.command.running import (
    BAD_INPUT,
    IN_ORDER,
    STOPPED,
    Ended,
    own_output,
    plain_streams,
    say,
)
from viewer.command.surveying import add as add_survey


def _more_than_nothing(text: str) -> float:
    """A number above nothing. Raises ArgumentTypeError."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value > 0):
        raise argparse.ArgumentTypeError(f"{one_line(text)!r} is not a number above 0")
    return value


def works(c: argparse.ArgumentParser) -> None:
    """The options of every command that works a job out."""
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

    check_line = command("check", "work a job out and print a short table", check)
    works(check_line)
    check_line.add_argument("--json", action="store_true", help="print the whole result as JSON")
    book_line = command("book", "write the job's book: pictures, moves, circuits, cut list", book)
    works(book_line)
    book_line.add_argument("-o", "--out", type=Path, required=True, help="the folder to write into")
    book_line.add_argument(
        "--moving", action="store_true", help="a moving picture (GIF) of every way in, too"
    )
    bench_line = command("bench", "write every board's bench papers: drawn, template, lists", bench)
    works(bench_line)
    bench_line.add_argument(
        "-o", "--out", type=Path, required=True, help="the folder to write into"
    )
    add_survey(command)
    add_papers(command)
    add_finding(command)
    remedy_line = command("remedy", "what would make a board or piece go in", remedy)
    works(remedy_line)
    remedy_line.add_argument("piece", help="the board's or piece's key or label")
    remedy_line.add_argument(
        "--up-to",
        type=_more_than_nothing,
        metavar="MM",
        help="how large a board to try, mm (usual: two and a half times as large as it is)",
    )
    compare_line = command("compare", "what changed between two jobs or two results", compare)
    compare_line.add_argument(
        "before", type=Path, help="a job file, or a result printed by check --json"
    )
    compare_line.add_argument("after", type=Path, help="another")
    schema_line = command(
        "schema", "write JSON Schemas, so that an editor completes the keys", schema
    )
    schema_line.add_argument(
        "-o", "--out", type=Path, required=True, help="the folder to write into"
    )
    page_line = command(
        "page", "the same in your browser: measure, put gear in, see the answer", page
    )
    page_line.add_argument(
        "folder", type=Path, nargs="?", default=Path(), help="the folder of boats and jobs (here)"
    )
    page_line.add_argument("--no-browser", action="store_true", help="print the address only")
    return p


def main(argv: list[str] | None = None) -> int:
    """Run a command. 0: all in order, 1: something is not or is not settled, 2: bad input."""
    if argv is None:  # a process of its own
        own_output()
    plain_streams()
    args = parser().parse_args(argv)
    ended = Ended()

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
        os.dup2(
            os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno()
        )  # nobody reads any more: that is no fault
        return IN_ORDER
    except KeyboardInterrupt:
        ended.stop()
        return say("Stopped; nothing half-written was left behind.", STOPPED)
    except Stopped as e:
        return say(str(e), STOPPED)
    except JobError as e:
        count = len(e.findings)
        lines = [f"{count} thing{'s' if count != 1 else ''} to put right:"]
        lines += ["  " + finding.sentence() for finding in e.findings]
        return say("\n".join(lines), BAD_INPUT)
    except CoamingError as e:
        return say(str(e), BAD_INPUT)
    except OSError as e:
        words = e.strerror or "it cannot be used"
        name = one_line(str(e.filename or "a file"))
        return say(f"{name}: {words}: check the folder and who may write there.", BAD_INPUT)
    finally:
        for s, handler in before.items():
            signal.signal(s, handler)
