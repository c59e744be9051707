"""The commands that write the papers of the estimator, the fitter and the owner."""

import argparse
import datetime as dt
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from viewer.command.running import IN_ORDER, Ended, code_of, working

if TYPE_CHECKING:
    from viewer.work.session import Asks


Command = Callable[..., argparse.ArgumentParser]


def add(command: Command) -> None:
    """Add these commands to the line."""
    q = _papers(command("quote", "write the quote: for the customer, and for the office", quote))
    q.add_argument("--keep", action="store_true", help="keep the job as quoted, to tell changes by")
    v = _papers(command("vary", "what a change costs and moves since the last kept state", vary))
    v.add_argument("--why", required=True, help="why it is changed, as the customer reads it")
    v.add_argument("--photo", default="", help="the name of a photo that shows it")
    v.add_argument("--built", action="store_true", help="this is how it was built")
    b = _papers(command("buy", "write what is to be bought, by who sells it", buy))
    b.add_argument("--take", action="store_true", help="take from the shop's shelf: it is updated")
    _papers(command("work", "write the job cards, by where one lies", order))
    _papers(command("handover", "write the hand-over: diagrams, schedules, maps", handover))
    lines = command("learn", "what done jobs teach about the usual values", learn)
    lines.add_argument("records", type=Path, nargs="+", help="lists of hours, filled in")
    for c in (q, v, b):
        c.add_argument("--on", default=_today(), help="the date (today)")


def _today() -> str:
    return dt.date.today().isoformat()


def _papers(c: argparse.ArgumentParser) -> argparse.ArgumentParser:
    c.add_argument("job", type=Path, help="the job file, .toml")
    c.add_argument("-o", "--out", type=Path, required=True, help="the folder to write into")
    c.set_defaults(work=1.0, seconds=None, fresh=False)
    return c


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
        if args.keep:
            from viewer.work.states import QUOTED, keep_state

            _told([keep_state(args.job, result, QUOTED, args.on, "", "").path])
        return code_of(result)

    return working(args, ended, work)


def buy(args: argparse.Namespace, ended: Ended) -> int:
    """Write what is to be bought; with --take, bring the shelf file up to date."""

    def work(asks: "Asks") -> int:
        from layout.errors import CoamingError
        from layout.job import read_job
        from viewer.sheets.buying import write_buying
        from viewer.words.buying import BuyingWords
        from viewer.words.estimate import EstimateWords
        from viewer.words.names import Names
        from viewer.work.session import Session
        from viewer.work.shelving import shelf_after, write_shelf

        result = Session(args.job).nested(asks)
        files = read_job(args.job)
        if args.take and not files.job.job.shelf:
            raise CoamingError(
                f'{args.job.name}: no shelf file is named: put shelf = "shelf.toml" under [job]'
            )
        shelf = shelf_after(files, result, args.on) if args.take else None
        _told(write_buying(BuyingWords(result, EstimateWords(result, Names(result))), args.out))
        if shelf is not None:
            path = args.job.parent / files.job.job.shelf
            write_shelf(path, shelf)
            _told([path])
        return code_of(result)

    return working(args, ended, work)


def order(args: argparse.Namespace, ended: Ended) -> int:
    """Write the job cards, by where one lies."""

    def work(asks: "Asks") -> int:
        from viewer.sheets.work_order import write_cards
        from viewer.words.estimate import EstimateWords
        from viewer.words.names import Names
        from viewer.words.work_order import WorkWords
        from viewer.work.session import Session

        result = Session(args.job).answer(asks)
        words = WorkWords(result, EstimateWords(result, Names(result)))
        _told(write_cards(words, args.out))
        return code_of(result)

    return working(args, ended, work)


def handover(args: argparse.Namespace, ended: Ended) -> int:
    """Write the hand-over: diagrams, schedules, maps, sheets, the model itself."""

    def work(asks: "Asks") -> int:
        from layout.job import read_job
        from viewer.sheets.handover.writing import write_handover
        from viewer.work.session import Session
        from viewer.work.states import state_words

        result = Session(args.job).answer(asks)
        state = state_words(args.job)
        _told(write_handover(read_job(args.job), result, state, args.out, asks.told))
        return code_of(result)

    return working(args, ended, work)


def learn(args: argparse.Namespace, ended: Ended) -> int:
    """Say what done jobs teach about the usual values; nothing is changed."""
    from routing.estimate.learning import lessons
    from routing.estimate.usual import usual_values
    from viewer.words.lessons import lesson_lines
    from viewer.work.records import records_of

    del ended
    found = lessons(records_of(args.records), {k: u.minutes for k, u in usual_values().items()})
    sys.stdout.write("\n".join(lesson_lines(found)) + "\n")
    return IN_ORDER


def vary(args: argparse.Namespace, ended: Ended) -> int:
    """Tell what a change costs and moves, and keep the job as it is now as its next state."""

    def work(asks: "Asks") -> int:
        from layout.errors import CoamingError
        from viewer.sheets.variation import write_variation
        from viewer.words.variation import VariationWords
        from viewer.work.session import Session
        from viewer.work.states import BUILT, CHANGED, keep_state, states_of

        states = states_of(args.job)
        if not states:
            raise CoamingError(
                f"{args.job.name}: no state is kept yet: coaming quote {args.job.name} -o DIR "
                "--keep keeps it as quoted"
            )
        result = Session(args.job).answer(asks)
        state = BUILT if args.built else CHANGED
        now = keep_state(args.job, result, state, args.on, args.why, args.photo)
        words = VariationWords(states[-1], states[0], now)
        _told([now.path, *write_variation(words, [*states, now], args.out)])
        return code_of(result)

    return working(args, ended, work)
