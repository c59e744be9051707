"""From an edit on the page to the shown answer, and how soon the page can be used.

    python -m benchmarks.page.answering [JOB...]

Edits as a person makes them, one after the other, in Debian's Chromium on the real server: a piece
moved, a size typed, a current changed, a part moved on its board, a label. For each, the time until
the verdicts are shown and until everything is. One JSON line a job, then one for all.
"""

import argparse
import json
import statistics
import tempfile
import time
import tomllib
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from tests.page.browser import answered, chromium
from tests.page.served import Served, copy_demo, served

JOBS = ("harbour_launch", "sailing_yacht", "survey_catamaran", "trip_boat")
WAIT_SECONDS = 120.0


def edits(s: Served, job: str) -> list[tuple[str, str, dict[str, Any]]]:
    """(kind, command, ask) of edits that leave the boat as sound as it was."""
    row = s.do("desk.look", job=job)
    tables = tomllib.loads((s.house.folder.root / job).read_text(encoding="utf-8"))
    inside = [
        x["key"]
        for x in row["boat"]["stands"]
        if x["space"] != "outside" and not x["fixed_already"] and not x["is_board"]
    ]
    out: list[tuple[str, str, dict[str, Any]]] = []
    for key in inside[:4]:
        out.append(("a piece moved", "gear.move", {"key": key, "by_mm": [2, 0, 0]}))
    sized = [d for d in row["dimensions"] if d["plus_minus_mm"] > 0 and d["mm"] > 200]
    for d in sized[:4]:
        ask = {"key": d["key"], "value": str(d["mm"] + 1), "how": d["how"] or "tape"}
        out.append(("a size typed", "measure.set", ask))
    for number in list(tables["circuits"])[:4]:
        amps = tables["circuits"][number]["amps"]
        ask2 = {"number": number, "fields": {"amps": round(amps * 1.02, 2)}}
        out.append(("a current changed", "cables.set", ask2))
    for board, table in list(tables.get("boards", {}).items())[:2]:
        for part, p in list(table.get("parts", {}).items())[:2]:
            at = [float(x) + 1 for x in p["at"]]
            ask3 = {"board": board, "part": part, "at_mm": at}
            out.append(("a part moved on its board", "gear.part", ask3))
    label = ["pieces", inside[0], "label"]
    what = {"file": "job", "path": label, "value": "renamed", "words": "renamed"}
    out.append(("a label", "desk.set", what))
    return out


def timed(
    page: Page, s: Served, job: str, command: str, ask: dict[str, Any]
) -> tuple[float, float]:
    """Seconds from the edit until what goes in is shown on the page, and until everything is."""
    begin = time.monotonic()
    revision = s.do(command, ask, job)["revision"]
    page.wait_for_selector(f".work-state[data-fitted='{revision}']", timeout=WAIT_SECONDS * 1000)
    fitted = time.monotonic() - begin
    shown = f".work-state.answered[data-of='{revision}']"
    page.wait_for_selector(shown, timeout=WAIT_SECONDS * 1000)
    return fitted, time.monotonic() - begin


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("jobs", nargs="*", default=JOBS)
    every: list[tuple[float, float]] = []
    with chromium() as browser:
        for name in parser.parse_args().jobs:
            with (
                tempfile.TemporaryDirectory() as folder,
                served(copy_demo(Path(folder), name)) as s,
            ):
                job = f"{name}.job.toml"
                s.answered(job)
                page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
                begin = time.monotonic()
                page.goto(s.guard.address)
                page.click(".card-link")
                page.wait_for_selector(".verdicts .row")
                opened = time.monotonic() - begin
                answered(page)
                kinds: dict[str, list[tuple[float, float]]] = {}
                for kind, command, ask in edits(s, job):
                    fitted, seconds = timed(page, s, job, command, ask)
                    kinds.setdefault(kind, []).append((round(fitted, 2), round(seconds, 2)))
                    every.append((fitted, seconds))
                page.context.close()
                times = [t for ts in kinds.values() for t in ts]
                out = {
                    "job": name,
                    "opened_seconds": round(opened, 2),
                    "median_verdicts_seconds": round(statistics.median(t[0] for t in times), 2),
                    "median_seconds": round(statistics.median(t[1] for t in times), 2),
                    **kinds,
                }
                print(json.dumps(out), flush=True)
    out_all = {
        "edits": len(every),
        "median_verdicts_seconds": round(statistics.median(t[0] for t in every), 2),
        "median_seconds": round(statistics.median(t[1] for t in every), 2),
    }
    print(json.dumps(out_all))


if __name__ == "__main__":
    main()
