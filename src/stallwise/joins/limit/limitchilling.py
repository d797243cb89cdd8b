"""Food on the way down and up again: two-stage cooling, reheating, last days."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from stallwise.joins.limit.limitfacts import CookFacts, seconds
from stallwise.joins.limit.limitmade import Maker
from stallwise.joins.limit.limitpiece import PieceFacts
from stallwise.joins.limit.limitprobes import judged_checks, off_k
from stallwise.joins.limit.limitresult import LimitResult
from stallwise.joins.limit.limitservice import named, rules_of
from stallwise.joins.timing import concerns
from stallwise.models.limitclock import last_day
from stallwise.models.limitcooling import cooling
from stallwise.models.limitcurve import Probe
from stallwise.models.limits import reheat_time, reheated
from stallwise.models.limittime import set_out
from stallwise.models.probecheck import probe_tolerance_k
from stallwise.models.standing import READINGS, Moments, Standing
from stallwise.record.log import LogLine
from stallwise.tables.limits import clock, minimum

__all__ = ["chilling_limits", "cooling_probes"]

_LEFTOVERS = "leftovers"


def chilling_limits(
    facts: CookFacts, pieces: Sequence[PieceFacts], maker: Maker
) -> Iterator[LimitResult]:
    """Limits of what is cooled, kept and heated again.

    Parameters
    ----------
    facts, pieces : CookFacts, sequence of PieceFacts
        The cook and its pieces.
    maker : Maker
        Puts them into results.
    """
    now = Moments(facts.now_s, ended=facts.ended)
    by_the_clock = _starts(facts, "set_out")
    for (letter, food), probe in cooling_probes(facts).items():
        if (letter, food) in by_the_clock and rules_of(facts).jurisdiction:
            continue
        standing = cooling([probe], now)
        needs = tuple("cooled" if need == READINGS else need for need in standing.needs)
        standing = dataclasses.replace(standing, needs=needs)
        yield maker.cook("cooling", standing, "food_code_cooling", piece=letter, facts=[food])
    yield from _reheats(facts, maker)
    if rules_of(facts).food_code and rules_of(facts).jurisdiction:
        yield from _dates(facts, pieces, maker)
        yield from _set_out(facts, maker)


def cooling_probes(facts: CookFacts) -> Mapping[tuple[str, str], Probe]:
    """Take readings of food that cools, as they were written down, by letter and kind of food."""
    return _by_food(facts, "cooling_reading")


def _reheats(facts: CookFacts, maker: Maker) -> Iterator[LimitResult]:
    row = minimum("leftovers")
    begun = _starts(facts)
    read = _by_food(facts, "reheated")
    for key in dict.fromkeys([*begun, *read]):
        letter, food = key
        at = Moments(facts.now_s, on_s=begun.get(key), ended=facts.ended)
        standing = reheated([read[key]] if key in read else [], row.temperature_c, at)
        yield maker.cook(
            "reheat",
            standing,
            row.rule,
            piece=letter,
            limit_c=row.temperature_c,
            facts=[food],
            says=f"Leftovers, reheated: {maker.say.line(row.temperature_c)}.",
        )
        rules = rules_of(facts)
        if rules.food_code and rules.jurisdiction and key in begun:
            spots = [read[key]] if key in read else []
            timed = reheat_time(spots, row.temperature_c, clock("reheat").limit_s, at)
            yield maker.cook("reheat_time", timed, "food_code_reheat", piece=letter, facts=[food])


def _dates(facts: CookFacts, pieces: Sequence[PieceFacts], maker: Maker) -> Iterator[LimitResult]:
    for one in pieces:
        if one.chilled and not one.gone:
            made = maker.say.at(one.at.cut_s or one.at.chilled_s or 0.0).date()
            last = dt.date.fromordinal(last_day(made.toordinal()))
            said = f"made on {made:%A}, day 1; day 7 is {last:%A} {last.day} {last:%B}"
            standing = _kept_until(facts, one, last)
            yield maker.piece("date", one, standing, "food_code_date", facts=[said])


def _kept_until(facts: CookFacts, one: PieceFacts, last: dt.date) -> Standing:
    """Whether it was eaten after its last day; a log that is still says nothing of the fridge."""
    zone = facts.record.zone
    over = dt.datetime.combine(last + dt.timedelta(days=1), dt.time(), zone)
    seen = {"until_s": seconds(facts, over)}
    eaten = [
        line
        for line in facts.lines
        if line.what in {"reheating", "reheated", "served"}
        and concerns(line, one.piece)
        and line.data.get("food") in {None, _LEFTOVERS}
    ]
    if any(line.at >= over for line in eaten):
        return Standing("missed", (), seen)
    if facts.asked < over:
        return Standing("running", (), seen)
    return Standing("unknown", ("cleared",), seen)


def _set_out(facts: CookFacts, maker: Maker) -> Iterator[LimitResult]:
    """Food by the clock: what was set out, and when what was left of it went."""
    nothing: NDArray[np.float64] = np.empty(0)
    read = cooling_probes(facts)
    for key, on_s in _starts(facts, "set_out").items():
        letter, food = key
        ends = [
            seconds(facts, line.at)
            for line in facts.lines
            if line.what in {"thrown_away", "all_gone"}
            and str(line.data.get("food") or food) == food
            and (line.piece or letter) == letter
            and seconds(facts, line.at) >= on_s
        ]
        at = Moments(facts.now_s, on_s, cut_s=min(ends, default=None), ended=facts.ended)
        standing = set_out(read.get(key) or Probe(food, nothing, nothing), at)
        said = [food, "by a procedure that is written down beforehand", named(rules_of(facts))]
        yield maker.cook("set_out", standing, "food_code_time", piece=letter, facts=said)


def _starts(facts: CookFacts, what: str = "reheating") -> dict[tuple[str, str], float]:
    found: dict[tuple[str, str], float] = {}
    for line in facts.lines:
        if line.what == what:
            found.setdefault(_key(line), seconds(facts, line.at))
    return found


def _by_food(facts: CookFacts, what: str) -> dict[tuple[str, str], Probe]:
    points: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for line in facts.lines:
        if line.what == what and line.data.get("temperature_c") is not None:
            value = float(line.data["temperature_c"])
            points.setdefault(_key(line), []).append((seconds(facts, line.at), value))
    return {
        key: Probe(
            key[1],
            np.array([time for time, _ in some]),
            np.array([value for _, value in some]),
            _tolerance_k(facts, key[0]),
        )
        for key, some in points.items()
    }


def _key(line: LogLine) -> tuple[str, str]:
    return line.piece, str(line.data.get("food") or _LEFTOVERS)


def _tolerance_k(facts: CookFacts, letter: str) -> float | None:
    """Say what the checks of the thermometer that was written down from allow."""
    checks = [line for line in judged_checks(facts) if line.piece in {"", letter} and not line.pit]
    return probe_tolerance_k([off_k(facts, line) for line in checks])
