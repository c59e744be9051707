"""`python -m benchmarks.mutations [--count 1000] [--seed 1]`: spoilt demo files, a line a fault.

Lines of a demo's job or hull file are dropped, doubled, swapped, cut or given other values, and
the job is checked. Asked: no traceback (every run ends with 0, 1 or 2) and no run over 60 s.
It ends with 1 when one does.
"""

import argparse
import contextlib
import io
import json
import random
import re
import shutil
import sys
import tempfile
import time
import traceback
from pathlib import Path

from viewer.command import main as coaming

DEMOS = Path(__file__).parent.parent / "demo_hulls"
NUMBER = re.compile(r"-?\d+(\.\d+)?")
VALUES = (
    "0", "-1", "1e9", "nan", "inf", "true", '""', '"x"', "[]", "{}", '"12 mm ±3 tape"',
    '"1/0"', '"9 9/0 in"', "9" * 400, '"±"', '"hatch_length * 1e6"', "1979-05-27", '"\\u202e"',
)  # fmt: skip
MOST_SECONDS = 60.0


def spoilt(text: str, draw: random.Random) -> str:
    """A text with one to three slips in it."""
    lines = text.split("\n")
    for _ in range(draw.randint(1, 3)):
        k = draw.randrange(len(lines))
        slip = draw.randrange(8)
        if slip == 0:
            lines[k] = ""
        elif slip == 1:
            lines.insert(k, lines[draw.randrange(len(lines))])
        elif slip == 2:
            j = draw.randrange(len(lines))
            lines[k], lines[j] = lines[j], lines[k]
        elif slip == 3 and lines[k]:
            at = draw.randrange(len(lines[k]))
            lines[k] = lines[k][:at] + draw.choice("\"'[]{}=.#\x00\t9z±") + lines[k][at + 1 :]
        elif slip == 4 and "=" in lines[k]:
            lines[k] = lines[k].split("=")[0] + "= " + draw.choice(VALUES)
        elif slip == 5:
            by = str(draw.choice((0, -1, 1, 7, 99999, 0.001)))
            lines[k] = NUMBER.sub(lambda _m, by=by: by, lines[k], count=1)
        elif slip == 6:
            lines[k] = lines[k][: len(lines[k]) // 2]
        else:
            lines[k] = lines[k].replace("_", "-", 1)
    return "\n".join(lines)


def main() -> int:
    """0 when no run ends with a traceback or takes too long."""
    parser = argparse.ArgumentParser(prog="benchmarks.mutations")
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    draw = random.Random(args.seed)
    jobs = sorted(DEMOS.glob("*.job.toml"))
    codes: dict[int, int] = {}
    faults, slowest = 0, 0.0
    with tempfile.TemporaryDirectory() as room:
        for n in range(args.count):
            job = draw.choice(jobs)
            hull = job.with_name(job.name.replace(".job.", ".hull."))
            for f in (job, hull):
                shutil.copy(f, room)
            path = Path(room) / draw.choice((job, hull)).name
            path.write_text(spoilt(path.read_text(encoding="utf-8"), draw), encoding="utf-8")
            began, said = time.perf_counter(), io.StringIO()
            try:
                with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
                    code = coaming(["check", str(Path(room) / job.name)])
                wrong = code not in (0, 1, 2) or "Traceback" in said.getvalue()
            except BaseException:  # noqa: BLE001 whatever comes out is what is looked for
                code, wrong = -1, True
                said.write(traceback.format_exc())
            seconds = time.perf_counter() - began
            codes[code] = codes.get(code, 0) + 1
            slowest = max(slowest, seconds)
            if wrong or seconds > MOST_SECONDS:
                faults += 1
                row = {"mutation": n, "job": job.name, "code": code, "seconds": round(seconds, 1)}
                print(json.dumps({**row, "said": said.getvalue()[-600:]}), flush=True)
    row = {"runs": args.count, "faults": faults, "slowest_seconds": round(slowest, 1)}
    print(json.dumps({**row, "codes": codes}), flush=True)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
