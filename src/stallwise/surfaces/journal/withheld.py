"""What a cook keeps back by name and a page would tell in many places: a mix, a piece, guests, jobs."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Collection, Iterable
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.joins.learn.keptresult import CookTally
from stallwise.joins.result import Result
from stallwise.joins.sheet.sheetwords import kind_of

__all__ = ["withheld"]

_HIDDEN_MIX = "a mix kept private"

#: How many eat, and what is said instead.
_GUESTS, _SOME = re.compile(r"\b\d+ guests?\b"), "all guests"


def withheld(result: Result, private: Collection[str]) -> Result:
    """Drop what is told in many places, name by name.

    Parameters
    ----------
    result : Result
        What may be shown of a cook that keeps nothing back.
    private : collection of str
        Keys: ``jobs``, ``guests``, ``mixes.NAME``, ``pieces.A``; others are not for here.

    Raises
    ------
    InputError
        No piece is left.
    """
    if "jobs" in private:
        result = _without_jobs(result)
    if "guests" in private:
        result = _without_guests(result)
    for name in sorted(private):
        head, _, key = name.partition(".")
        if head == "mixes" and key:
            result = _without_mix(result, key)
        elif head == "pieces" and key.isalpha() and len(key) == 1:
            result = _without_piece(result, key)
    return result


def _without_jobs(result: Result) -> Result:
    """Drop work beside the meat, and warnings that name it."""
    names = [step.what.casefold() for step in result.steps if kind_of(step) == "job"]
    return dataclasses.replace(
        result,
        steps=tuple(step for step in result.steps if kind_of(step) != "job"),
        warnings=tuple(
            one for one in result.warnings if not any(name in one.text.casefold() for name in names)
        ),
    )


def _without_guests(result: Result) -> Result:
    """Drop how many eat, and what one of them gets."""
    return dataclasses.replace(
        result,
        mixes=tuple(
            dataclasses.replace(mix, for_text=_GUESTS.sub(_SOME, mix.for_text))
            for mix in result.mixes
        ),
        salt=tuple(
            dataclasses.replace(salt, serving_kg=0.0, sodium_mg_per_serving=0.0)
            for salt in result.salt
        ),
        warnings=tuple(one for one in result.warnings if not _GUESTS.search(one.text)),
    )


def _without_piece(result: Result, letter: str) -> Result:
    def keep(items: Iterable[Any]) -> tuple[Any, ...]:
        return tuple(item for item in items if item.piece != letter)

    if not keep(result.pieces):
        raise InputError(
            f'private = ["pieces.{letter}"] leaves no piece to show',
            "some of the pieces",
            'To keep the whole cook back write private = ["all"]',
        )
    return dataclasses.replace(
        result,
        pieces=keep(result.pieces),
        steps=keep(result.steps),
        events=keep(result.events),
        inferred=keep(result.inferred),
        limits=keep(result.limits),
        estimates=keep(result.estimates),
        kept=keep(result.kept),
        tallied=_untallied(result.tallied, letter),
        salt=keep(result.salt),
        warnings=keep(result.warnings),
        readings={k: v for k, v in result.readings.items() if k.split()[0] != letter},
        mixes=tuple(mix for mix in result.mixes if mix.on != (letter,)),
    )


def _untallied(tallied: CookTally | None, letter: str) -> CookTally | None:
    if tallied is None:
        return None
    return dataclasses.replace(
        tallied,
        left_out={},
        open_forecasts=0,
        forecasts=tuple(row for row in tallied.forecasts if row.piece != letter),
        hindcasts=tuple(row for row in tallied.hindcasts if row.piece != letter),
    )


def _without_mix(result: Result, key: str) -> Result:
    """Drop a mix; its salt still counts, under no name."""
    names = {key} | {mix.name for mix in result.mixes if mix.mix == key}

    def plain(text: str) -> str:
        for name in sorted(names, key=len, reverse=True):
            text = re.sub(
                rf"(?<!\w){re.escape(name)}(?!\w)", _HIDDEN_MIX, text, flags=re.IGNORECASE
            )
        return text

    return dataclasses.replace(
        result,
        mixes=tuple(
            dataclasses.replace(
                mix,
                own=tuple(note for note in mix.own if plain(note) == note),
                notes=tuple(note for note in mix.notes if plain(note) == note),
                lines=tuple(
                    dataclasses.replace(line, ingredient="", name=_HIDDEN_MIX)
                    if line.ingredient == key or line.name in names
                    else line
                    for line in mix.lines
                ),
                parts=tuple(part for part in mix.parts if part != key),
            )
            for mix in result.mixes
            if mix.mix != key
        ),
        salt=tuple(
            dataclasses.replace(
                salt,
                parts_g=_summed((plain(k), v) for k, v in salt.parts_g.items()),
                landing=None if salt.landing and salt.landing.mix in names else salt.landing,
            )
            for salt in result.salt
        ),
        ledger=tuple(
            line
            for line in result.ledger
            if plain(line.what) == line.what and all(plain(name) == name for name in line.used)
        ),
        steps=tuple(
            dataclasses.replace(
                step,
                what=plain(step.what),
                detail=plain(step.detail),
                until_sign=plain(step.until_sign),
            )
            for step in result.steps
        ),
        warnings=tuple(w for w in result.warnings if plain(w.text) == w.text),
    )


def _summed(parts: Iterable[tuple[str, float]]) -> dict[str, float]:
    total: dict[str, float] = {}
    for name, grams in parts:
        total[name] = total.get(name, 0.0) + grams
    return total
