"""The page in a real browser when things go otherwise: no server, another program, a hostile file;
and read by others: contrast and names (axe: WCAG 2.2), targets of 44 px (WCAG 2.5.5), keys alone.
"""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.page.browser import WIDTHS, answered, kept, opened, panel, serious
from tests.page.served import Served, copy_demo, served

PANELS = (
    "Measure",
    "Gear",
    "Bench",
    "Goes in?",
    "Cables",
    "To mend",
    "Papers",
    "Compare",
    "As built",
)
TAP_PX = 44


def test_a_server_that_goes_away_and_comes_back(browser: Browser, launch: Served) -> None:
    with opened(browser, launch) as page:
        page.click("text=Launch refit")
        answered(page)
        page.context.set_offline(True)
        panel(page, "Measure")
        page.click(".size >> nth=0")
        page.fill("dialog [name=value]", "444")
        page.click("dialog button:has-text('Save')")
        page.wait_for_selector(".told-box.bad:has-text('does not answer')")
        assert page.input_value("dialog [name=value]") == "444"  # what was typed is still there
        page.context.set_offline(False)
        page.click("dialog button:has-text('Save')")
        page.wait_for_selector(".told-box.good")
        answered(page)


def test_what_another_program_writes_is_shown_by_itself(browser: Browser, launch: Served) -> None:
    path = launch.house.folder.root / "harbour_launch.job.toml"
    with opened(browser, launch) as page:
        page.click("text=Launch refit")
        answered(page)
        text = path.read_text(encoding="utf-8").replace(
            'label = "house battery"', 'label = "bank A"'
        )
        path.write_text(text, encoding="utf-8")
        page.wait_for_selector(".told-box:has-text('changed in another program')")
        page.wait_for_selector(".verdicts .row:has-text('bank A')")


def test_a_hostile_file_runs_nothing(browser: Browser, tmp_path: Path) -> None:
    copy_demo(tmp_path, "harbour_launch")
    path = tmp_path / "harbour_launch.job.toml"
    nasty = "<img src=x onerror=window.bad=1><script>window.bad=1</script>"
    text = path.read_text(encoding="utf-8")
    for label in ("house battery", "Windlass", "battery board"):
        text = text.replace(f'label = "{label}"', f"label = '{nasty}'")
    text = text.replace('name = "Launch refit', f"name = '{nasty}'\n#")
    path.write_text(text, encoding="utf-8")
    with served(tmp_path) as s, opened(browser, s) as page:
        page.click(".card-link >> nth=0")
        answered(page)
        for words in PANELS:
            panel(page, words)
        page.click("button:has-text('All round')")
        assert page.evaluate("() => window.bad") is None
        assert nasty in page.inner_text("h1")


@pytest.mark.parametrize("width", WIDTHS)
def test_every_panel_reads_well_and_is_large_enough_to_touch(
    browser: Browser, trip: Served, width: int
) -> None:
    with opened(browser, trip, width) as page:
        assert serious(page) == []
        page.click("text=Trip boat: drive bank")
        answered(page)
        for words in PANELS:
            panel(page, words)
            if words == "Goes in?":
                page.click(".verdicts .row >> nth=0")
            if words == "Cables":
                page.click("tbody button >> nth=0")
            page.wait_for_timeout(150)
            kept(page, f"{words.lower().replace(' ', '_').strip('?')}_{width}")
            assert serious(page) == [], words
            small = page.evaluate(
                "() => [...document.querySelectorAll('button, select, input:not([type=checkbox]),"
                " summary, .tab')].filter(e => e.offsetParent && e.getBoundingClientRect().height"
                f" < {TAP_PX - 0.5}).map(e => e.outerHTML.slice(0, 90))"
            )
            assert small == [], words
            wide = page.evaluate("() => document.documentElement.scrollWidth")
            assert wide <= width, words


def test_a_planner_with_the_keyboard_alone(browser: Browser, empty: Served) -> None:
    with opened(browser, empty) as page:

        def to(words: str) -> None:
            for _ in range(120):
                page.keyboard.press("Tab")
                here = page.evaluate(
                    "() => { const e = document.activeElement; return (e.getAttribute('aria-label')"
                    " || (e.labels && e.labels[0] && e.labels[0].textContent) || e.textContent); }"
                )
                if here.startswith(words):
                    return
            raise AssertionError(f"the keyboard does not reach {words}")

        to("Measure a new boat")
        page.keyboard.press("Enter")
        for label, value in (
            ("The boat", "Keyboard boat"),
            ("Length, fore", "1200"),
            ("Breadth", "520"),
            ("Height", "400"),
            ("Length, fore", "430"),
            ("Breadth", "330"),
            ("Depth of the rim", "55"),
        ):
            to(label)
            page.keyboard.press("Control+A")
            page.keyboard.type(value)
        page.keyboard.press("Enter")
        page.wait_for_selector(".tabs")
        to("Put in: Battery, BCI group 31")
        page.keyboard.press("Enter")
        page.wait_for_selector(".told-box:has-text('put in')")
        page.wait_for_selector(".verdict-line .verdict")
        answered(page)
        to("battery")
        page.keyboard.press("ArrowRight")
        page.wait_for_selector(".told-box:has-text('moved 10 mm')")
        page.keyboard.press("Control+z")
        page.wait_for_selector(".told-box:has-text('Taken back')")
