"""Two Results written by hand, for tests of what is drawn and published: our own invention.

A pork shoulder over night with a probe in it, and two racks of ribs known by feel only. The
curves are plain exponentials with a plateau: they need to look like a cook, not to be one.
"""

from __future__ import annotations

import datetime as dt
import math
from zoneinfo import ZoneInfo

from stallwise.ground.errors import CookWarning
from stallwise.joins.mix.mixresult import LedgerLine, MixLine, MixResult, SaltResult
from stallwise.joins.result import (
    Chance,
    FinishSeen,
    Observation,
    PieceResult,
    Result,
    Spread,
    StageResult,
    Step,
    Trace,
)

ZONE = ZoneInfo("Etc/UTC")


def spread(low: float, middle: float, high: float, reached: float = 1.0) -> Spread:
    """Quantiles of a lopsided spread from its 10, 50 and 90 percent points."""
    below, above = middle - low, high - middle
    return Spread(
        low - below * 0.28,
        low,
        middle - below * 0.53,
        middle,
        middle + above * 0.53,
        high,
        high + above * 0.28,
        reached,
    )


def stage(name: str, on: dt.datetime, quantiles: Spread, *, known: bool = False) -> StageResult:
    """Stage with clock times from its elapsed hours."""
    clock = {key: on + dt.timedelta(hours=getattr(quantiles, key)) for key in ("p10", "p50", "p90")}
    return StageResult(name, quantiles, clock, known)


def core(hours: float, pace: float, final: float, stall: tuple[float, float]) -> Trace:
    """Band that rises, rests on a plateau and rises again; wider the later it is."""
    steps = [i / 6 for i in range(round(hours * 6) + 1)]

    def middle(at: float) -> float:
        first, last = stall
        shift = min(max(at - first, 0.0), last - first) * 0.82
        return final - (final - 4.0) * math.exp(-max(at - shift, 0.0) / pace)

    def spread_at(at: float) -> float:
        return 1.5 + 11 * min(at / hours * 1.6, 1.0) * (1.25 - at / hours)

    mid = tuple(middle(at) for at in steps)
    return Trace(
        tuple(steps),
        tuple(m - spread_at(at) for m, at in zip(mid, steps, strict=True)),
        mid,
        tuple(m + spread_at(at) * 0.8 for m, at in zip(mid, steps, strict=True)),
    )


def flat(hours: float, level: float, *, climb: tuple[float, float] | None = None) -> Trace:
    """Planned pit: a level, and perhaps a climb from an hour on to another level."""
    steps = tuple(i / 4 for i in range(round(hours * 4) + 1))

    def at(hour: float) -> float:
        return level if climb is None or hour < climb[0] else climb[1]

    mid = tuple(at(hour) for hour in steps)
    return Trace(steps, tuple(m - 6 for m in mid), mid, tuple(m + 6 for m in mid))


def read(
    trace: Trace, noise: float, off: float, *, gap: tuple[float, float] | None = None
) -> Trace:
    """Probe's readings along a trace each two minutes, with noise, an offset and a gap."""
    times, values = [], []
    end = trace.elapsed_h[-1]
    for i in range(int(end * 30)):
        at = i / 30
        if gap and gap[0] < at < gap[1]:
            continue
        j = min(int(at * (len(trace.elapsed_h) - 1) / end), len(trace.elapsed_h) - 2)
        share = at * (len(trace.elapsed_h) - 1) / end - j
        value = trace.p50[j] * (1 - share) + trace.p50[j + 1] * share
        # No random numbers: the same picture on each machine.
        wobble = math.sin(at * 7.3) + 0.6 * math.sin(at * 23.1 + 1) + 0.4 * math.sin(at * 61.7)
        times.append(at)
        values.append(value + off * min(at, 1.0) + noise * wobble)
    return Trace(tuple(times), tuple(values), tuple(values), tuple(values))


def seen(zero: dt.datetime, hours: float, what: str, piece: str = "A", **more) -> Observation:
    """Something logged, so many hours after hour zero."""
    facts = {"pit": "", "text": "", "value_c": None, "about": False} | more
    return Observation(
        at=zero + dt.timedelta(hours=hours), elapsed_h=hours, what=what, piece=piece, **facts
    )


