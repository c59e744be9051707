"""`python -m benchmarks.same_bytes [JOB...]`: one job, many runs, the same bytes. 1 when not.

Each job is worked out from nothing five times alone, five times under two busy loops, and once on
one core; `check --json` and the book's HTML and PDF must come out byte for byte the same.
"""

import argparse
import hashlib
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DEMOS = Path(__file__).parent.parent / "demo_hulls"
COAMING = (sys.executable, "-m", "viewer.command")


def check(job: Path, cores: set[int] | None) -> str:
    """The digest of `check --json` worked out from nothing."""
    run = subprocess.run(
        [*COAMING, "check", str(job), "--json", "--fresh"],
        capture_output=True,
        check=False,
        preexec_fn=None if cores is None else lambda: os.sched_setaffinity(0, cores),
    )
    if run.returncode not in (0, 1):
        raise RuntimeError(run.stderr.decode())
    return hashlib.sha256(run.stdout).hexdigest()


def book(job: Path) -> dict[str, str]:
    """The digests of a book's HTML and PDF, worked out from nothing."""
    with tempfile.TemporaryDirectory() as room:
        run = subprocess.run(
            [*COAMING, "book", str(job), "--fresh", "-o", str(Path(room) / "b")],
            capture_output=True,
            check=False,
        )
        if run.returncode not in (0, 1):
            raise RuntimeError(run.stderr.decode())
        names = ("book.html", "book.pdf")
        return {n: hashlib.sha256((Path(room) / "b" / n).read_bytes()).hexdigest() for n in names}


def main() -> int:
    """0 when every run of every job gives the same bytes."""
    parser = argparse.ArgumentParser(prog="benchmarks.same_bytes")
    parser.add_argument("jobs", nargs="*", type=Path)
    parser.add_argument("--runs", type=int, default=5)
    args = parser.parse_args()
    failed = 0
    for job in args.jobs or sorted(DEMOS.glob("*.job.toml")):
        began = time.perf_counter()
        alone = [check(job, None) for _ in range(args.runs)]
        busy = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(2)]
        try:
            loaded = [check(job, None) for _ in range(args.runs)]
        finally:
            for b in busy:
                b.kill()
                b.wait()
        single = [check(job, {min(os.sched_getaffinity(0))})]
        books = [book(job) for _ in range(2)]
        row = {
            "job": job.name,
            "alone": len(set(alone)),
            "loaded": len({*alone, *loaded}),
            "one_core": len({*alone, *single}),
            "html": len({b["book.html"] for b in books}),
            "pdf": len({b["book.pdf"] for b in books}),
            "seconds": round(time.perf_counter() - began, 1),
        }
        same = all(row[k] == 1 for k in ("alone", "loaded", "one_core", "html", "pdf"))
        failed += not same
        print(json.dumps({**row, "same": same}), flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
