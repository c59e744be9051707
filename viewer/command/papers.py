"""The commands that write the papers of the estimator, the fitter and the owner."""

import argparse
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from viewer.command.running import Ended, code_of, working

if TYPE_CHECKING:
    from viewer.work.session import Asks


Command = Callable[..., argparse.ArgumentParser]


def add(command: Command) -> None:
    """Add these commands to the line."""
    _papers(command("quote", "write the quote: for the customer, and for the office", quote))


def _papers(c: argparse.ArgumentParser) -> None:
    c.add_argument("job", type=Path, help="the job file, .toml")
    c.add_argument("-o", "--out", type=Path, required=True, help="the folder to write into")
    c.set_defaults(work=1.0, seconds=None, fresh=False)


def _told(paths: Iterable[Path]) -> None:
    for path in paths:
        sys.stdout.write(f"{path}\n")


def quote(args: argparse.Namespace, ended: Ended) -> int:
    """Write the quote: for the customer, and for the office."""

    def work(asks: "Asks") -> int:
        from layout.job import read_job
        from viewer.sheets.quote.writing import write_quote
        from viewer.work.session import Session

        result = Session(args.job).answer(asks)
        files = read_job(args.job)
        made = files.job.estimate.made
        _told(write_quote(result, files.shop.shop, made, args.out, asks.told))
        return code_of(result)

    return working(args, ended, work)