#: Kinds of steps whose words begin otherwise.
_KINDS = {
    "light": "fire_lit", "meat": "meat_on", "open": "climb", "first": "check", "off": "rest",
    "pull": "carve", "eat": "serve",
}  # fmt: skip


def planned(
    zero: dt.datetime, hours: float, what: str, sign: str = "", span: float = 0.0, **more
) -> Step:
    """Step of the day sheet, with a span of so many hours about it."""
    at = zero + dt.timedelta(hours=hours)
    half = dt.timedelta(hours=span / 2)
    facts = {"piece": "A", "pit": "", "detail": "", "caution": "", "done_at": None} | more
    done = facts.pop("done", None)
    facts["done_at"] = None if done is None else zero + dt.timedelta(hours=done)
    word = what.split(maxsplit=1)[0].strip(",").lower()
    return Step(
        id=f"{_KINDS.get(word, word)}-{facts['piece']}",
        what=what,
        at=at,
        earliest=at - half,
        latest=at + half,
        until_sign=sign,
        source="common-practice",
        **facts,
    )


SOURCES = {
    "forecast": "choi-okos-1986; own-fit",
    "odds": "own-fit",
    "sheet": "common-practice",
    "salt": "derived",
    "ledger": "derived",
    "mixes": "derived",
    "log": "own-measurement",
    "readings": "own-measurement",
}


