"""A fault in coaming itself: kept in a file for whoever mends it, told to people in plain words."""

import traceback
from pathlib import Path
from typing import Final

from layout.errors import one_line
from viewer.files import write_text

FILE: Final = "fault.txt"


def fault_words(e: BaseException, folder: Path) -> str:
    """What to tell a person; the whole of it goes into `.coaming/fault.txt` of the folder."""
    path = folder / ".coaming" / FILE
    try:
        path.parent.mkdir(exist_ok=True)
        write_text(path, "".join(traceback.format_exception(e)))
        kept = f" It is written down in .coaming/{FILE}."
    except OSError:
        kept = ""
    what = one_line(type(e).__name__)
    return f"Something in coaming itself went wrong ({what}). Your files are as they were.{kept}"
