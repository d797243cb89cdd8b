"""Looking at a picture before it is taken in: a picture at all, of a kind and size that is read; when taken."""

from __future__ import annotations

import datetime as dt
import io
import re
import warnings

from stallwise.ground.errors import InputError
from stallwise.record.camera import Taken

__all__ = ["ENDINGS", "PIXELS", "ending_of", "taken_of"]

#: Largest picture [pixels]; see data/record_limits.csv.
PIXELS = 60_000_000
#: Formats that are read, and the ending of their names here.
ENDINGS = {"JPEG": ".jpg", "PNG": ".png", "WEBP": ".webp"}

_ALLOWED = "JPEG, PNG or WebP, up to 60 million pixels"
#: Where a camera notes when: its clock, how far that is from UTC, and the part that holds both.
_ORIGINAL, _OFFSET, _NOTES = 0x9003, 0x9011, 0x8769
_ZONE = re.compile(r"([+-])(\d{2}):(\d{2})")
_HEIC = frozenset({b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1"})


def ending_of(data: bytes, name: str) -> str:
    """Tell the ending that belongs to a picture from what it holds, not from its name.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        For messages.

    Raises
    ------
    InputError
        No picture, a kind that is not read, torn, or too large.
    """
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC:
        raise InputError(
            f"{name} is a HEIC picture",
            _ALLOWED,
            "Save or export it as JPEG, or set the camera to take JPEG, and add that",
        )
    # Late: only a photo needs it.
    from PIL import Image

    try:
        with warnings.catch_warnings():
            # Our own limit stands below; what is larger than Pillow's is refused by Pillow.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=list(ENDINGS)) as image:
                width, height = image.size
                kind = image.format or ""
                if width * height > PIXELS:
                    raise _too_large(name, f"{width} × {height} pixels")
                # A torn picture is found only on reading it; a coarse one is enough for that.
                image.draft("RGB", (max(1, width // 8), max(1, height // 8)))
                image.load()
    except Image.DecompressionBombError:
        raise _too_large(name, "far too many pixels") from None
    except (OSError, SyntaxError, ValueError, EOFError) as error:
        raise InputError(f"{name} is not a picture that can be read", _ALLOWED) from error
    return ENDINGS[kind]


def taken_of(data: bytes) -> Taken | None:
    """Read when a picture was taken from its camera's notes; None where they do not say.

    Parameters
    ----------
    data : bytes
        A file that `ending_of` let through.
    """
    # Late: only a photo needs it.
    from PIL import Image

    try:
        with Image.open(io.BytesIO(data)) as image:
            notes = image.getexif().get_ifd(_NOTES)
    except (OSError, SyntaxError, ValueError, EOFError):
        return None
    try:
        clock = dt.datetime.strptime(  # noqa: DTZ007 - a camera has a clock and no zone
            str(notes.get(_ORIGINAL, ""))[:19], "%Y:%m:%d %H:%M:%S"
        )
    except ValueError:
        return None
    zone = _ZONE.fullmatch(str(notes.get(_OFFSET, "")).strip())
    if zone is None or int(zone[2]) > 15 or int(zone[3]) > 59:
        return Taken(clock)
    away = dt.timedelta(hours=int(zone[2]), minutes=int(zone[3]))
    return Taken(clock, away if zone[1] == "+" else -away)


def _too_large(name: str, size: str) -> InputError:
    return InputError(f"{name} has {size}", _ALLOWED, "Make it smaller and add that")