def shoulder() -> Result:
    """Shoulder over night: probe in the meat and at the grate, a gap at breakfast."""
    zero = dt.datetime(2027, 9, 24, 22, 40, tzinfo=ZONE)
    trace = core(16.5, 2.9, 98.0, (4.6, 10.0))
    pit = flat(16.5, 107.0, climb=(9.0, 121.0))
    serve = zero.replace(day=25, hour=16, minute=0)
    stages = {
        "bark_set": stage("bark_set", zero, spread(4.4, 5.4, 6.5)),
        "stall_start": stage("stall_start", zero, spread(4.0, 4.9, 5.9, 0.97)),
        "wrapped": stage("wrapped", zero, spread(6.2, 6.9, 7.6)),
        "stall_end": stage("stall_end", zero, spread(8.8, 10.1, 11.7, 0.97)),
        "tender": stage("tender", zero, spread(12.7, 14.2, 15.9)),
        "rested": stage("rested", zero, spread(13.7, 15.2, 16.9)),
    }
    piece = PieceResult(
        piece="A",
        cut="pork-shoulder-bone-in",
        name="bone-in pork shoulder",
        count=1,
        finish="pulls",
        pit="P",
        mass_kg=3.85,
        on_at=zero,
        stages=stages,
        finish_seen=FinishSeen(zero + dt.timedelta(hours=13.95), 13.95, "looks"),
        core_c=trace,
        pit_c=pit,
        loss_fraction=spread(0.33, 0.38, 0.43),
        edible_kg=spread(1.9, 2.1, 2.3),
        rest_h=1.0,
        carve_h=0.25,
        serve_at=serve,
        odds_in_time=0.91,
        chances=(
            Chance("coin flip", 0.5, zero + dt.timedelta(hours=1.9), None, 0.25, 1.75, False),
            Chance("usual", 0.8, zero + dt.timedelta(hours=0.6), None, 1.25, 3.0, False),
            Chance("guests coming", 0.9, zero, None, 2.0, 3.75, True),
            Chance("cannot be late", 0.95, zero - dt.timedelta(hours=0.7), None, 2.75, 4.5, False),
        ),
        wrap="paper",
        wrap_window_h=(6.2, 7.6),
    )
    sprays = [seen(zero, at, "spritz") for at in (3.0, 3.75, 4.5, 5.25, 6.0)]
    events = (
        seen(zero, -1.1, "fire_lit", "", pit="P"),
        seen(zero, 0.0, "meat_on"),
        *sprays,
        seen(zero, 6.8, "wrapped", text="paper"),
        seen(zero, 9.1, "pit_set", "", pit="P", value_c=121.0),
        seen(zero, 12.5, "feel_check", verdict="not yet", text="probe"),
        seen(zero, 13.4, "feel_check", verdict="nearly", text="probe"),
        seen(zero, 13.95, "feel_check", verdict="tender", text="probe"),
        seen(zero, 14.0, "core_reading", value_c=95.5),
        seen(zero, 14.0, "off"),
        seen(zero, 16.9, "pulled"),
        seen(zero, 17.3, "served"),
    )
    steps = (
        planned(
            zero,
            -1.25,
            "light the fire",
            "smoke runs thin and blue",
            0.4,
            piece="",
            pit="P",
            caution="Keep the fire well clear of walls and roofs: charcoal makes carbon monoxide. "
            "Your local fire service's rules come first.",
            done=-1.1,
        ),
        planned(zero, -0.5, "rub on", "the rub looks wet", 0.3, done=-0.45),
        planned(zero, 0.0, "meat on", "the pit has held its number for a while", done=0.0),
        planned(zero, 3.0, "spritz, and each 45 min", "the surface looks dry", 0.5, done=3.0),
        planned(
            zero, 6.9, "wrap in paper", "the colour is right and it does not rub off", 1.4, done=6.8
        ),
        planned(zero, 9.0, "open the pit up to 250 °F", "", 0.5, piece="", pit="P", done=9.1),
        planned(zero, 12.7, "first feel check", "a probe slides in", 0.5, done=12.5),
        planned(
            zero,
            14.2,
            "off, to rest",
            "tender at three spots",
            3.2,
            done=14.0,
            caution="Hot fat and steam run out of the paper: open it away from you.",
        ),
        planned(zero, 17.0, "pull", "", 0.2, done=16.9),
        planned(zero, 17.33, "eat", "", done=17.3),
    )
    rub = MixResult(
        "plain-rub",
        "plain rub",
        "rub",
        ("A",),
        "3.85 kg of meat",
        (
            MixLine(
                "kosher-salt", "kosher salt, flaked", 46.2, "1/4 cup + 1 tbsp", 0.03, "derived"
            ),
            MixLine("black-pepper", "black pepper, coarse", 27.7, "1/4 cup", -0.04, "derived"),
            MixLine("paprika", "paprika", 13.9, "2 tbsp", 0.01, "derived"),
            MixLine("garlic-powder", "garlic powder", 4.6, "1 1/2 tsp", 0.02, "derived"),
        ),
        92.4,
        46.2,
        ("About nine tenths of it stays on the meat.",),
    )
    spritz = MixResult(
        "cider-spritz",
        "cider spritz",
        "sauce",
        ("A",),
        "1 batch",
        (
            MixLine("cider-vinegar", "cider vinegar", 240.0, "1 cup", 0.0, "derived"),
            MixLine("water", "water", 236.6, "1 cup", 0.0, "derived"),
        ),
        476.6,
        0.0,
        (),
    )
    return Result(
        cook="2027-09-25-harvest-supper",
        title="Harvest supper shoulder",
        date=dt.date(2027, 9, 25),
        state="finished",
        sample=True,
        units="us",
        time_zone="Etc/UTC",
        made_at=dt.datetime(2027, 9, 26, 9, 0, tzinfo=dt.UTC),
        as_of=zero,
        hour_zero=zero,
        seed=1,
        members=200,
        model_version="1",
        knowledge="k-3f2a",
        inputs="i-9b1c",
        hindcast=False,
        warnings=(
            CookWarning(
                "mass", "Heavier than the shoulders this was fitted to: the window is wider.", "A"
            ),
        ),
        pieces=(piece,),
        steps=steps,
        odds_words="guests coming",
        odds=0.91,
        mixes=(rub, spritz),
        salt=(SaltResult("A", 41.6, 2.1, 19.8, {"plain rub": 41.6}),),
        ledger=(LedgerLine("cider spritz", 476.6, {"spritz": 210.0}, 266.6, ""),),
        limits=(),
        events=events,
        readings={
            "A": read(trace, 0.5, 1.6, gap=(8.6, 9.6)),
            "P": read(pit, 3.4, -2.0),
        },
        sources=SOURCES,
    )


