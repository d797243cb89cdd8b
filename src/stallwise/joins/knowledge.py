"""What was known before a cook, read from the book's ``learned.json``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stallwise.ground.errors import InputError
from stallwise.joins.widening import widening_before
from stallwise.models.plan import Knowledge, Learned
from stallwise.record.cook import CookRecord

__all__ = ["knowledge_before"]


def knowledge_before(record: CookRecord) -> Knowledge:
    """Tell what was known before a cook, by the book's ``learned.json``; the table without one.

    Raises
    ------
    InputError
        ``learned.json`` was spoilt; it can be made anew.
    """
    try:
        return _known(record)
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise InputError(
            "learned.json is not as it was written",
            "what stallwise learn writes",
            "Make it anew with `stallwise learn`",
        ) from error


def _known(record: CookRecord) -> Knowledge:
    this = (record.cook.date.isoformat(), record.name)
    earlier = [
        entry
        for entry in (record.learned or {}).get("cooks", ())
        if (entry["date"], entry["cook"]) < this
    ]
    if not earlier:
        return Knowledge()
    last = earlier[-1]
    found = widening_before(earlier, record.cook.date)
    return Knowledge(
        last["knowledge"],
        _read(last["pits"]),
        _read(last["cuts"]),
        widening=found.factor,
        widening_cooks=found.cooks if found.factor > 1.0 else 0,
    )


def _read(part: Mapping[str, Mapping[str, Sequence[float]]]) -> dict[str, dict[str, Learned]]:
    return {
        owner: {key: Learned(*pair) for key, pair in lessons.items()}
        for owner, lessons in part.items()
    }
