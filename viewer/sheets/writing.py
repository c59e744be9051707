"""The book written into a folder, as a whole."""

from collections.abc import Callable
from pathlib import Path

from viewer.files import csv_bytes, write_folder
from viewer.scene.moves import moving as film
from viewer.sheets.book import book_paper
from viewer.sheets.paper.print import as_print
from viewer.sheets.paper.web import as_web
from viewer.words.lists import lists_of
from viewer.words.names import Names
from viewer.work.rows import Result


def write_book(
    result: Result, out: Path, told: Callable[[str], None] = lambda _: None, moving: bool = False
) -> list[Path]:
    """Write the book, all files or none; the paths written, the HTML first. Raises CoamingError.

    With `moving` also a moving picture of every way in.
    """
    paper, boat = book_paper(result, told)
    told("the PDF")
    files = {
        "book.html": as_web(paper).encode("utf-8"),
        "book.pdf": as_print(paper),
        "boat.png": boat,
        **{f"{key}.csv": csv_bytes(rows) for key, rows in lists_of(result, Names(result)).items()},
    }
    names = Names(result)
    for row in result.pieces if moving else ():
        told(f"moving picture of {names.piece(row.key)}")
        gif = film(result, row)
        if gif is not None:
            files[f"moves_{row.key}.gif"] = gif
    write_folder(out, files)
    return [out / name for name in files]