def _rack(letter: str, zero: dt.datetime, late: float, wrap: str) -> PieceResult:
    stages = {
        "bark_set": stage("bark_set", zero, spread(1.9, 2.4, 3.0)),
        "wrapped": stage("wrapped", zero, spread(2.75, 3.1, 3.5)),
        "tender": stage("tender", zero, spread(4.4 + late, 5.1 + late, 5.9 + late)),
        "rested": stage("rested", zero, spread(4.6 + late, 5.3 + late, 6.1 + late)),
    }
    return PieceResult(
        piece=letter,
        cut="pork-spare-ribs-trimmed",
        name="trimmed spare ribs",
        count=1,
        finish="bites clean",
        pit="P",
        mass_kg=1.12,
        on_at=zero,
        stages=stages,
        finish_seen=FinishSeen(
            zero + dt.timedelta(hours=5.0 + bool(late) / 2), 5.0 + bool(late) / 2, "looks"
        ),
        core_c=core(7.0, 1.35, 97.0, (1.9, 3.1)),
        pit_c=flat(7.0, 121.0),
        loss_fraction=spread(0.24, 0.28, 0.33),
        edible_kg=spread(0.38, 0.43, 0.48),
        rest_h=0.25,
        carve_h=0.1,
        serve_at=zero + dt.timedelta(hours=6.5),
        odds_in_time=0.93 if not late else 0.82,
        chances=(Chance("guests coming", 0.9, zero, None, 0.5, 1.5, True),),
        wrap=wrap,
        wrap_window_h=(2.75, 3.5),
    )


def ribs() -> Result:
    """Two racks and no probe: feel checks, turns, a glaze on one of them."""
    zero = dt.datetime(2027, 6, 12, 9, 30, tzinfo=ZONE)
    events = (
        seen(zero, 0.0, "meat_on", "A"),
        seen(zero, 0.0, "meat_on", "B"),
        seen(zero, 1.5, "pit_reading", "", pit="P", value_c=118.0),
        seen(zero, 3.0, "wrapped", "A", text="foil"),
        seen(zero, 3.1, "wrapped", "B", text="foil", about=True),
        seen(zero, 3.8, "pit_reading", "", pit="P", value_c=124.0),
        seen(zero, 4.5, "feel_check", "A", verdict="not yet", text="bend"),
        seen(zero, 5.0, "feel_check", "A", verdict="tender", text="bend"),
        seen(zero, 4.6, "feel_check", "B", verdict="not yet", text="bend"),
        seen(zero, 5.1, "feel_check", "B", verdict="nearly", text="bend"),
        seen(zero, 5.5, "feel_check", "B", verdict="tender", text="bend"),
        seen(zero, 5.1, "glazed", "A"),
        seen(zero, 5.4, "off", "A"),
        seen(zero, 5.7, "off", "B"),
        seen(zero, 6.5, "served", ""),
    )
    steps = (
        planned(zero, 0.0, "meat on", "the smoke is clean", piece="", done=0.0),
        planned(zero, 3.1, "wrap in foil", "the colour is right", 0.75, done=3.0),
        planned(zero, 3.1, "wrap in foil", "the colour is right", 0.75, piece="B", done=3.1),
        planned(zero, 5.1, "glaze", "tacky", 0.5, done=5.1),
        planned(zero, 6.5, "eat", "", piece="", done=6.5),
    )
    return Result(
        cook="2027-06-12-two-racks",
        title="Two racks, one glazed",
        date=dt.date(2027, 6, 12),
        state="finished",
        sample=True,
        units="metric",
        time_zone="Etc/UTC",
        made_at=dt.datetime(2027, 6, 13, 9, 0, tzinfo=dt.UTC),
        as_of=zero,
        hour_zero=zero,
        seed=1,
        members=200,
        model_version="1",
        knowledge="k-3f2a",
        inputs="i-77aa",
        hindcast=True,
        warnings=(),
        pieces=(_rack("A", zero, 0.0, "foil"), _rack("B", zero, 0.3, "foil")),
        steps=steps,
        odds_words="guests coming",
        odds=0.80,
        mixes=(),
        salt=(),
        ledger=(),
        limits=(),
        events=events,
        sources=SOURCES,
    )
