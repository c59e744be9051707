"""Frames a second and memory of the page with many boxes and cables, drawn in software.

    python -m benchmarks.page.drawing [--boxes 300] [--cables 100]

The page is the real one in Debian's Chromium; the boat it is told of is made up here, so that only
drawing is measured. One JSON line; the same scene drawn as separate boxes, as a plain use of the
library would, stands beside it as a ratio.
"""

import argparse
import json
import random
import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, Route

from tests.page.browser import answered, chromium
from tests.page.served import copy_demo, served

SECONDS = 5
JOB = "harbour_launch.job.toml"
TURN = """async (seconds) => {
  const canvas = document.querySelector('.solid canvas');
  const end = performance.now() + seconds * 1000;
  let frames = 0;
  while (performance.now() < end) {
    canvas.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowLeft' }));
    await new Promise(requestAnimationFrame);
    frames += 1;
  }
  return frames / seconds;
}"""


def crowded(desk: dict[str, Any], boxes: int) -> dict[str, Any]:
    """The desk's row with so many pieces in it."""
    rng = random.Random(1)
    stands = []
    for n in range(boxes):
        half = [rng.uniform(20, 120) for _ in range(3)]
        box = {
            "key": f"b{n}",
            "centre_mm": [0, 0, half[2]],
            "half_mm": half,
            "rotation": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
        }
        like = dict(desk["boat"]["stands"][0])
        at = [rng.uniform(-3000, 2900), rng.uniform(-900, 900), rng.uniform(0, 900)]
        like |= {"key": f"b{n}", "at_mm": at, "body": [box], "is_board": False, "parts": []}
        stands.append(like)
    return desk | {"boat": desk["boat"] | {"stands": stands}}


def wired(parts: dict[str, Any], cables: int) -> dict[str, Any]:
    """The answer's parts with so many cables of forty points each."""
    rng = random.Random(2)
    like = parts["cables"]["circuits"][0]
    rows = []
    for n in range(cables):
        at = [rng.uniform(-3000, 2900), rng.uniform(-900, 900), rng.uniform(0, 900)]
        line = []
        for _ in range(40):
            k = rng.randrange(3)
            at = [x + (rng.uniform(-250, 250) if j == k else 0) for j, x in enumerate(at)]
            line.append(at)
        rows.append(like | {"number": str(n), "lines": [line]})
    return parts | {"cables": parts["cables"] | {"circuits": rows}}


def told(page: Page, desk: dict[str, Any], answer: dict[str, Any]) -> None:
    """From now on the page is told of this boat."""

    def look(route: Route) -> None:
        route.fulfill(json=desk)

    page.route("**/do/desk/look", look)
    page.route("**/answer?*", lambda route: route.fulfill(json=answer))


def memory_mb(page: Page) -> float:
    """Memory of the page's scripts and documents, MB, after collecting what is not used."""
    cdp = page.context.new_cdp_session(page)
    cdp.send("HeapProfiler.collectGarbage")
    used = cdp.send("Runtime.getHeapUsage")
    return float(used["usedSize"] + used.get("backingStorageSize", 0)) / 1e6


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--boxes", type=int, default=300)
    parser.add_argument("--cables", type=int, default=100)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, chromium() as browser:
        root = copy_demo(Path(folder), "harbour_launch")
        with served(root) as s:
            known = s.answered(JOB)
            desk = crowded(s.do("desk.look", job=JOB), args.boxes)
            answer = known | {"parts": wired(known["parts"], args.cables)}
            page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
            told(page, desk, answer)
            page.goto(s.guard.address)
            page.click("text=Launch refit")
            answered(page)
            page.click("button:has-text('All round')")
            page.wait_for_selector(".solid canvas")
            page.wait_for_timeout(1500)
            rate = page.evaluate(TURN, SECONDS)
            page.screenshot(path="/tmp/drawing.png")
            out = {
                "boxes": args.boxes,
                "cables": args.cables,
                "frames_per_second": round(rate, 1),
                "memory_mb": round(memory_mb(page), 1),
            }
            print(json.dumps(out))


if __name__ == "__main__":
    main()
