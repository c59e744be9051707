"""A real browser for tests: Debian's Chromium, driven with its path given; pictures are kept."""

import contextlib
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, FloatRect, Page, sync_playwright

from tests.page.served import Served

ROOT = Path(__file__).parents[2]
PICTURES = Path(os.environ.get("COAMING_PICTURES", ROOT / "pictures-of-tests"))
SIZES = {1280: 800, 800: 1100, 390: 844}
WIDTHS = tuple(SIZES)
ARGUMENTS = (  # drawing in software, and nothing asked of any other address
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
SLOW_MS = 60_000.0


@contextlib.contextmanager
def chromium() -> Iterator[Browser]:
    """The browser of this machine."""
    path = os.environ.get("COAMING_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path=path, args=list(ARGUMENTS))
        yield browser
        browser.close()


@contextlib.contextmanager
def opened(browser: Browser, served: Served, width: int = 1280) -> Iterator[Page]:
    """A page on what is served; a fault in its scripts, or a breach of its policy, fails."""
    context = browser.new_context(viewport={"width": width, "height": SIZES[width]})
    page = context.new_page()
    page.set_default_timeout(SLOW_MS)
    faults: list[str] = []
    asked: list[str] = []
    page.on("pageerror", lambda e: faults.append(str(e)))
    page.on("console", lambda m: faults.append(m.text) if _is_fault(m) else None)
    page.on("request", lambda r: asked.append(r.url))
    page.goto(served.guard.address)
    page.wait_for_selector("h1")
    yield page
    outside = [u for u in asked if not u.startswith((served.base, "blob:", "data:"))]
    context.close()
    assert faults == []
    assert outside == []


def _is_fault(message: Any) -> bool:
    words = message.text
    if "Failed to load resource" in words or "net::ERR" in words:
        return False  # a refusal is told to the person; a server that is away is tested for
    return message.type == "error" or "Content Security Policy" in words


def kept(page: Page, name: str) -> None:
    """Keep a picture of the page as an artefact of the tests."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=str(PICTURES / f"{name}.png"))


def answered(page: Page) -> None:
    """Wait until the answer is that of the files as they are."""
    page.wait_for_selector(".work-state.answered", timeout=SLOW_MS * 2)


def boxed(page: Page, selector: str) -> FloatRect:
    """Where the first such thing is, also while the page draws itself anew."""
    for _ in range(100):
        box = page.locator(selector).first.bounding_box()
        if box is not None:
            return box
        page.wait_for_timeout(50)
    raise AssertionError(f"{selector} is nowhere")


def panel(page: Page, words: str) -> None:
    """Open a panel by its tab."""
    page.click(f".tab:has-text('{words}')")


def serious(page: Page) -> list[str]:
    """Serious findings of the accessibility library, in a line each."""
    assert AXE.is_file(), "npm ci brings the accessibility library"
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{v['id']}: {v['nodes'][0]['html'][:120]} {v['nodes'][0].get('failureSummary', '')[:200]}"
        for v in found["violations"]
        if v["impact"] in ("serious", "critical")
    ]


def begin_boat(page: Page, **figures: str) -> None:
    """A boat of one locker, from the questions of the first page."""
    page.click("text=Measure a new boat")
    told = {
        "boat": "Grey dinghy",
        "length": "1200",
        "breadth": "520",
        "height": "400",
        "hatch_first": "430",
        "hatch_second": "330",
        "throat": "55",
        "corner_radius": "40",
        **figures,
    }
    for name, value in told.items():
        page.fill(f"dialog [name={name}]", value)
    page.click("dialog button:has-text('Begin')")


def put_in(page: Page, words: str) -> None:
    """The first type of the catalogue that answers to some words."""
    page.fill("[name=search]", words)
    page.click(".type button >> nth=0")
