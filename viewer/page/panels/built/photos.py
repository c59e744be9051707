"""Photos beside the boat: looked at, made smaller, kept in a folder beside the job."""

import hashlib
import io
import warnings
from pathlib import Path
from typing import Final

from PIL import Image, ImageOps, UnidentifiedImageError

from layout.errors import CoamingError
from viewer.files import write_bytes
from viewer.page.desk import Desk

FOLDER: Final = "photos"
MOST_PIXELS: Final = 60_000_000
LONG_SIDE_PX: Final = 2000
QUALITY: Final = 85


def photos_of(desk: Desk) -> Path:
    """The folder of a job's photos."""
    stem = desk.job_name.removesuffix(".toml").removesuffix(".job")
    return desk.folder.inside(FOLDER, stem)


def keep_photo(desk: Desk, data: bytes) -> str:
    """Keep a photo, turned upright and without what the camera wrote into it; its name.

    Raises CoamingError for what is no photo.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            picture = Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP"))
            if picture.width * picture.height > MOST_PIXELS:
                raise CoamingError("That photo has more than 60 million points: take it smaller")
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Warning):
        raise CoamingError("That is not a photo: choose a JPEG, PNG or WebP picture") from None
    upright.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX))
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=QUALITY)
    name = hashlib.sha256(out.getvalue()).hexdigest()[:16] + ".jpg"
    folder = photos_of(desk)
    folder.mkdir(parents=True, exist_ok=True)
    write_bytes(folder / name, out.getvalue())
    return name


def photo_path(desk: Desk, name: str) -> Path:
    """A photo that was kept. Raises CoamingError."""
    folder = photos_of(desk)
    path = (folder / name).resolve()
    if path.parent != folder or path.suffix != ".jpg" or not path.is_file():
        raise CoamingError("That photo is not there")
    return path
