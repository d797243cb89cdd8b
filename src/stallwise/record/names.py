"""Names of files and folders that every system takes."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

__all__ = ["free", "slug"]

_LONGEST = 60
#: Letters that Unicode does not take apart.
_SPELLED = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "đ": "d", "ð": "d", "ł": "l", "þ": "th", "ı": "i"}
)
#: Device names of one family of systems, which no file there may have.
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)$")


def slug(text: str, otherwise: str = "cook") -> str:
    """Make a name of small letters, digits and hyphens.

    Parameters
    ----------
    text : str
        A title or file name, without its ending.
    otherwise : str, default "cook"
        Taken when nothing of the text can be kept.

    Returns
    -------
    str
        ASCII, at most 60 characters, no device name.
    """
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_SPELLED))
    plain = "".join(char for char in plain if not unicodedata.combining(char))
    name = re.sub(r"[^a-z0-9]+", "-", plain)[:_LONGEST].strip("-") or otherwise
    return f"{name}-{otherwise}" if _DEVICES.match(name) else name


def free(name: str, ending: str, taken: Iterable[str]) -> str:
    """Name with its ending that is not taken yet: ``bark.jpg``, ``bark-2.jpg``; case is ignored."""
    there = {one.casefold() for one in taken}
    made, count = f"{name}{ending}", 1
    while made.casefold() in there:
        count += 1
        made = f"{name}-{count}{ending}"
    return made
