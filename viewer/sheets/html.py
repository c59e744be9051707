"""The book as one self-contained HTML file; every text is escaped by the template."""

from jinja2 import Environment, PackageLoader, StrictUndefined

from viewer.sheets import book as words


def as_html(book: "words.Book") -> str:
    """The whole page as text."""
    env = Environment(
        loader=PackageLoader("viewer", "sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return env.get_template("book.html").render(
        book=book,
        summary_head=words.SUMMARY_HEAD,
        circuit_head=words.CIRCUIT_HEAD,
        length_head=words.LENGTH_HEAD,
        fill_head=words.FILL_HEAD,
        cut_head=words.CUT_HEAD,
    )
