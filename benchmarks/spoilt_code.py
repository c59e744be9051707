"""`python -m benchmarks.spoilt_code [NAME...]`: code spoilt on purpose, and which test notices.

Each spoiling is made in a copy of the tree and the tests that should notice it are run there; a
spoiling no test notices is a rule that is not tested. One JSON line each; 1 when any lives on.
"""

import argparse
import json
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from benchmarks.spoilings.bench import BENCH_SPOILINGS
from benchmarks.spoilings.engine import ENGINE_SPOILINGS
from benchmarks.spoilings.estimate import ESTIMATE_SPOILINGS
from benchmarks.spoilings.page import PAGE_SPOILINGS
from benchmarks.spoilings.spoiling import Spoiling
from benchmarks.spoilings.wiring import WIRING_SPOILINGS

ROOT = Path(__file__).parent.parent
SPOILINGS = (*ENGINE_SPOILINGS, *WIRING_SPOILINGS, *PAGE_SPOILINGS, *BENCH_SPOILINGS,
             *ESTIMATE_SPOILINGS)  # fmt: skip


def noticed(s: Spoiling, room: Path) -> str:
    """The first test that fails on the spoilt tree; empty when none does."""
    path = room / s.file
    sound = path.read_text(encoding="utf-8")
    if s.old not in sound:
        raise ValueError(f"{s.name}: {s.file} no longer holds {s.old!r}")
    path.write_text(sound.replace(s.old, s.new, 1), encoding="utf-8")
    try:
        run = subprocess.run(
            [sys.executable, "-m", "pytest", "-x", "-q", *shlex.split(s.tests)],
            cwd=room,
            env={**os.environ, "PYTHONPATH": str(room), "COAMING_CACHE": str(room / "kernels")},
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        path.write_text(sound, encoding="utf-8")
    if run.returncode == 0:
        return ""
    failed = [x for x in run.stdout.splitlines() if x.startswith(("FAILED", "ERROR"))]
    return failed[0].split(" - ")[0] if failed else f"pytest ended with {run.returncode}"


def main() -> int:
    """0 when every spoiling is noticed."""
    parser = argparse.ArgumentParser(prog="benchmarks.spoilt_code")
    parser.add_argument("names", nargs="*", help="only spoilings whose name begins so")
    args = parser.parse_args()
    chosen = [s for s in SPOILINGS if not args.names or s.name.startswith(tuple(args.names))]
    killed = 0
    with tempfile.TemporaryDirectory() as base:
        room = Path(base) / "tree"
        skip = shutil.ignore_patterns(
            ".git", ".venv", "book", "__pycache__", ".coaming", ".*_cache", "my_boats"
        )
        shutil.copytree(ROOT, room, ignore=skip)
        for s in chosen:
            by = noticed(s, room)
            killed += bool(by)
            print(json.dumps({"spoiling": s.name, "noticed_by": by}), flush=True)
    print(json.dumps({"spoilings": len(chosen), "noticed": killed}), flush=True)
    return 0 if killed == len(chosen) else 1


if __name__ == "__main__":
    sys.exit(main())
