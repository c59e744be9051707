"""The estimate on the page: live beside the model, kept as quoted, a change told with its price."""

import tomllib

from playwright.sync_api import Browser

from tests.page.browser import answered, kept, opened, panel
from tests.page.served import Served
from viewer.work.session import Session
from viewer.work.states import states_of


def test_an_estimator_quotes_changes_and_makes_the_papers(browser: Browser, trip: Served) -> None:
    path = trip.house.folder.root / "trip_boat.job.toml"
    with opened(browser, trip) as page:
        page.click("text=Trip boat: drive bank")
        answered(page)
        panel(page, "Estimate")
        page.wait_for_selector("dt:has-text('Net')")
        net = f"{Session(path).answer().estimate.net:,.2f}".replace(",", "\u00a0")
        assert net in page.inner_text("dl.facts")
        page.click("button:has-text('Keep as quoted')")
        page.wait_for_selector("li:has-text('quoted')")
        page.click("summary:has-text('What no model shows')")
        page.select_option("label:has-text('Old wiring out first') + select, "
                           "label:has-text('Old wiring out first') select", "usual")  # fmt: skip
        page.wait_for_selector(".told-box.good")
        answered(page)
        job = tomllib.loads(path.read_text(encoding="utf-8"))
        assert job["estimate"]["strip_out"] == "usual"
        page.fill("label:has-text('Whom the quote is for') + input, "
                  "label:has-text('Whom the quote is for') input", "an invented owner")  # fmt: skip
        page.keyboard.press("Tab")
        page.wait_for_selector("text=customer: an invented owner")
        answered(page)
        page.click("summary:has-text('Cable holes still to be cut')")
        page.check("details[open] div.tick:has-text('H1') >> nth=0 >> input")
        page.wait_for_selector("text=holes to cut: 1")
        answered(page)
        told = tomllib.loads(path.read_text(encoding="utf-8"))["estimate"]
        assert told["customer"] == "an invented owner" and len(told["holes_to_cut"]) == 1
        cut = [t for t in Session(path).answer().estimate.tasks if t.task == "hole"]
        assert [t.about for t in cut] == [f"joint:{told['holes_to_cut'][0]}"]
        page.fill("label:has-text('Why, as the customer') + input, "
                  "label:has-text('Why, as the customer') input", "old wiring found")  # fmt: skip
        page.click("button:has-text('Keep as a change')")
        page.wait_for_selector("li:has-text('old wiring found')")
        kept(page, "estimate_1280")
        panel(page, "Papers")
        for name, file in (("The quote", "quote.pdf"), ("The last change", "change_1.pdf"),
                           ("Job cards", "job_cards.pdf"), ("To buy", "to_buy.pdf")):  # fmt: skip
            page.click(f"button[aria-label='Make: {name}']")
            page.wait_for_selector(f"a:has-text('{file}')", timeout=120_000)
    first, last = states_of(path)
    more = last.result.estimate.hours.mean - first.result.estimate.hours.mean
    assert 3.5 < more < 8  # 2 to 8 h, four likely; a hole of half an hour in its place
