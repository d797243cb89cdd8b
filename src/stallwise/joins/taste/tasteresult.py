"""From a trial as written down to its result: plain data, nothing said before the key is open."""

from __future__ import annotations

import dataclasses
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError
from stallwise.joins.taste.tastemethods import read_answers
from stallwise.joins.taste.tasteplan import laid, mixed
from stallwise.joins.taste.tasteread import SERVED_AT, Gathered, gather
from stallwise.joins.taste.trialresult import AlsoResult, CountResult, Reading, TrialResult
from stallwise.models.tasting import binomial, scores
from stallwise.models.tasting.criterion import fisher
from stallwise.models.tasting.layouts import Mixed
from stallwise.record.trial import Count, Trial, TrialRecord
from stallwise.tables import tastings
from stallwise.tables.tastings import rule

__all__ = ["trial_result", "trial_results"]

_BLIND = {
    "someone else": "blind",
    "the cook, tasting last": "last",
    "the cook": "not blind",
    None: "not said",
}


def trial_results(
    records: Iterable[TrialRecord],
) -> tuple[tuple[TrialResult, ...], tuple[CookWarning, ...]]:
    """Read several trials; one that cannot be read is told, and keeps no cook from its answer."""
    found, told = [], []
    for one in records:
        try:
            found.append(trial_result(one))
        except InputError as error:
            said = f"Trial {one.name} cannot be read and is left out: {error}"
            told.append(CookWarning(f"trial-{one.name}", said))
    return tuple(found), tuple(told)


def trial_result(record: TrialRecord) -> TrialResult:
    """Read one trial.

    While a planned trial is open nothing is said of its arms, so that whoever looks stays blind.

    Parameters
    ----------
    record : TrialRecord
    """
    trial = record.trial
    found = gather(record)
    open_key = bool(trial.closed) or not trial.planned
    reading = read_answers(record, found) if open_key else Reading("key closed", 0, "taster")
    method = tastings.method(trial.method)
    own = [one.model_dump() for one in trial.own]
    place = _place(trial, found)
    result = TrialResult(
        name=record.name,
        question=trial.question,
        asks=trial.asks,
        factor=trial.factor,
        attribute=tastings.attribute(trial.attribute, own).name,
        arms=tuple(trial.arms),
        method=method.key,
        reads=method.reads,
        planned=trial.planned,
        state=record.state,
        locked_at=trial.locked.at if trial.locked else None,
        closed_at=trial.closed.at if trial.closed else None,
        cooks=trial.all_cooks,
        tasters=_tasters(found),
        served=found.served,
        answered=found.answered,
        units=reading.units,
        unit=reading.unit,
        verdict=reading.verdict,
        leader=reading.leader,
        figures=reading.figures | _next(reading),
        dots=reading.dots,
        blind=_BLIND[trial.plated_by],
        look_alike=trial.look_alike,
        layout=trial.layout or "",
        linear=place.linear if place else None,
        curved=place.curved if place else None,
        rack=place.rack if place else None,
        bones_apart=place.bones_apart if place else None,
        racks_per_arm=_racks_per_arm(trial, place.rack if place else 0.0),
        served_c=_served_c(found) if open_key else {},
        core_c=_core_c(trial),
        counts=tuple(_counts(trial.counts)),
        also=tuple(_also(trial, found)) if open_key else (),
        doubts=tuple(found.doubts),
        changed={key: (_said(was), _said(now)) for key, (was, now) in record.changed.items()},
        words=tuple(found.words) if open_key else (),
        private=trial.private,
    )
    return dataclasses.replace(result, figures=_finite(result.figures))


def _place(trial: Trial, found: Gathered) -> Mixed | None:
    """Tell how far place is mixed up; a layout that cannot be is said, and the answers count all the same."""
    if len(trial.arms) < 2:
        return None
    try:
        return mixed(trial)
    except InputError as error:
        found.doubts.append(f"The layout cannot be as it is written: {error}")
        return None


def _finite(figures: Mapping[str, float]) -> dict[str, float]:
    """Without what has no end: JSON knows no infinity, and words say it by leaving it out."""
    return {key: float(value) for key, value in figures.items() if math.isfinite(value)}


def _next(reading: Reading) -> dict[str, float]:
    """Tell what one more rack would add: so many pairs of bones, eaten by as many tasters."""
    more = rule("next.pairs")
    count = int(reading.units + more)
    if "seen" in reading.figures:
        spread = reading.figures["likely_spread"]
        seen = scores.smallest_difference(count, spread, alpha=rule("alpha"), wanted=rule("wanted"))
        return {"next_units": float(count), "next_seen": seen}
    if "trials" in reading.figures and "dprime" in reading.figures:
        sides = 1 if reading.figures.get("one_sided", 1.0) else 2
        share = binomial.smallest_share(
            count, reading.figures["guess"], alpha=rule("alpha"), wanted=rule("wanted"), sides=sides
        )
        return {} if share is None else {"next_units": float(count), "next_share": share}
    return {}


def _tasters(found: Gathered) -> int:
    return len({one.taster for one in found.choices} | {one.taster for one in found.said})


def _racks_per_arm(trial: Trial, rack_r2: float) -> int | None:
    """How many pieces each arm had, where a piece had one arm only: that many times it was tried."""
    if rack_r2 < 1.0 - 1e-9:
        return None
    racks = laid(trial)
    return min(sum(rack[0] == arm for rack in racks) for arm in range(len(trial.arms)))


def _served_c(found: Gathered) -> dict[str, float]:
    by_arm: dict[str, list[float]] = defaultdict(list)
    for one in found.of(SERVED_AT):
        by_arm[one.arm].append(one.value)
    return {arm: math.fsum(of) / len(of) for arm, of in by_arm.items()}


def _core_c(trial: Trial) -> dict[str, float]:
    if len(trial.core_off) != len(trial.arms):
        return {}
    return {
        arm: units.parse("temperature", text)
        for arm, text in zip(trial.arms, trial.core_off, strict=True)
    }


def _also(trial: Trial, found: Gathered) -> Iterable[AlsoResult]:
    """Gather what else was asked, by arm."""
    own = [one.model_dump() for one in trial.own]
    for name in trial.also:
        thing = tastings.attribute(name, own)
        by = {
            arm: tuple(one.value for one in found.of(thing.key) if one.arm == arm)
            for arm in trial.arms
        }
        if any(by.values()):
            yield AlsoResult(thing.name, thing.kind, by)


def _counts(counts: Iterable[Count]) -> Iterable[CountResult]:
    """Compare counts of the eye by what and side; two arms exactly."""
    by: dict[tuple[str, str], list[Count]] = defaultdict(list)
    for one in counts:
        by[one.what, one.side].append(one)
    for (what, side), of in by.items():
        arms = tuple((one.arm, one.count, one.out_of) for one in of)
        p_value = None
        if len(of) == 2 and all(one.count <= one.out_of for one in of):
            (_, x, n), (_, y, m) = arms
            one_way = min(fisher(x, n, y, m), fisher(y, m, x, n))
            p_value = min(1.0, 2.0 * one_way)
        yield CountResult(
            what, side, arms, p_value, p_value is not None and p_value <= rule("alpha")
        )


def _said(value: object) -> str:
    if isinstance(value, list):
        return ", ".join(map(_said, value)) or "nothing"
    if isinstance(value, dict):
        return " ".join(map(str, value.values()))
    return "nothing" if value is None else str(value)
