"""Addresses of pages: file names made of names, and where a journal stands on the web."""

from __future__ import annotations

import hashlib
import re
import unicodedata
import uuid
from collections.abc import Iterable
from urllib.parse import quote, urlsplit

from stallwise.ground.errors import InputError

__all__ = ["base_of", "folded", "page_names", "plain_name", "urn"]

#: A file name of a page, without its ending, is no longer than this.
_LONGEST = 80


def plain_name(name: str, *, told_apart: bool = False) -> str:
    """Make a plain file name of a name: ASCII letters, digits, dots and dashes.

    Parameters
    ----------
    name : str
        Anything.
    told_apart : bool, optional
        Two names that differ never come out alike, also where a disk takes capitals for
        small letters: what was lost is told by a few more letters.
    """
    told = name.replace(" ", "_") if told_apart and "_" not in name else name
    plain = re.sub(r"[^A-Za-z0-9._-]+", "-", _bare(told)).strip("-.")
    if told_apart:
        plain = plain.lower()
    short = plain[:_LONGEST].strip("-.") or ("" if told_apart else "cook")
    if len(plain) > _LONGEST or (told_apart and (short != told or "_" in name)):
        more = hashlib.blake2b(name.encode(), digest_size=4).hexdigest()
        return f"{short}-{more}" if short else more
    return short


def page_names(names: Iterable[str]) -> dict[str, str]:
    """File name of each cook's page; two that come out alike are told apart by a number."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in sorted(names):
        slug, count = plain_name(name), 2
        while slug.lower() in taken:
            slug, count = f"{plain_name(name)}-{count}", count + 1
        found[name] = slug
        taken.add(slug.lower())
    return found


def base_of(address: str | None) -> str:
    """Address that a journal is published under, with a slash at its end; empty where none is set.

    Raises
    ------
    InputError
        It is no web address of a folder.
    """
    if not address or not address.strip():
        return ""
    parts = urlsplit(address.strip())
    if (
        parts.scheme not in {"http", "https"}
        or not parts.hostname
        or parts.query
        or parts.fragment
        or parts.username is not None
    ):
        raise InputError(
            f"base_address = {address!r} in cookbook.toml is no address of a folder",
            "https://, a host and perhaps a folder, without ? and #",
            "Correct it, or take it out: without one there is no sitemap",
        )
    path = quote(parts.path, safe="/%~:@!$&'()*+,;=")
    return f"{parts.scheme}://{parts.netloc}{path.rstrip('/')}/"


def urn(*names: str) -> str:
    """Name of something for good, made of words alone, where there is no address."""
    return uuid.uuid5(uuid.NAMESPACE_OID, "\n".join(("stallwise journal", *names))).urn


def folded(text: str) -> str:
    """Text as it is searched: small letters without accents, single spaces."""
    return " ".join(_bare(text).lower().split())


def _bare(text: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
