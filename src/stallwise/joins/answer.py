"""The spine: one cook at one moment, answered as one Result.

This is the only maker of a Result and the only place where a Cook becomes a Plan. It reads
no clock: the moment of the asking is an argument.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stallwise import __version__
from stallwise.ground.errors import CookWarning
from stallwise.joins import timing
from stallwise.joins.chances import SheetPiece, odds_in_time, ready_times
from stallwise.joins.fire.firebreak import said_of_plans
from stallwise.joins.fire.fires import fires
from stallwise.joins.fire.fuelling import not_to_burn
from stallwise.joins.fire.pitplan import pit_title
from stallwise.joins.fire.pitsharing import share_pits
from stallwise.joins.foresight import (
    Asked,
    Foreseen,
    foresee,
    pit_start_s,
    question,
    sheet_pieces,
)
from stallwise.joins.learn import observed
from stallwise.joins.learn.inferred import inferred
from stallwise.joins.learn.outcome import finish_seen
from stallwise.joins.learn.probeclock import clock_warnings
from stallwise.joins.limit.limitcards import cards
from stallwise.joins.limit.limits import cook_limits
from stallwise.joins.mix.labels import labels
from stallwise.joins.mix.mixing import mix_cook, mix_shelf
from stallwise.joins.mix.packlabel import label_warnings
from stallwise.joins.mix.plates import costs, plates
from stallwise.joins.mix.portions import for_mixes
from stallwise.joins.mix.prices import book_prices
from stallwise.joins.mix.spending import spending
from stallwise.joins.mix.yields import OwnYield, yields_before
from stallwise.joins.pieces import edible_kg, piece_result
from stallwise.joins.result import PieceResult, Result
from stallwise.joins.serving import holding
from stallwise.joins.sheet.chilling import kept_too_long
from stallwise.joins.sheet.daysheet import day_sheet
from stallwise.joins.sheet.night import night_card
from stallwise.joins.sheet.roles import roles
from stallwise.joins.sheet.sheetchanges import marked
from stallwise.joins.sheet.thawing import frozen_still
from stallwise.joins.taste.tasteresult import trial_results
from stallwise.joins.ways.lateness import in_danger, lateness, ready_words
from stallwise.joins.ways.remedies import at_risk, remedies
from stallwise.joins.ways.troubles import in_trouble, troubles
from stallwise.joins.words import ODDS
from stallwise.models.plan import Knowledge
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Cook

__all__ = ["answer"]


def answer(
    record: CookRecord,
    *,
    made_at: dt.datetime,
    as_of: dt.datetime | None = None,
    changes: Mapping[str, Any] | None = None,
    knowledge: Knowledge | None = None,
    seed: int = 1,
) -> Result:
    """Answer a cook: forecast, day sheet, mixes, salt, events, warnings.

    Parameters
    ----------
    record : CookRecord
        The cook as read from its folder.
    made_at : datetime
        Moment of the asking, aware.
    as_of : datetime, optional
        Only what was logged until then is used. The default is `made_at` for a planned or
        running cook and meat on for a finished one.
    changes : mapping, optional
        Plan parameters laid over ``cook.toml``; `seed` and `members` among them.
    knowledge : Knowledge, optional
        What was learned before this cook; the table's priors by default.
    seed : int
        Which possible days are drawn.

    Returns
    -------
    Result

    Raises
    ------
    InputError
        The plan asks for what cannot be, in words.
    """
    asked = question(
        record, made_at=made_at, as_of=as_of, changes=changes, knowledge=knowledge, seed=seed
    )
    seen = foresee(asked)
    hour_zero = min(seen.on.values())
    on_sheet = sheet_pieces(asked, seen)
    own = yields_before(record)
    eaten = _eaten(seen, own)
    pieces = _pieces(asked, seen, on_sheet, eaten)
    weights = next(iter(seen.forecast.pieces.values())).weights
    usual_kg = {letter: float(np.average(kg, weights=weights)) for letter, kg in eaten.items()}
    mixed = mix_cook(record, asked.cook, for_mixes(record, asked.cook, list(usual_kg.values())))
    probability = ODDS[asked.cook.odds]
    prices = book_prices(record)
    paid, price_warnings = costs(asked.cook, seen.planned, usual_kg, prices, own)
    spent, money_warnings = spending(
        asked.cook, seen.planned, paid, mixed.takes_g, mix_shelf(record), prices
    )
    fuel = fires(asked, seen)
    sheet = day_sheet(
        asked.cook,
        on_sheet,
        pits=seen.pits,
        hour_zero=hour_zero,
        lines=asked.lines,
        probability=probability,
        zone=asked.zone,
        pit_start_s=pit_start_s(asked, seen.pits),
        fuel=fuel,
        units=record.book.units,
        as_of=asked.as_of,
        mixes=mixed.mixes,
    )
    together = share_pits(asked, seen, on_sheet)
    news = marked(sheet.steps, record.printed, asked.as_of, asked.zone)
    late = at_risk(asked, on_sheet)
    open_now = remedies(asked, seen, on_sheet, late)
    wrong = troubles(asked, seen, on_sheet, fuel)
    # A finished cook's limits stand at its end, whatever its forecast is asked as of.
    ruled = cook_limits(record, asked.cook, as_of or made_at)
    frozen = _frozen(asked, on_sheet, pieces)
    icy = {warning.piece for warning in frozen}
    tasted, untasted = trial_results(record.trials)
    warnings = (
        *record.warnings,
        *(warning for planned in seen.planned for warning in planned.warnings),
        *clock_warnings(
            asked.cook, asked.lines, record.readings, zone=asked.zone, until=asked.as_of
        ),
        *said_of_plans(seen.forecast.warnings, seen.pits),
        *lateness(
            pieces,
            asked.as_of,
            fixed={p.letter for p in asked.cook.pieces if p.on},
            planned=record.state == "planned",
            windowed={p.letter for p in asked.cook.pieces if p.wrap_from or p.wrap_to},
            unusual=seen.forecast.warnings,
        ),
        *frozen,
        *in_trouble(wrong),
        *kept_too_long(on_sheet),
        *in_danger(
            [piece for piece in pieces if piece.piece in late and piece.piece not in icy],
            open_now,
            asked.cook.odds,
        ),
        *holding(pieces, record.book.units),
        *sheet.warnings,
        *together.warnings,
        *mixed.warnings,
        *ruled.warnings,
        *label_warnings(asked.cook),
        *prices.asked,
        *price_warnings,
        *money_warnings,
        *not_to_burn(asked.cook),
        *untasted,
    )
    return Result(
        cook=record.name,
        title=asked.cook.title,
        date=asked.cook.date,
        state=record.state,
        sample=asked.cook.sample,
        units=record.book.units,
        time_zone=str(asked.zone),
        made_at=made_at.astimezone(asked.zone),
        as_of=asked.as_of.astimezone(asked.zone),
        hour_zero=hour_zero.astimezone(asked.zone),
        seed=asked.seed,
        members=asked.members,
        model_version=__version__,
        knowledge=asked.knowledge.id,
        inputs=_fingerprint(asked, own),
        hindcast=_is_hindcast(record, made_at),
        widening=asked.knowledge.widening,
        widening_cooks=asked.knowledge.widening_cooks,
        warnings=_once(warnings),
        pieces=pieces,
        steps=news.steps,
        gear=sheet.gear,
        loads=together.loads,
        odds_words=asked.cook.odds,
        odds=odds_in_time(on_sheet),
        mixes=mixed.mixes,
        salt=mixed.salt,
        ledger=mixed.ledger,
        nutrition=mixed.nutrition,
        limits=ruled.limits,
        events=observed.events(asked.lines, hour_zero, asked.zone),
        readings=observed.traces(record.readings, hour_zero, asked.as_of),
        inferred=inferred(asked, seen.planned, seen.pits, hour_zero=hour_zero),
        remedies=open_now,
        troubles=wrong,
        fuel=fuel,
        night=night_card(asked, seen, pieces, fuel, sheet.steps),
        estimates=ruled.estimates,
        cards=replace(
            cards(ruled.temperatures, mixed.mixes, asked.cook),
            labels=labels(pieces, mixed.mixes, asked.cook.date, record.book.units),
        ),
        costs=paid,
        spending=spent,
        crowd=plates(asked.cook, list(eaten.values()), weights),
        pit_names={letter: pit_title(pit, record.pits) for letter, pit in seen.pits.items()},
        roles=roles(asked.cook),
        printed_at=news.since,
        gone=news.gone,
        trials=tasted,
        text=_texts(asked.cook),
        sources={name: name for name in _GROUPS},
    )


#: Groups of numbers in a Result; each is a key of ``data/groups.toml``.
_GROUPS = (
    "forecast",
    "serving",
    "odds",
    "widening",
    "remedies",
    "troubles",
    "fuel",
    "night",
    "sheet",
    "gear",
    "shelves",
    "mixes",
    "salt",
    "ledger",
    "cost",
    "crowd",
    "nutrition",
    "log",
    "readings",
    "inferred",
    "limits",
    "estimates",
    "trials",
)


def _pieces(
    asked: Asked,
    seen: Foreseen,
    sheet: Sequence[SheetPiece],
    eaten: Mapping[str, NDArray[np.float64]],
) -> tuple[PieceResult, ...]:
    return tuple(
        piece_result(
            planned,
            seen.forecast.pieces[planned.piece.letter],
            eaten[planned.piece.letter],
            on_at=seen.on[planned.piece.letter],
            serve_at=one.serve_at,
            chances=seen.chances.get(planned.piece.letter, ()),
            odds_in_time=odds_in_time([one]),
            ready_at=ready_times([o for o in sheet if o.serve_at == one.serve_at], ODDS),
            is_on=_is_on(asked, planned.piece.letter),
            seen=finish_seen(asked.record, planned.piece, asked.as_of),
            zone=asked.zone,
        )
        for planned, one in zip(seen.planned, sheet, strict=True)
    )


def _frozen(
    asked: Asked, sheet: Sequence[SheetPiece], pieces: Sequence[PieceResult]
) -> list[CookWarning]:
    """Say which piece is wanted on the pit while it is frozen."""
    found: list[CookWarning] = []
    for one, made in zip(sheet, pieces, strict=True):
        wanted = next((chance.on_at for chance in made.chances if chance.chosen), None)
        if not made.is_on and asked.record.state != "finished":
            found += frozen_still(
                one,
                asked.cook,
                as_of=asked.as_of,
                zone=asked.zone,
                wanted=wanted,
                ready=ready_words(made),
                system=asked.record.book.units,
            )
    return found


def _eaten(seen: Foreseen, own: Mapping[str, OwnYield]) -> dict[str, NDArray[np.float64]]:
    """Cooked meat to eat of each piece by possible day [kg]."""
    return {
        planned.piece.letter: edible_kg(
            planned, seen.forecast.pieces[planned.piece.letter], own.get(planned.cut.key)
        )
        for planned in seen.planned
    }


def _is_on(asked: Asked, letter: str) -> bool:
    piece = next(piece for piece in asked.cook.pieces if piece.letter == letter)
    return timing.logged_on(asked.lines, piece) is not None


def _is_hindcast(record: CookRecord, made_at: dt.datetime) -> bool:
    """Made after the outcome was seen: every piece was tender, off or eaten by then."""
    return record.state == "finished" and all(
        any(
            line.at <= made_at
            for line in timing.seen(record, made_at)
            if line.what in {"off", "served", "sliced", "pulled", "rest_start"}
            and timing.concerns(line, piece)
        )
        for piece in record.cook.pieces
    )


def _fingerprint(asked: Asked, own: Mapping[str, OwnYield]) -> str:
    """Name everything that bears on the numbers, so that a re-run knows what changed."""
    basis: dict[str, Any] = {
        "cook": asked.cook.model_dump(mode="json", by_alias=True),
        "book": asked.record.book.model_dump(mode="json", by_alias=True),
        "pits": {k: v.model_dump(mode="json") for k, v in asked.record.pits.items()},
        "own": [asked.record.cuts, asked.record.mixes, asked.record.ingredients],
        "lines": [line.id for line in asked.lines],
        "as_of": asked.as_of.isoformat(),
        "run": [asked.seed, asked.members, asked.knowledge.id, __version__],
    }
    if asked.knowledge.widening != 1.0:
        basis["widening"] = asked.knowledge.widening
    if own:
        basis["yields"] = {cut: str(found) for cut, found in own.items()}
    text = json.dumps(basis, sort_keys=True, default=str)
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()


def _texts(cook: Cook) -> dict[str, str]:
    texts = {
        "outcome": cook.outcome,
        "next_time": cook.next_time,
        "notes": cook.notes,
        "tasting": cook.tasting,
        "carried": None if cook.carried_done else cook.carried,
        "carried_from": None if cook.carried_done else cook.carried_from,
    }
    if cook.number:
        of = f" of {cook.number.out_of:g}" if cook.number.out_of else ""
        texts["number"] = f"{cook.number.name}: {cook.number.value:g}{of}"
    return {key: value for key, value in texts.items() if value}


def _once(warnings: Sequence[CookWarning]) -> tuple[CookWarning, ...]:
    return tuple(dict.fromkeys(warnings))
