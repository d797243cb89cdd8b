"""Limits of a cook: facts from its log and readings, against the rules that its settings name.

Consumer rules always stand; a food code only with its edition and whose it is, plant tables and
the rule without a source only where the cook asks for them.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from stallwise.ground.errors import CookWarning
from stallwise.ground.formats import format_elevation
from stallwise.joins.limit.limitcards import temperature_rows
from stallwise.joins.limit.limitchilling import chilling_limits
from stallwise.joins.limit.limitestimates import estimates
from stallwise.joins.limit.limitfacts import CookFacts, cook_facts, seconds
from stallwise.joins.limit.limitmade import Maker
from stallwise.joins.limit.limitpiece import PieceFacts, least_row, piece_facts
from stallwise.joins.limit.limitprobes import merged, off_k, probe_checks, true_c
from stallwise.joins.limit.limitresult import EstimateResult, LimitResult, TemperatureRow
from stallwise.joins.limit.limitsaid import beside, lasting, off_text, rule_text
from stallwise.joins.limit.limitservice import rules_of, service_limits
from stallwise.joins.mix.mixing import mix_shelf
from stallwise.joins.timing import concerns
from stallwise.models.limitclimb import climb
from stallwise.models.limits import kept_hot, least_temperature, left_out
from stallwise.models.probecheck import probe_check
from stallwise.models.standing import READINGS, Standing, worst_state
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Cook, MixUse, Piece
from stallwise.tables.limits import Minimum, at_least, clock, figure, minimum
from stallwise.tables.limits import rule as published

__all__ = ["Limits", "cook_limits"]

#: Hotter than anything: asks only for the hottest reading [°C].
_BEYOND_C = 1000.0
#: Kinds of mix that meat lies in or that come back out of it, and words of the log for what is raw.
_TOUCH = frozenset({"brine", "injection"})
_RAW = frozenset({"marinade", "baste", "drippings", "sauce"})


@dataclass(frozen=True)
class Limits:
    """Limits of a cook, estimates beside them, lines of its sheet, and what is to be warned of."""

    title: str
    date: dt.date
    pieces: tuple[Piece, ...]
    limits: tuple[LimitResult, ...]
    estimates: tuple[EstimateResult, ...]
    temperatures: tuple[TemperatureRow, ...]
    warnings: tuple[CookWarning, ...]


def cook_limits(record: CookRecord, cook: Cook, until: dt.datetime) -> Limits:
    """Work out every limit of a cook as of a moment.

    Parameters
    ----------
    record, cook : CookRecord, Cook
        As read, and with changes laid over it.
    until : datetime
        Later lines and readings do not count.
    """
    facts = cook_facts(record, cook, until)
    maker = Maker(facts)
    pieces = [piece_facts(facts, piece) for piece in cook.pieces]
    found: list[LimitResult] = []
    for one in pieces:
        found += _piece_limits(facts, one, maker)
        found += service_limits(facts, one, maker)
    found += chilling_limits(facts, pieces, maker)
    found += _liquids(facts, maker)
    found += _checks(facts, pieces, maker)
    beside_them = estimates(facts, pieces)
    warnings = tuple(
        CookWarning(f"limits.{one.estimate}", one.text, one.piece)
        for one in beside_them
        if one.warns
    )
    # While it can still be acted on, a limit that was missed is said with the forecast too.
    missed = () if facts.ended else tuple(one for one in found if one.state == "missed")
    warnings += tuple(
        CookWarning(f"limits.{one.limit}", f"{one.name}: missed. {one.says} {one.rule}.", one.piece)
        for one in missed
    )
    return Limits(
        cook.title,
        cook.date,
        tuple(cook.pieces),
        tuple(found),
        beside_them,
        temperature_rows(facts, pieces),
        warnings,
    )


def _piece_limits(facts: CookFacts, one: PieceFacts, maker: Maker) -> Iterator[LimitResult]:
    yield _minimum(one, maker)
    if one.worked and "stuffed" in one.worked:
        yield _stuffing(one, maker)
    yield _come_up(one, maker)
    if rules_of(facts).four_hours:
        yield _four_hours(one, maker)
    if one.at.off_s is not None:
        if _is_held(one):
            yield _hot_hold(one, maker)
        if not one.gone:
            yield _left_out(facts, one, maker)


def _minimum(one: PieceFacts, maker: Maker) -> LimitResult:
    """Least temperature inside, by the kind of food; what is not said decides nothing."""
    row = least_row(one)
    if row is None:
        seen = least_temperature(one.core, _BEYOND_C, one.at).seen
        standing = Standing("unknown", ("species",), seen)
        return maker.piece("minimum", one, standing, "consumer", limit_c=None)
    standing = _least(one, row)
    facts = []
    if one.worked is None and one.food == "whole":
        # Ground through it would be asked for more: only what both rows meet is met.
        ground = _least(one, dataclasses.replace(minimum("ground"), rest_s=row.rest_s))
        state = worst_state(standing.state, ground.state)
        both = standing.state == ground.state == "met"
        if both:
            facts.append("the line of ground meat was passed too")
        elif standing.state == "met":
            state = "unknown"
            standing = dataclasses.replace(standing, needs=("worked", *standing.needs))
        standing = dataclasses.replace(standing, state=state)
    return maker.piece(
        "minimum", one, standing, row.rule, limit_c=row.temperature_c, facts=facts, row=row
    )


def _least(one: PieceFacts, row: Minimum) -> Standing:
    # A look by hand that was hot enough says nothing of when the probed spot was.
    cold = [look for look in one.looked if not at_least(look.less_c.min(), row.temperature_c)]
    return least_temperature((*one.core, *cold), row.temperature_c, one.at, rest_s=row.rest_s)


def _stuffing(one: PieceFacts, maker: Maker) -> LimitResult:
    row = minimum("stuffing")
    standing = least_temperature(one.stuffing, row.temperature_c, one.at)
    needs = tuple("stuffing" if need == READINGS else need for need in standing.needs)
    standing = dataclasses.replace(standing, needs=needs)
    return maker.piece("stuffing", one, standing, row.rule, limit_c=row.temperature_c, row=row)


def _come_up(one: PieceFacts, maker: Maker) -> LimitResult:
    """Time on the way up: at the surface of an intact piece, else at the core."""
    rule = clock("come-up")
    if one.worked is None:
        standing = climb(one.core, rule, one.at, start_c=one.start_c)
        standing = Standing("unknown", ("worked", *standing.needs), standing.seen)
        facts = list[str]()
    elif one.worked == {"intact"}:
        standing, facts = _intact(one)
    else:
        standing = climb(one.core, rule, one.at, start_c=one.start_c)
        facts = [f"{' and '.join(sorted(one.worked))}: not intact, so it is counted at the core"]
    reached = standing.seen.get("reached_s")
    if reached is not None and one.at.on_s is not None:
        since_on = lasting(reached - one.at.on_s, up=True)
        worst = standing.seen.get("worst_s")
        # Said once: on the way up since it went on is the same length.
        if worst is None or lasting(worst, up=True) != since_on:
            facts.insert(0, f"{since_on} after it went on")
    return maker.piece("come_up", one, standing, rule.rule, limit_c=rule.to_c, facts=facts)


def _intact(one: PieceFacts) -> tuple[Standing, list[str]]:
    """Surface of an intact piece; without one, the core bounds it: heat comes from outside."""
    rule = clock("come-up")
    if one.surface:
        found = climb(one.surface, rule, one.at, start_c=one.start_c)
        return found, ["intact: counted at the surface"]
    start_known = one.start_c is not None and rule.from_c is not None and one.start_c <= rule.from_c
    from_on = dataclasses.replace(rule, from_c=-1000.0)
    bound = climb(one.core, from_on, one.at, start_c=-1000.0)
    facts = ["intact: counted at the surface, which reached it before the core did"]
    if bound.state in {"met", "running"} and start_known:
        return bound, facts
    needs = () if start_known else ("start_core",)
    extra = tuple(need for need in bound.needs if need not in {READINGS, "start_core"})
    return Standing("unknown", ("surface", *needs, *extra), bound.seen), facts[:1]


def _four_hours(one: PieceFacts, maker: Maker) -> LimitResult:
    rule = clock("four-hours")
    standing = climb(one.core, rule, one.at, start_c=one.start_c)
    air = published("smoker_air")
    facts = [f"beside it: {rule_text(air.says, maker.system).rstrip('.')} ({air.words})"]
    return maker.piece("four_hours", one, standing, rule.rule, limit_c=rule.to_c, facts=facts)


def _is_held(one: PieceFacts) -> bool:
    """Whether it waits for longer than the two hours, or a probe was left in."""
    at = one.at
    if at.off_s is None:
        return False
    last = [probe.time_s[-1] for probe in one.core if len(probe.time_s)]
    return at.until_s - at.off_s > clock("two-hours").limit_s or any(
        when > at.off_s + figure("held").si for when in last
    )


def _hot_hold(one: PieceFacts, maker: Maker) -> LimitResult:
    line = figure("hot-hold-home")
    standing = kept_hot((*one.core, *one.looked), line.si, one.at)
    needs = tuple("hold" if need == READINGS else need for need in standing.needs)
    standing = dataclasses.replace(standing, needs=needs)
    return maker.piece("hot_hold", one, standing, line.rule, limit_c=line.si)


def _left_out(facts: CookFacts, one: PieceFacts, maker: Maker) -> LimitResult:
    # With a single probe, a look by hand is at its spot; of several, nobody knows which.
    spots = (merged(one.core[0], one.looks),) if len(one.core) == 1 else one.core
    standing = left_out(spots, one.at, ambient_c=facts.ambient_c, warmed=_was_warmed(facts, one))
    needs = tuple("hold" if need == READINGS else need for need in standing.needs)
    standing = dataclasses.replace(standing, needs=needs)
    return maker.piece("left_out", one, standing, "two_hours")


def _was_warmed(facts: CookFacts, one: PieceFacts) -> bool:
    """Whether anything that was logged can have warmed it after it came off the heat."""
    since = one.at.off_s if one.at.off_s is not None else 0.0
    return any(
        line.what in {"meat_on", "moved", "reheating", "reheated"}
        and concerns(line, one.piece)
        and seconds(facts, line.at) > since
        for line in facts.lines
    )


def _liquids(facts: CookFacts, maker: Maker) -> Iterator[LimitResult]:
    """Liquids that touched raw meat: as the cook has said, else every brine and injection."""
    touched = [use for use in facts.cook.mixes if _touched_raw(facts, use)]
    settled = [
        line
        for line in facts.lines
        # Stock that came to the boil says nothing of a marinade.
        if (line.what == "boiled" and line.data.get("food") in {None, *_RAW})
        or (line.what == "thrown_away" and line.data.get("food") in _RAW)
    ]
    eaten = any(line.what == "served" for line in facts.lines) or facts.ended
    for number, use in enumerate(touched):
        if number < len(settled):
            at = maker.say.clock(seconds(facts, settled[number].at))
            done = "boiled" if settled[number].what == "boiled" else "thrown away"
            standing, said = Standing("met"), [f"{done} at {at}"]
        else:
            standing = Standing("unknown", ("boiled",)) if eaten else Standing("running")
            said = [f"{use.mix.replace('-', ' ')} touched raw meat"]
        yield maker.cook("raw_liquid", standing, "raw_liquid", facts=said)


def _touched_raw(facts: CookFacts, use: MixUse) -> bool:
    if use.touched_raw is not None:
        return use.touched_raw
    made = mix_shelf(facts.record).mixes.get(use.mix)
    return made is not None and made.kind in _TOUCH


def _checks(facts: CookFacts, pieces: Sequence[PieceFacts], maker: Maker) -> Iterator[LimitResult]:
    """Judge checks of probes in ice and boiling water; ask once where there was none."""
    lines = probe_checks(facts)
    for line in lines:
        bath = str(line.data.get("bath", "ice"))
        read_c = float(line.data["temperature_c"])
        air = figure("probe-air-f").si if line.pit else None
        standing = probe_check(read_c, bath, facts.elevation_m, allowed_k=air)
        system = facts.record.book.units
        said = f"read {beside(read_c, true_c(facts, bath), system)}"
        if standing.state != "unknown":
            said += f", {off_text(off_k(facts, line), system)}"
        where = "in ice water" if bath == "ice" else "at a rolling boil"
        if bath == "boiling" and facts.elevation_m is not None:
            where += f", {format_elevation(facts.elevation_m, system)}"
        rule = "food_code_air_probe" if line.pit else "food_code_probe"
        said = f"pit {line.pit}: {where} {said}" if line.pit else f"{where} {said}"
        yield maker.cook("probe_check", standing, rule, facts=[said], piece=line.piece)
    unread = [name for one in pieces for name in one.impossible]
    if unread:
        names = ", ".join(dict.fromkeys(unread))
        yield maker.cook(
            "probe_check",
            Standing("unknown", ("unit",)),
            "food_code_probe",
            facts=[f"{names}: read what no core on a fire can"],
        )
    probes: Iterable[bool] = (
        probe.tolerance_k is None for one in pieces for probe in (*one.core, *one.surface)
    )
    if not any(not line.pit for line in lines) and any(probes):
        yield maker.cook("probe_check", Standing("unknown", ("probe_check",)), "food_code_probe")
