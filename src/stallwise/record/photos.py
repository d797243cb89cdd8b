"""Looking at a picture before it is taken in: a picture at all, of a kind that is read, of a size."""

from __future__ import annotations

import io
import warnings

from stallwise.ground.errors import InputError

__all__ = ["ENDINGS", "PIXELS", "ending_of"]

#: Largest picture [pixels]; see data/record_limits.csv.
PIXELS = 60_000_000
#: Formats that are read, and the ending of their names here.
ENDINGS = {"JPEG": ".jpg", "PNG": ".png", "WEBP": ".webp"}

_ALLOWED = "JPEG, PNG or WebP, up to 60 million pixels"
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


def _too_large(name: str, size: str) -> InputError:
    return InputError(f"{name} has {size}", _ALLOWED, "Make it smaller and add that")
