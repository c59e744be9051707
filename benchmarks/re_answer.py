"""`python -m benchmarks.re_answer [JOB...]`: one size changed, the result again. 1 when it fails.

Every uncertain size of a job is set 10 mm larger in turn, and one label and one price are changed.
The second answer of a session is timed; its verdicts must be those of an answer from nothing (a way
kept from before may be another way; then the result says so). Asked: median under 0.5 s, 95 % under
1.5 s, a label or price under 0.1 s.
"""

import argparse
import json
import re
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from layout.errors import CoamingError
from viewer.work.rows import Result
from viewer.work.session import Asks, Session

DEMOS = Path(__file__).parent.parent / "demo_hulls"
MEDIAN_SECONDS, MOST_SECONDS, TEXT_SECONDS = 0.5, 1.5, 0.1
UNCERTAIN = re.compile(r'^(\w+) = "([\d.]+) mm (±[^"]*)"', re.MULTILINE)


def verdicts(r: Result) -> dict[str, str]:
    """What a change must not tell otherwise than a fresh answer does."""
    found = {p.key: p.verdict for p in r.pieces}
    return found | {f"circuit {c.number}": str(c.size) for c in r.circuits}


def answered(session: Session) -> tuple[Result | None, float]:
    """(the result, seconds); None where the changed files are refused."""
    began = time.perf_counter()
    try:
        return session.answer(), time.perf_counter() - began
    except CoamingError:
        return None, time.perf_counter() - began


def _dearer(text: str, hour: float = 65.0) -> str:
    """The job with what an hour costs set."""
    if "[rates]" in text:
        return text.replace("[rates]\n", f"[rates]\nhour = {hour:g}\n", 1).replace(
            f"hour = {hour:g}\nhour", f"hour = {hour:g}\n# hour", 1
        )
    return f"{text}\n[rates]\nhour = {hour:g}\n"


def main() -> int:
    """0 when all is as fast and as true as asked."""
    parser = argparse.ArgumentParser(prog="benchmarks.re_answer")
    parser.add_argument("jobs", nargs="*", type=Path)
    args = parser.parse_args()
    spent: list[float] = []
    wrong, slow_text = 0, 0
    for job in args.jobs or sorted(DEMOS.glob("*.job.toml")):
        with tempfile.TemporaryDirectory() as room:
            for f in job.parent.glob("*.toml"):
                shutil.copy(f, room)
            mine = Path(room) / job.name
            Session(mine).answer(Asks(fresh=True))
            files = [mine, *Path(room).glob(job.name.replace(".job.", ".hull."))]
            for path in files:
                before = path.read_text(encoding="utf-8")
                for m in UNCERTAIN.finditer(before):
                    session = Session(mine)
                    session.answer()
                    grown = f'{m[1]} = "{float(m[2]) + 10:g} mm {m[3]}"'
                    path.write_text(before.replace(m[0], grown, 1), encoding="utf-8")
                    again, seconds = answered(session)
                    fresh = Session(mine).answer(Asks(fresh=True)) if again else None
                    path.write_text(before, encoding="utf-8")
                    if again is None or fresh is None:
                        continue
                    same = verdicts(again) == verdicts(fresh)
                    wrong += not same
                    spent.append(seconds)
                    row = {"job": job.name, "size": m[1], "seconds": round(seconds, 3)}
                    print(json.dumps({**row, "same_verdicts": same}), flush=True)
            text = mine.read_text(encoding="utf-8")
            session = Session(mine)
            session.answer()
            mine.write_text(text.replace('label = "', 'label = "New ', 1), encoding="utf-8")
            _, seconds = answered(session)
            slow_text += seconds > TEXT_SECONDS
            mine.write_text(_dearer(text), encoding="utf-8")
            session = Session(mine)
            session.answer(Asks(fresh=True))
            mine.write_text(_dearer(text, 66.0), encoding="utf-8")
            _, priced = answered(session)
            slow_text += priced > TEXT_SECONDS
            row = {"job": job.name, "label": round(seconds, 3), "price": round(priced, 3)}
            print(json.dumps(row), flush=True)
    median = statistics.median(spent)
    most = sorted(spent)[int(0.95 * (len(spent) - 1))]
    row = {"changes": len(spent), "median_seconds": round(median, 3), "p95_seconds": round(most, 3)}
    print(json.dumps({**row, "wrong": wrong, "slow_labels": slow_text}), flush=True)
    good = median < MEDIAN_SECONDS and most < MOST_SECONDS and not wrong and not slow_text
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
