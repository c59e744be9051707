"""A paper as one self-contained HTML file; every text is escaped by the template."""

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from viewer.sheets.drawing.model import Drawing
from viewer.sheets.drawing.svg import as_svg
from viewer.sheets.paper.blocks import Heading, Paper


def as_web(paper: Paper) -> str:
    """The whole page as text."""
    env = Environment(
        loader=PackageLoader("viewer", "sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    heads = [(n, b) for n, b in enumerate(paper.blocks) if isinstance(b, Heading) and b.level == 1]
    return env.get_template("paper.html").render(paper=paper, heads=heads, kind=_kind, svg=_svg)


def _kind(block: object) -> str:
    return type(block).__name__


def _svg(drawing: Drawing) -> Markup:
    """The drawing as it stands inside a page: its words are escaped where it is written."""
    text = as_svg(drawing).decode("utf-8")
    return Markup(text[text.index("<svg") :])
