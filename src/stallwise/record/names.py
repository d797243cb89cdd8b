"""Names of files and folders that every system takes."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

__all__ = ["copy_of", "free", "slug"]

_LONGEST = 60
#: Letters that Unicode does not take apart.
_SPELLED = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "đ": "d", "ð": "d", "ł": "l", "þ": "th", "ı": "i"}
)
#: Device names of one family of systems, which no file there may have.
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)$")
_OURS = re.compile(r"[a-z0-9-]*")
#: What we ourselves put between a name and its ending.
_BETWEEN = re.compile(r"\.(raw|key|schema-\d+)")
_ENDING = re.compile(rf"({_BETWEEN.pattern})?(\.[a-z0-9]+)?$")
#: What tells a second copy from a name that somebody chose.
_COPIED = re.compile(r"[\d()\[\]~]|conflict|cop(y|ies)", re.IGNORECASE)


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


def copy_of(name: str, there: Iterable[str]) -> str | None:
    """Find the file that a name is a second copy of.

    A program that keeps a folder alike on two machines does so when both changed a file: it
    leaves the other one beside it, under the same name with something before or behind it, such as
    a number in brackets, a date or the name of a machine.

    Parameters
    ----------
    name : str
        Of a file or folder.
    there : iterable of str
        Names in the same folder.

    Returns
    -------
    str or None
        None for a name of its own, our own additions (``probe.raw.csv``) among them.
    """
    if _OURS.fullmatch(_ENDING.sub("", name)):
        return None
    return max((other for other in there if _is_copy(name, other)), key=len, default=None)


def _is_copy(name: str, other: str) -> bool:
    body, dot, ending = other.rpartition(".") if "." in other else (other, "", "")
    if name == other or not _OURS.fullmatch(body.partition(".")[0]):
        return False
    if name.endswith(f" {other}"):
        return True
    added = name.removeprefix(body).removesuffix(f"{dot}{ending}")
    if f"{body}{added}{dot}{ending}" != name or _BETWEEN.fullmatch(added):
        return False
    return bool(added) and not _OURS.fullmatch(added) and bool(_COPIED.search(added))
