"""What the logged cooks taught: a fold over a cookbook in order of date.

``learned.json`` holds the knowledge after each cook, so that an old cook is answered with what was
known before it and a cook left out leaves no trace.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from stallwise import __version__
from stallwise.ground.errors import CookWarning
from stallwise.joins import timing
from stallwise.joins.fire.fires import fires_seen
from stallwise.joins.fire.vents import vents_plain
from stallwise.joins.foresight import plan_pieces, question
from stallwise.joins.learn.holdseen import holds_seen
from stallwise.joins.learn.probeclock import clock_warnings
from stallwise.joins.learn.widening import missed_plain
from stallwise.models.firelesson import fire_lesson
from stallwise.models.holdlesson import hold_lesson
from stallwise.models.learning import CookLesson, Habits, Told, fold, knowledge_of, lesson
from stallwise.models.plan import Knowledge, Learned, PiecePlan
from stallwise.record.cook import CookRecord
from stallwise.tables.parameters import parameters

__all__ = ["learn"]

_SEED, _MEMBERS = 1, 200
#: What happened to a piece is known by then.
_AFTER = dt.timedelta(minutes=1)


def learn(
    records: Iterable[CookRecord],
    *,
    before: Mapping[str, Any] | None = None,
    without: Collection[str] = (),
) -> dict[str, Any]:
    """Fold all finished cooks of a book, oldest first.

    Parameters
    ----------
    records : iterable of CookRecord
        All cooks of the book, in any order. Samples teach only where there is no other cook.
    before : mapping, optional
        An earlier ``learned.json``: a cook whose facts and forerunners are as they were is not
        looked at again.
    without : collection of str
        Names of cooks that are left out.

    Returns
    -------
    dict
        What ``learned.json`` holds: ``cooks``, oldest first, each with what was known after it.
    """
    kept = (before or {}).get("cooks", ())
    done = {entry["content"]: entry for entry in kept if {"content", "told"} <= entry.keys()}
    habits, known, entries = Habits(), Knowledge(), []
    those = [record for record in records if record.name not in without]
    own = any(not record.cook.sample for record in those)
    for record in sorted(those, key=lambda one: (one.cook.date, one.name)):
        if record.state != "finished":
            continue
        told, entry = _taught(record, known, done, aside=own and record.cook.sample)
        habits = fold(habits, told)
        known = knowledge_of(habits, _name(known.id, entry["content"], told))
        entries.append(
            entry
            | {"missed": None if told.refused else missed_plain(record)}
            | {"knowledge": known.id, "pits": _plain(known.pits), "cuts": _plain(known.cuts)}
        )
    return {"library": __version__, "cooks": entries}


def _taught(
    record: CookRecord, known: Knowledge, done: Mapping[str, Mapping[str, Any]], *, aside: bool
) -> tuple[CookLesson, dict[str, Any]]:
    end = max(line.at for line in record.log) + _AFTER
    asked = question(record, made_at=end, as_of=end, knowledge=known, seed=_SEED)
    on = {
        piece.letter: timing.logged_on(asked.lines, piece) or timing.first_on(asked.lines) or end
        for piece in asked.cook.pieces
    }
    planned, pits = plan_pieces(asked, on)
    plans = [_to_the_end(one.plan) for one in planned]
    burnt = tuple(fires_seen(asked, planned, on, pits))
    held = holds_seen(asked, planned, on)
    apart = clock_warnings(record.cook, asked.lines, record.readings, zone=record.zone)
    content = _content(plans, (burnt, held), known, apart, teaches=record.cook.teaches, aside=aside)
    entry: dict[str, Any] = {
        "cook": record.name,
        "date": record.cook.date.isoformat(),
        "content": content,
    }
    if record.cook.sample:
        entry["sample"] = True
    if content in done:
        told = _told(done[content]["told"])
    elif not record.cook.teaches:
        told = CookLesson(refused="it is kept from teaching (teaches = false)")
    elif aside:
        told = CookLesson(refused="it is a made-up sample, and the book holds cooks of your own")
    elif apart:
        told = CookLesson(refused=f"its clocks disagree. {apart[0].text}")
    else:
        told = lesson(plans, seed=_SEED, members=_MEMBERS, knowledge=known)
        if not told.refused:
            kept = hold_lesson(held, seed=_SEED, members=_MEMBERS, knowledge=known)
            told = replace(told, pits={**told.pits, **fire_lesson(burnt), **kept})
        if not told.refused and not told.pits and not told.cuts:
            told = replace(told, refused="no probe, feel check or count of fuel says how it went")
    vents = [] if told.refused else vents_plain(asked, pits, min(on.values()))
    if vents:
        entry["vents"] = vents
    return told, entry | {"taught": not told.refused, "why": told.refused, "told": _spelt(told)}


def _to_the_end(plan: PiecePlan) -> PiecePlan:
    """Forecast nothing: only what was seen until the piece came off bears on what is learned."""
    facts = plan.facts
    if facts is None:
        return plan
    last = [facts.tender_s or 0.0, facts.not_tender_s or 0.0]
    last += [trace.time_s[-1] for trace in facts.probes if trace.time_s]
    return replace(plan, facts=replace(facts, as_of_s=max([600.0, *last])))


def _content(
    plans: Sequence[PiecePlan],
    beside: tuple[Any, ...],
    known: Knowledge,
    apart: Sequence[CookWarning],
    *,
    teaches: bool,
    aside: bool,
) -> str:
    table = tuple(parameters().values())  # another table teaches something else
    basis = repr((plans, beside, known.id, apart, teaches, __version__, table, _SEED, _MEMBERS))
    basis += " aside" if aside else ""
    return hashlib.blake2b(basis.encode(), digest_size=12).hexdigest()


def _name(before: str, content: str, told: CookLesson) -> str:
    """Name a state of knowledge; a cook that taught nothing leaves it as it was."""
    if told.refused:
        return before
    return hashlib.blake2b(f"{before} {content}".encode(), digest_size=8).hexdigest()


def _plain(part: Mapping[str, Mapping[str, Learned]]) -> dict[str, dict[str, list[float]]]:
    return {
        owner: {key: [one.value, one.spread] for key, one in sorted(lessons.items())}
        for owner, lessons in sorted(part.items())
    }


def _spelt(told: CookLesson) -> dict[str, Any]:
    def rows(part: Mapping[tuple[str, str], tuple[Told, ...]]) -> list[list[Any]]:
        return [
            [
                owner,
                key,
                [[t.value, t.variance if math.isfinite(t.variance) else None] for t in some],
            ]
            for (owner, key), some in sorted(part.items())
        ]

    return {
        "pits": rows(told.pits),
        "cuts": rows(told.cuts),
        "misfit": dict(sorted(told.misfit.items())),
        "refused": told.refused,
    }


def _told(spelt: Mapping[str, Any]) -> CookLesson:
    def part(rows: Sequence[Sequence[Any]]) -> dict[tuple[str, str], tuple[Told, ...]]:
        return {
            (owner, key): tuple(Told(v, math.inf if s is None else s) for v, s in some)
            for owner, key, some in rows
        }

    return CookLesson(part(spelt["pits"]), part(spelt["cuts"]), spelt["misfit"], spelt["refused"])
