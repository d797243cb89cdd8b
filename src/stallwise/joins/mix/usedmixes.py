"""Mixes as they were used, copied into a cook once it is under way, so that later versions change nothing."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

from stallwise.ground import assets
from stallwise.joins.mix.mixing import mix_shelf
from stallwise.record.folder import CookFolder
from stallwise.tables.mix import Pantry

__all__ = ["keep_used_mixes"]


def keep_used_mixes(folder: CookFolder) -> tuple[str, ...]:
    """Copy every mix of a cook, and every mix inside one, that it does not have yet.

    A planned cook keeps following the cookbook; from meat on its mixes stay as they were used.

    Returns
    -------
    tuple of str
        Names of those that were copied now.
    """
    if not folder.read().mixes or folder.state() == "planned":
        return ()
    record = folder.load()
    shelf, there = mix_shelf(record), set(folder.mixes())
    kept = []
    for key in dict.fromkeys(
        name for use in record.cook.mixes for name in _with_parts(use.mix, shelf)
    ):
        text = None if key in there else _text(folder, key)
        if text is not None:
            folder.keep_mix(key, _with_region(text, shelf.mixes[key].region))
            kept.append(key)
    return tuple(kept)


def _with_parts(key: str, shelf: Pantry, path: tuple[str, ...] = ()) -> Iterator[str]:
    """Walk a mix and all inside it; one that is not there, or that uses itself, is told elsewhere."""
    if key in path or key not in shelf.mixes:
        return
    yield key
    for line in shelf.mixes[key].lines:
        if line.mix:
            yield from _with_parts(line.mix, shelf, (*path, key))


def _with_region(text: str, region: str) -> str:
    """Write down which spoons were meant: a cookbook may change its own later."""
    if "region" in tomllib.loads(text):
        return text
    pinned = f'region = "{region}"\n'
    schema = re.search(r"^schema\s*=.*\n", text, flags=re.MULTILINE)
    at = schema.end() if schema else 0
    return text[:at] + pinned + text[at:]


def _text(folder: CookFolder, key: str) -> str | None:
    """Read the file of a mix: the cookbook's own, or the shipped one."""
    own = folder.home.text("mixes", key)
    if own is not None:
        return own
    name = f"{key}.toml"
    return (
        assets.read_text("data", "mixes", name) if name in assets.names("data", "mixes") else None
    )
