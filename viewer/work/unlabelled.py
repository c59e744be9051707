"""What stands in the files but for what people call things: a changed label changes no answer."""

from collections.abc import Iterator
from typing import Any, Final

from layout.job.reading import JobFiles
from layout.known import mark

CALLED: Final = ("label", "name")  # keys that hold what people call a thing
STANDING: Final = ("plus_minus", "sizes", "types", "boards", "pieces", "order")
STOCK: Final = "stock"  # a label there names what is bought, in rows


def unlabelled_mark(files: JobFiles) -> str:
    """A mark of both files without the labels nothing else refers to.

    A label that some other text of the files may mean (a circuit's end, an order, a way) counts:
    given to another thing, it changes what is meant.
    """
    job, hull = files.job.model_dump(), files.hull.model_dump()
    stock = job.pop(STOCK)
    meant: set[str] = set()
    for text in _texts([job, hull]):
        meant |= {text, text.partition(".")[0], text.rpartition(".")[0]}
    shop = files.shop.model_dump()
    names = [files.job_path.name, files.hull_path.name]
    rest = [_without([job, hull], meant), stock, shop, names, repr(files.marks)]
    return mark(rest).hex()


def standing_mark(files: JobFiles) -> str:
    """A mark of all that decides what goes in and stands: not of circuits, prices or stock."""
    job, hull = files.job.model_dump(), files.hull.model_dump()
    head = files.job.job.clearance
    hull.pop("measured")  # who took a size decides nothing; its ± does
    return mark([job[key] for key in STANDING], head, hull).hex()


def _texts(value: Any) -> Iterator[str]:
    """Every text that is not itself a label."""
    if isinstance(value, dict):
        for key, v in value.items():
            if key not in CALLED:
                yield from _texts(v)
    elif isinstance(value, list | tuple):
        for v in value:
            yield from _texts(v)
    elif isinstance(value, str):
        yield value


def _without(value: Any, meant: set[str]) -> Any:
    """The same data less every label that is not meant by another text."""
    if isinstance(value, dict):
        return {
            key: _without(v, meant)
            for key, v in value.items()
            if key not in CALLED or (isinstance(v, str) and v in meant) or not isinstance(v, str)
        }
    if isinstance(value, list | tuple):
        return [_without(v, meant) for v in value]
    return value
