"""How long each paper set takes once the answer is there, in seconds, for every demo.

    python -m benchmarks.papers

`pictures` are those of the hand-over and the book, rendered anew each time. The estimate's range
is compared with a simulation of the same tasks, and the share of pulling is told.
"""

import shutil
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from layout.job import read_job
from viewer.sheets.bench.writing import write_bench
from viewer.sheets.buying import write_buying
from viewer.sheets.handover.writing import write_handover
from viewer.sheets.quote.writing import write_quote
from viewer.sheets.variation import write_variation
from viewer.sheets.work_order import write_cards
from viewer.sheets.writing import write_book
from viewer.words.buying import BuyingWords
from viewer.words.estimate import EstimateWords
from viewer.words.names import Names
from viewer.words.variation import VariationWords
from viewer.words.work_order import WorkWords
from viewer.work.rows import Result
from viewer.work.session import Session
from viewer.work.states import keep_state

ROOT = Path(__file__).parent.parent
DEMOS = ("harbour_launch", "sailing_yacht", "survey_catamaran", "trip_boat")
DRAWS = 20_000


def timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def sets(job: Path, result: Result, out: Path) -> dict[str, float]:
    files, names = read_job(job), Names(result)
    words = EstimateWords(result, names)
    quoted = keep_state(job, result, "quoted", "", "", "")
    changed = keep_state(job, result, "changed", "", "as it is", "")
    change = VariationWords(quoted, quoted, changed)
    return {
        "quote": timed(lambda: write_quote(result, files.shop.shop, "", out / "q")),
        "change": timed(lambda: write_variation(change, [quoted, changed], out / "c")),
        "buy": timed(lambda: write_buying(BuyingWords(result, words), out / "b")),
        "work": timed(lambda: write_cards(WorkWords(result, words), out / "w")),
        "bench": timed(lambda: write_bench(result, out / "p")),
        "hand-over with pictures": timed(lambda: write_handover(files, result, "", out / "h")),
        "book with pictures": timed(lambda: write_book(result, out / "k")),
    }


def simulated(result: Result) -> float:
    """The share of simulated jobs inside the range told; one draw for each kind of a job."""
    rng = np.random.default_rng(1)
    total = np.zeros(DRAWS)
    kinds: dict[str, list[float]] = {}
    for t in result.estimate.tasks:
        sums = kinds.setdefault(t.task, [0.0, 0.0, 0.0])
        for k, v in enumerate((t.least, t.likely, t.most)):
            sums[k] += v
    for a, m, b in kinds.values():
        mean, deviation = ((a + 4 * m + b) / 6 - a) / (b - a), 1 / 6
        n = mean * (1 - mean) / deviation**2 - 1
        total += a + rng.beta(mean * n, (1 - mean) * n, DRAWS) * (b - a)
    h = result.estimate.hours
    return float(np.mean((total > h.low) & (total < h.high)))


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        for file in (ROOT / "demo_hulls").glob("*.toml"):
            shutil.copy(file, root)
        for name in DEMOS:
            job = root / f"{name}.job.toml"
            result = Session(job).nested()
            times = ", ".join(f"{k} {v:.1f}" for k, v in sets(job, result, root / name).items())
            e = result.estimate
            print(f"{name}: {times}")
            print(
                f"  {e.hours.mean:.0f} h ({e.hours.low:.0f} to {e.hours.high:.0f}); simulated jobs "
                f"inside: {simulated(result):.3f}; pulling {e.pulling_share:.0%} of the wiring in "
                f"the boat, {next(g.share for g in e.groups if g.group == 'pulling'):.0%} of all"
            )


if __name__ == "__main__":
    main()
