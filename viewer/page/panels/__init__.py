"""The panels of the page: each a folder with its commands, what it shows, and its own script.

To add one: a folder with a `commands.py` that makes a `Panel`, and a `panel.js`; name it here and
in `web/panels.js`.
"""

from types import MappingProxyType
from typing import Any, Final

from viewer.page.desk import Desk
from viewer.page.panels.bench.commands import PANEL as BENCH
from viewer.page.panels.built.commands import PANEL as BUILT
from viewer.page.panels.cables.commands import PANEL as CABLES
from viewer.page.panels.compare.commands import PANEL as COMPARE
from viewer.page.panels.desk.commands import PANEL as DESK
from viewer.page.panels.estimate.commands import PANEL as ESTIMATE
from viewer.page.panels.findings.commands import PANEL as FINDINGS
from viewer.page.panels.gear.commands import PANEL as GEAR
from viewer.page.panels.measure.commands import PANEL as MEASURE
from viewer.page.panels.papers.commands import PANEL as PAPERS
from viewer.page.panels.start.commands import PANEL as START
from viewer.page.panels.ways.commands import PANEL as WAYS
from viewer.work.rows import Result

PANELS: Final = MappingProxyType(
    {
        panel.key: panel
        for panel in (
            START,
            DESK,
            MEASURE,
            GEAR,
            BENCH,
            WAYS,
            CABLES,
            FINDINGS,
            ESTIMATE,
            PAPERS,
            COMPARE,
            BUILT,
        )
    }
)


OF_PIECES: Final = ("ways",)  # panels that show nothing but what goes in


def shown_of(result: Result, desk: Desk, pieces_only: bool) -> dict[str, Any]:
    """What each panel shows of a result, by the panel's key."""
    return {
        key: panel.shows(result, desk).model_dump(mode="json", by_alias=True)
        for key, panel in PANELS.items()
        if panel.shows is not None and (key in OF_PIECES or not pieces_only)
    }
