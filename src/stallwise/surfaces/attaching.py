"""Taking pictures in: a caption to each, the original kept as it came, a small copy to look at."""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

from stallwise.ground.errors import InputError
from stallwise.record.photos import ENDINGS
from stallwise.record.store import PHOTO_BYTES
from stallwise.surfaces.desk import Desk

__all__ = ["attach", "plain_name", "small_copy", "waiting"]

#: Longest edge of what is looked at in a panel [px].
_EDGE = 220


def plain_name(name: str) -> str:
    """Take the name of a file from what a browser says of it."""
    return Path(name.replace("\\", "/")).name or "photo"


def attach(desk: Desk, name: str, data: bytes, caption: str) -> None:
    """Keep a picture with the cook, and name it in ``cook.toml``.

    Raises
    ------
    InputError
        No caption, or no picture that is read.
    """
    if not caption.strip():
        raise InputError(
            f"the caption of {name} is empty",
            "a few words on what is to be seen",
            "Whoever cannot see the picture reads this",
        )
    with tempfile.TemporaryDirectory(prefix="stallwise-") as place:
        path = Path(place) / plain_name(name)
        path.write_bytes(data)
        desk.folder.add_photo(path, caption.strip())
    desk.reload()


def waiting(desk: Desk) -> list[tuple[str, bytes]]:
    """Read what lies in the cook's ``photos`` folder and is named nowhere, by name."""
    named = {photo.file for photo in desk.record.cook.photos}
    there = desk.folder.home.listing(desk.folder.path / "photos", copies=True)
    return [
        (path.name, desk.folder.store.read_bytes(path, PHOTO_BYTES))
        for path in there
        if path.name not in named
    ]


def small_copy(data: bytes) -> bytes:
    """Make a small upright JPEG from the pixels alone: nothing that the camera noted is in it."""
    from PIL import Image, ImageOps

    with Image.open(io.BytesIO(data), formats=list(ENDINGS)) as image:
        image.draft("RGB", (_EDGE * 2, _EDGE * 2))
        upright = ImageOps.exif_transpose(image).convert("RGB")
    upright.thumbnail((_EDGE, _EDGE))
    fresh = Image.new("RGB", upright.size)
    fresh.paste(upright)
    held = io.BytesIO()
    fresh.save(held, "JPEG", quality=72)
    return held.getvalue()
