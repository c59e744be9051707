"""The book as one self-contained HTML file; every text is escaped by the template."""

from jinja2 import Environment, PackageLoader, StrictUndefined

from viewer.sheets.book import Book


def as_html(book: Book) -> str:
    """The whole page as text."""
    env = Environment(
        loader=PackageLoader("viewer", "sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return env.get_template("book.html").render(book=book)
