"""The bench on the page: a board arranged and taken, a place found and taken, papers made."""

import tomllib

from playwright.sync_api import Browser

from tests.page.browser import answered, kept, opened, panel
from tests.page.served import Served
from viewer.work.session import Session


def test_a_board_that_cannot_go_in_is_arranged_taken_and_goes(
    browser: Browser, launch: Served
) -> None:
    path = launch.house.folder.root / "harbour_launch.job.toml"
    with opened(browser, launch) as page:
        page.click("text=Launch refit")
        answered(page)
        panel(page, "Bench")
        page.select_option("[name=board]", label="fore-peak equipment board")
        page.click("[data-key=arrange]")
        page.wait_for_selector(".board-front", timeout=120_000)
        assert "goes in through fore-peak door" in page.inner_text(".proposal")
        assert "worst end" in page.inner_text(".proposal")
        kept(page, "bench_arranged_1280")
        page.click("[data-key=take-board]")
        page.wait_for_selector("[role=status]:has-text('Taken')")
        answered(page)
        panel(page, "Papers")
        page.click("li:has-text('Bench papers') button")
        page.wait_for_selector("a:has-text('peak_board_template.dxf')", timeout=120_000)
        kept(page, "bench_papers_1280")
    plate = tomllib.loads(path.read_text(encoding="utf-8"))["boards"]["peak_board"]["plate"]
    assert plate[0] * plate[1] < 560 * 480
    assert Session(path).answer().piece("peak_board").verdict == "goes in"


def test_a_place_is_found_shown_and_taken(browser: Browser, launch: Served) -> None:
    path = launch.house.folder.root / "harbour_launch.job.toml"
    with opened(browser, launch, 390) as page:
        page.click("text=Launch refit")
        answered(page)
        panel(page, "Bench")
        page.select_option("[name=thing]", label="VHF radio, fixed")
        page.select_option("[name=space]", label="fore-peak")
        page.click("[data-key=place]")
        page.wait_for_selector(".places li", timeout=120_000)
        assert "goes in and out through fore-peak door" in page.inner_text(".places")
        page.click("[data-key='show:0']")
        kept(page, "bench_places_390")
        page.click("[data-key='put:0']")
        page.wait_for_selector("[role=status]:has-text('Taken')")
        answered(page)
    piece = tomllib.loads(path.read_text(encoding="utf-8"))["pieces"]["vhf"]
    assert piece["space"] == "fore_peak"
    assert Session(path).answer().piece("vhf").verdict == "goes in"
