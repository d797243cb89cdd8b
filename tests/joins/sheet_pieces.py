"""Pieces of made-up cooks with drawn tender times, as a forecast would give them."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
from paper_contexts import ZONE, at

from stallwise.joins.chances import SheetPiece, odds_in_time
from stallwise.joins.fire.pitplan import PitState, Where
from stallwise.joins.result import PieceResult, Result, Spread, Trace
from stallwise.joins.sheet.daysheet import day_sheet
from stallwise.record.schema import Cook

HOUR_S = 3600.0
RIBS = Cook.model_validate(
    {
        "schema": 1,
        "title": "Two racks (made up)",
        "date": dt.date(2027, 9, 25),
        "serve": "16:00",
        "pits": [{"letter": "P", "pit": "offset", "start": "250 F", "climb_to": "275 F"}],
        "pieces": [
            {"letter": "A", "cut": "pork-spare-ribs-trimmed", "wrap": "foil", "place": "hot end"},
            {"letter": "B", "cut": "pork-spare-ribs-trimmed", "wrap": "foil"},
        ],
        "mixes": [
            {"mix": "plain-rub"},
            {"mix": "low-salt-rub", "on": ["B"]},
            {"mix": "stock-glaze"},
        ],
    }
)
SHOULDER = Cook.model_validate(
    {
        "schema": 1,
        "title": "Shoulder over night (made up)",
        "date": dt.date(2027, 9, 25),
        "serve": "13:00",
        "pits": [
            {"letter": "P", "pit": "offset", "start": "225 F"},
            {"letter": "Q", "pit": "oven", "start": "275 F"},
        ],
        "pieces": [
            {
                "letter": "A",
                "cut": "pork-shoulder-bone-in",
                "finish": "pull",
                "moves": [{"to": "Q", "at": "04:30"}],
            }
        ],
        "mixes": [{"mix": "plain-rub"}],
    }
)
RIB_PITS = {
    "P": PitState(
        "P", "offset", "offset", Where("grate"), ((0.0, 121.1), (3600.0, 121.1), (7200.0, 135.0))
    )
}
SHOULDER_PITS = {
    "P": PitState("P", "offset", "offset", Where("grate"), ((0.0, 107.2),)),
    "Q": PitState("Q", "oven", "oven", Where("oven"), ((0.0, 135.0),)),
}


def drawn(median_h: float, log_sd: float, seed: int, members: int = 200) -> np.ndarray:
    """Times round a median, as possible days have them [s]."""
    normals = np.random.default_rng(seed).standard_normal(members)
    return median_h * HOUR_S * np.exp(log_sd * normals)


def rib(letter: str, on: str = "2027-09-25 10:00", serve: str | None = "2027-09-25 16:00", **more):
    """A rack of ribs in foil."""
    index = 0 if letter == "A" else 1
    values = {
        "piece": RIBS.pieces[index],
        "name": "Trimmed spare ribs",
        "finish": "bite clean",
        "sign": "bends to a right angle and cracks a third along",
        "on_at": at(on).astimezone(ZONE),
        "tender_s": drawn(4.3, 0.12, 3 + index),
        "bark_s": drawn(2.2, 0.15, 5),
        "wrapped_s": np.full(200, 3.1 * HOUR_S),
        "weights": np.ones(200),
        "rest_s": 600.0,
        "carve_s": 300.0,
        "serve_at": at(serve) if serve else None,
        "mass_kg": 1.3 + 0.2 * index,
        "wrap_kind": "foil",
        "wrap_window_s": (2.75 * HOUR_S, 3.5 * HOUR_S),
        "unwrap_s": 4.0 * HOUR_S,
        "spritz_s": (2.2 * HOUR_S, 2400.0),
    }
    return SheetPiece(**(values | more))


def shoulder(**more):
    """A shoulder over night, moved to the oven."""
    values = {
        "piece": SHOULDER.pieces[0],
        "name": "Pork shoulder, bone-in",
        "finish": "pull",
        "sign": "a probe goes in like soft butter",
        "on_at": at("2027-09-24 21:30"),
        "tender_s": drawn(12.0, 0.15, 9),
        "bark_s": drawn(5.0, 0.2, 10),
        "wrapped_s": np.full(200, np.inf),
        "weights": np.ones(200),
        "rest_s": 2700.0,
        "carve_s": 420.0,
        "serve_at": at("2027-09-25 13:00"),
        "mass_kg": 3.6,
        "spritz_s": None,
    }
    return SheetPiece(**(values | more))


def later(piece: SheetPiece, by: dt.timedelta) -> SheetPiece:
    """Serve the same piece later; instants, not wall clocks, are moved."""
    moved = piece.serve_at.astimezone(dt.UTC) + by
    return replace(piece, serve_at=moved.astimezone(ZONE))


def result_of(
    plan: Cook, pieces: list[SheetPiece], pits, *, lines=(), units="us", **more
) -> Result:
    """As much of a Result as sheet and calendar read."""
    steps = day_sheet(
        plan, pieces, pits=pits, hour_zero=min(p.on_at for p in pieces), probability=0.9,
        zone=ZONE, lines=lines, units=units,
    ).steps  # fmt: skip
    nothing = Spread(*[None] * 7)
    no_trace = Trace((), (), (), ())
    values = {
        "cook": "2027-09-25-made-up", "title": plan.title, "date": plan.date, "state": "planned",
        "sample": False, "units": units, "time_zone": str(ZONE),
        "made_at": at("2027-09-20 20:00"), "as_of": at("2027-09-20 20:00"),
        "hour_zero": min(p.on_at for p in pieces), "seed": 1, "members": 200,
        "model_version": "0", "knowledge": "", "inputs": "", "hindcast": False, "warnings": (),
        "pieces": tuple(
            PieceResult(
                piece=p.letter, cut=p.piece.cut, name=p.name, count=p.piece.count,
                finish=p.finish, pit=p.piece.pit or "", mass_kg=p.mass_kg, on_at=p.on_at,
                stages={}, core_c=no_trace, pit_c=no_trace, loss_fraction=nothing,
                edible_kg=nothing, rest_h=p.rest_s / HOUR_S, carve_h=p.carve_s / HOUR_S,
                serve_at=p.serve_at, odds_in_time=None, chances=(), wrap=p.wrap_kind,
                wrap_window_h=None,
            )
            for p in pieces
        ),
        "steps": steps, "odds_words": "guests coming", "odds": odds_in_time(pieces), "mixes": (),
        "salt": (), "ledger": (), "limits": (), "events": (),
    } | more  # fmt: skip
    return Result(**values)
