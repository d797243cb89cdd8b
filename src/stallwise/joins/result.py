"""The one Result: every value a cook sees, unrounded, each group with its source key.

Surfaces format these fields; none of them computes. Times are instants (aware
datetimes in the cook's zone); a quantile that is not reached within the horizon is
``None`` beside the share of possible days that reach it.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from stallwise.ground.errors import CookWarning
from stallwise.joins.fire.fuelresult import FuelResult
from stallwise.joins.learn.inferredresult import Inferred
from stallwise.joins.learn.keptresult import CookTally, KeptWindow
from stallwise.joins.limit.limitresult import Cards, EstimateResult, LimitResult
from stallwise.joins.mix.mixresult import (
    CostResult,
    CrowdResult,
    LedgerLine,
    MixResult,
    NutritionResult,
    SaltResult,
    SpendingResult,
)
from stallwise.joins.sheet.dayresult import GearLine, GoneStep, PitLoad, ShelfLoad, Step
from stallwise.joins.sheet.nightresult import NightCard
from stallwise.joins.spread import PROBABILITIES, Spread, StageResult, Trace
from stallwise.joins.taste.trialresult import TrialResult
from stallwise.joins.ways.remedy import Remedy, Trouble
from stallwise.joins.weighed import Weighed

__all__ = [
    "PROBABILITIES",
    "Chance",
    "FinishSeen",
    "GearLine",
    "Inferred",
    "KeptWindow",
    "Lever",
    "Observation",
    "PieceResult",
    "PitLoad",
    "Result",
    "RuleResult",
    "ServingResult",
    "ShelfLoad",
    "Spread",
    "StageResult",
    "Step",
    "Trace",
    "to_plain",
]


@dataclass(frozen=True)
class Chance:
    """Odds in words with their price: meat on by `on_at`, and the hold that costs.

    `colder_share` is the share of days on which that hold is too long to stay hot: below
    ``hold.line`` before it is cut; None for what is not served that hot.
    """

    words: str
    probability: float
    on_at: dt.datetime | None
    light_at: dt.datetime | None
    hold_p50_h: float | None
    hold_p90_h: float | None
    chosen: bool
    colder_share: float | None = None


@dataclass(frozen=True)
class ServingResult:
    """A piece from its finish to the knife, over the days on which it is finished.

    Attributes
    ----------
    place : str
        Where it rests and is held: ``counter``, ``box`` or ``oven``.
    place_c : float
        Temperature of the room or the oven [°C].
    wait_h : Spread
        From its finish to the knife: rest and hold [h].
    core_c, peak_c : Spread
        Core when it is cut, and the highest until then or later [°C].
    carry_over_k : Spread
        Rise of the core after it came off [K].
    line_c : float
        Temperature that hot food is kept at in consumer guidance [°C]: ``hold.line``.
    below_line_h : Spread
        How long after its finish the core falls below that line for good [h]; None where that is
        later than was looked at.
    colder_share : float
        Share of days on which it is below the line before it is cut.
    past_it : Spread or None
        Tenderness when cut over that of the wanted finish after its rest alone, 1 the same; None
        for a finish by temperature.
    past_words : str
        The same in words, empty for a finish by temperature.
    serve_core_c : float or None
        Core at which it is to be cut [°C], of the cook's or the cut's.
    serve_core_h : Spread or None
        How long after its finish it has come down to that [h].
    serve_core_clock : mapping or None
        The same on the clock, p10, p50 and p90.
    """

    place: str
    place_c: float
    wait_h: Spread
    core_c: Spread
    peak_c: Spread
    carry_over_k: Spread
    line_c: float
    below_line_h: Spread
    colder_share: float
    past_it: Spread | None
    past_words: str
    serve_core_c: float | None
    serve_core_h: Spread | None
    serve_core_clock: Mapping[str, dt.datetime | None] | None


@dataclass(frozen=True)
class RuleResult:
    """What hours per pound would say, from meat on to the finish [h]; no part of the forecast."""

    low_h: float
    middle_h: float
    high_h: float
    #: Whether the rule goes by the pound; ribs go by the rack.
    by_mass: bool
    #: Row of ``data/hours_per_pound.csv``, for `explain`, and its grade.
    source: str
    grade: str


@dataclass(frozen=True)
class FinishSeen:
    """When a piece was first seen to have its finish, by feel or by its core.

    Attributes
    ----------
    at, elapsed_h : datetime, float
        When, and how long after its own meat on [h].
    how : {"looks", "core"}
        A feel check said so, or a core temperature reached it.
    core_c : float or None
        The core temperature that is its finish [°C]; None where it is judged by feel.
    """

    at: dt.datetime
    elapsed_h: float
    how: str
    core_c: float | None = None


@dataclass(frozen=True)
class PieceResult:
    """The forecast of one piece; `core_c` is what a probe meant for the core reads."""

    piece: str
    cut: str
    name: str
    count: int
    finish: str
    pit: str
    mass_kg: float
    on_at: dt.datetime
    stages: Mapping[str, StageResult]
    core_c: Trace
    pit_c: Trace
    loss_fraction: Spread
    edible_kg: Spread
    rest_h: float
    carve_h: float
    serve_at: dt.datetime | None
    odds_in_time: float | None
    chances: tuple[Chance, ...]
    wrap: str
    wrap_window_h: tuple[float, float] | None
    #: From tender, rested and carved to serving [h]; negative where it comes late.
    hold_h: Spread | None = None
    #: When it and all that is served with it can be eaten, by the odds in words.
    ready_at: Mapping[str, dt.datetime | None] = field(default_factory=dict)
    #: It is on the pit as logged: starts are no longer to choose.
    is_on: bool = False
    #: From the finish to the knife; None where it is never finished.
    serving: ServingResult | None = None
    #: None where cooks have no such rule for it.
    rule: RuleResult | None = None
    #: None where nobody looked or read it, or it was taken off before.
    finish_seen: FinishSeen | None = None
    #: What the cook's scales said; only where what happened is laid beside the forecast.
    weighed: Weighed | None = None


@dataclass(frozen=True)
class Lever:
    """One thing changed about one piece, and how much sooner or later it is tender for it.

    Attributes
    ----------
    piece : str
        Letter of the piece.
    key : str
        Row of ``data/levers.csv``: ``pit.hotter``.
    words : str
        What is changed, in a cook's words and units.
    changes : mapping of parameter to text
        The same as settings; empty where no setting says it, such as "from now on".
    shift_h : Spread
        How much later it is tender [h], negative sooner; meat goes on at the same time.
        None at a quantile that is later than was tried.
    odds_in_time : float or None
        Chance that it is tender, rested and carved by serving, changed so.
    odds_change : float or None
        The same, less that of the plan.
    hold_change_h : Spread or None
        How much longer it waits for serving [h].
    source : str
        Key of the row that says how far it is pulled.
    """

    piece: str
    key: str
    words: str
    changes: Mapping[str, str]
    shift_h: Spread
    odds_in_time: float | None
    odds_change: float | None
    hold_change_h: Spread | None
    source: str


@dataclass(frozen=True)
class Observation:
    """What was logged or read, as an event for pictures and pages.

    `verdict` is what a look found: of a feel check, or how dark the bark was.
    """

    at: dt.datetime
    elapsed_h: float
    what: str
    piece: str
    pit: str
    text: str
    value_c: float | None
    about: bool
    verdict: str = ""


@dataclass(frozen=True)
class Result:
    """Answer to a cook at one moment."""

    cook: str
    title: str
    date: dt.date
    state: str
    sample: bool
    units: str
    time_zone: str
    made_at: dt.datetime
    as_of: dt.datetime
    hour_zero: dt.datetime
    seed: int
    members: int
    model_version: str
    knowledge: str
    inputs: str
    hindcast: bool
    warnings: tuple[CookWarning, ...]
    pieces: tuple[PieceResult, ...]
    steps: tuple[Step, ...]
    odds_words: str
    odds: float | None
    mixes: tuple[MixResult, ...]
    salt: tuple[SaltResult, ...]
    ledger: tuple[LedgerLine, ...]
    limits: tuple[LimitResult, ...]
    events: tuple[Observation, ...]
    readings: Mapping[str, Trace] = field(default_factory=dict)
    inferred: tuple[Inferred, ...] = ()
    gear: tuple[GearLine, ...] = ()
    loads: tuple[PitLoad, ...] = ()
    #: What can still be done now; empty unless it is under way and its odds are less than asked.
    remedies: tuple[Remedy, ...] = ()
    #: Factor by which windows are drawn out, learned from so many cooks; 1 for none.
    widening: float = 1.0
    widening_cooks: int = 0
    #: What went wrong or comes too early, each with its ways on.
    troubles: tuple[Trouble, ...] = ()
    #: Every fire, by pit.
    fuel: tuple[FuelResult, ...] = ()
    #: Where something cooks while people sleep.
    night: NightCard | None = None
    estimates: tuple[EstimateResult, ...] = ()
    #: To print; no page shows them.
    cards: Cards = field(default_factory=Cards)
    costs: tuple[CostResult, ...] = ()
    spending: SpendingResult | None = None
    crowd: CrowdResult | None = None
    #: Folded away and off on screens; what a cook asks for.
    nutrition: tuple[NutritionResult, ...] = ()
    #: The sheet that steps are marked against, None where none was or it says the same; what was
    #: only on that one.
    printed_at: dt.datetime | None = None
    gone: tuple[GoneStep, ...] = ()
    #: Side-by-sides that it takes part in, over all their cooks.
    trials: tuple[TrialResult, ...] = ()
    #: How the windows were told from time to time, and all that a tally takes of the cook; only where
    #: what happened is laid beside the forecast.
    kept: tuple[KeptWindow, ...] = ()
    tallied: CookTally | None = None
    #: What pits are called, by letter, and what the people are, in order; empty where none are counted.
    pit_names: Mapping[str, str] = field(default_factory=dict)
    roles: tuple[str, ...] = ()
    text: Mapping[str, str] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)


def to_plain(value: Any) -> Any:
    """Turn a Result (or a part) into what JSON can hold; times as RFC 3339."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [to_plain(item) for item in value]
    if isinstance(value, dt.datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, dt.date):
        return value.isoformat()
    return value
