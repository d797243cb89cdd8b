"""What a new result is compared with: what was kept, the run before, or the cook unchanged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stallwise.ground.errors import NotFoundError
from stallwise.record.cookfolder import CookFolder
from stallwise.record.store import ANY
from stallwise.surfaces.rerun.figures import BYTES, read_figures

__all__ = [
    "AS_IT_IS",
    "KEPT",
    "NOW",
    "UNCHANGED",
    "Base",
    "base_of",
    "check_against",
    "keep_before",
]

#: Stem of the outputs of a run that changes nothing.
AS_IT_IS = "rerun-as-it-is"
KEPT, NOW = "kept", "now"
UNCHANGED = "the cook unchanged, answered now"
_BEFORE = f"{AS_IT_IS}.before.json"


@dataclass(frozen=True)
class Base:
    """An old result, and which it is in words; without figures it has to be answered now."""

    words: str
    figures: Mapping[str, Any] | None = None


def check_against(said: str) -> None:
    """Refuse a word that names nothing to compare with."""
    if said not in {KEPT, NOW}:
        raise NotFoundError("result to compare with", said, [KEPT, NOW])


def base_of(cook: CookFolder, name: str, against: str) -> Base | None:
    """Find what the outputs called `name` are compared with; None where there is nothing yet.

    Parameters
    ----------
    cook : CookFolder
    name : str
        Stem of the outputs.
    against : {"kept", "now"}

    Raises
    ------
    StallwiseError
        The old result cannot be read.
    """
    if against == KEPT:
        kept = cook.result()
        if kept is not None:
            return Base(f"results/result.json of {str(kept.get('made_at', ''))[:10]}", kept)
        before = cook.path / "results" / _BEFORE
        if name == AS_IT_IS and cook.store.has(before):
            return Base("the run before", read_figures(cook, before))
    return None if name == AS_IT_IS else Base(UNCHANGED)


def keep_before(cook: CookFolder, name: str) -> None:
    """Set a copy of the last run aside that changed nothing, before the next takes its place.

    Raises
    ------
    WorkError
        The disk is full, or does not let us.
    """
    last = cook.path / "results" / f"{AS_IT_IS}.json"
    if name == AS_IT_IS and cook.store.has(last):
        text = cook.store.read(last, BYTES)
        cook.store.replace(last.with_name(_BEFORE), text, expected=ANY, limit=BYTES)
