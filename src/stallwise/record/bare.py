"""Pictures without what a camera wrote beside them: no place, no time, no maker; the picture itself unchanged."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import TYPE_CHECKING

from stallwise.ground.errors import InputError
from stallwise.record.photos import ending_of

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["bare", "jpeg"]

_SOI, _EOI, _SOS = 0xD8, 0xD9, 0xDA
#: Segments that a picture needs to be drawn: frame, tables, restart, and how its colours are meant.
_DRAWN = frozenset({*range(0xC0, 0xD0), 0xDB, 0xDC, 0xDD, 0xDE})
_APP2, _APP14 = 0xE2, 0xEE
_ICC, _ADOBE = b"ICC_PROFILE\0", b"Adobe"
_ORIENTATION = 0x0112


def bare(data: bytes, name: str) -> bytes:
    """Take everything out of a picture that is not the picture, but which way up it is.

    A JPEG keeps its bytes of picture, so that what is made of it comes out the same; a PNG or WebP is
    written anew from its pixels without loss. What follows the end of a picture is left out too.

    Raises
    ------
    InputError
        As `stallwise.record.photos.ending_of`, or a JPEG that ends before its picture does.
    """
    # Late: only a photo needs it.
    from PIL import Image

    ending = ending_of(data, name)
    if ending == ".jpg":
        try:
            return jpeg(data)
        except ValueError as error:
            raise InputError(f"{name} cannot be read to its end", "a whole JPEG") from error
    with Image.open(io.BytesIO(data)) as image:
        clear = "A" in image.getbands() or "transparency" in image.info
        pixels = image.convert("RGBA" if clear else "RGB")
        # Encoders take what lies in `info` along unless the pixels are alone.
        alone = Image.frombytes(pixels.mode, pixels.size, pixels.tobytes())
        more = {"exif": _upright(image), "icc_profile": image.info.get("icc_profile", b"")}
        made = io.BytesIO()
        if ending == ".png":
            alone.save(made, "PNG", **{key: value for key, value in more.items() if value})
        else:
            alone.save(made, "WEBP", lossless=True, **more)
        return made.getvalue()


def jpeg(data: bytes) -> bytes:
    """Give what of a JPEG is picture, byte for byte, with its colours and which way up it is.

    Raises
    ------
    ValueError
        It is none, or ends too soon.
    """
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data), formats=("JPEG",)) as image:
            exif = _upright(image)
        kept = [part for marker, part in _segments(data) if _is_picture(marker, part)]
    except (IndexError, OSError, SyntaxError, UnidentifiedImageError) as error:
        raise ValueError(str(error)) from error
    if exif:
        kept.insert(0, b"\xff\xe1" + (len(exif) + 2).to_bytes(2, "big") + exif)
    return b"".join([b"\xff\xd8", *kept, b"\xff\xd9"])


def _upright(image: Image) -> bytes:
    """Give notes of a camera that say which way up a picture is, and nothing else; none where it is upright."""
    from PIL import Image as Images

    turned = image.getexif().get(_ORIENTATION)
    if turned not in range(2, 9):
        return b""
    notes = Images.Exif()
    notes[_ORIENTATION] = turned
    return notes.tobytes()


def _is_picture(marker: int, part: bytes) -> bool:
    return (
        marker in _DRAWN
        or marker == _SOS
        or (marker == _APP2 and part[4:].startswith(_ICC))
        or (marker == _APP14 and part[4:].startswith(_ADOBE))
    )


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Segments of a JPEG up to its end, a scan with all its coded data."""
    at = 2
    while True:
        if data[at] != 0xFF:
            raise ValueError(at)
        while data[at + 1] == 0xFF:  # fill bytes
            at += 1
        marker = data[at + 1]
        if marker == _EOI:
            return
        end = at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        if marker == _SOS:
            # Coded data go on to the next marker that is neither a stuffed byte nor a restart.
            while True:
                end = data.index(b"\xff", end)
                follows = data[end + 1]
                if follows and not 0xD0 <= follows <= 0xD7 and follows != 0xFF:
                    break
                end += 1 if follows == 0xFF else 2
        if end > len(data):
            raise IndexError(end)
        yield marker, data[at:end]
        at = end
