"""Steps in the kitchen: salt hours before, stock and glaze on the stove in time for what takes them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from stallwise.ground.formats import format_depth, format_duration, format_volume
from stallwise.joins.mix.mixresult import MakingResult, MixResult
from stallwise.joins.result import Step
from stallwise.joins.sheet.stepdraft import after, make_step, utc
from stallwise.tables.kitchen import kitchen_value

__all__ = ["stove_steps"]

#: Steps at which a mix of a kind is needed.
_NEEDED_AT = {
    "wrap liquid": ("wrap",),
    "butter": ("wrap",),
    "spritz": ("spritz",),
    "glaze": ("glaze",),
    "sauce": ("carve", "serve"),
    "table sauce": ("serve",),
    "injection": ("rub", "meat_on"),
    "brine": ("rub", "meat_on"),
}


def stove_steps(mixes: Sequence[MixResult], steps: Sequence[Step], units: str) -> Iterator[Step]:
    """Lay out what is simmered or reduced, each before the first step that needs it.

    Parameters
    ----------
    mixes : sequence of MixResult
        Of the cook, as scaled.
    steps : sequence of Step
        The other steps of the day.
    units : {"us", "metric"}
        For depths.
    """
    yield from _soaked(mixes, steps)
    needed: dict[str, dt.datetime] = {}
    # What is made of other mixes comes first: its start is the deadline of what goes into it.
    for mix in sorted(mixes, key=lambda one: -len(one.parts)):
        if mix.making is None:
            continue
        into = [one for one in mixes if mix.mix in one.parts]
        deadlines = [at for one in into if (at := _needed_at(one, steps, needed)) is not None]
        at = min(deadlines) if deadlines else _needed_at(mix, steps, needed)
        if at is None:
            continue
        begin = None
        for step in _made(mix, mix.making, at, units):
            begin = step.at if begin is None else min(begin, step.at)
            yield step
        if begin is not None:
            needed[mix.mix] = begin


def _soaked(mixes: Sequence[MixResult], steps: Sequence[Step]) -> Iterator[Step]:
    """Salt goes on, or meat into the brine, so long before the board as the mix says."""
    for mix in mixes:
        if not mix.soak_s:
            continue
        for letter in mix.on:
            times = [
                step.at
                for step in steps
                if step.piece == letter and step.id.partition("-")[0] in {"rub", "meat_on"}
            ]
            if not times:
                continue
            what = f"Into: {mix.name}" if mix.kind == "brine" else f"{mix.name} on"
            yield make_step(
                "soak",
                f"{mix.mix}-{letter}",
                after(utc(min(times)), -mix.soak_s),
                piece=letter,
                what=what,
                detail=f"{format_duration(mix.soak_s)}, in the cold",
            )


def _needed_at(
    mix: MixResult, steps: Sequence[Step], begun: dict[str, dt.datetime]
) -> dt.datetime | None:
    """When a mix is wanted: its own start on the stove, or the first step that uses its kind."""
    if mix.mix in begun:
        return begun[mix.mix]
    kinds = _NEEDED_AT.get(mix.kind, ("serve",))
    for kind in kinds:
        times = [
            step.earliest
            for step in steps
            if step.id.partition("-")[0] == kind and (not step.piece or step.piece in mix.on)
        ]
        if times:
            return utc(min(times))
    return None


def _made(mix: MixResult, making: MakingResult, at: dt.datetime, units: str) -> Iterator[Step]:
    """Reduce so that the slow end is over in time; simmer before that."""
    loss = 1.0 + kitchen_value("pan_loss").value
    end = after(at, -kitchen_value("stove_ready").value * 60.0)
    if making.reduce_high_s > 0.0:
        slow_s = making.heat_up_s + making.reduce_high_s * loss
        begin = after(end, -slow_s)
        ends = (
            after(begin, making.heat_up_s + making.reduce_low_s * loss),
            end,
        )
        yield make_step(
            "reduce",
            mix.mix,
            begin,
            what=f"Reduce{_until(making, units)}: {mix.name}",
            detail=_span(ends, begin, making, units),
        )
        end = begin
    if making.simmer_s > 0.0:
        begin = after(end, -making.simmer_s)
        yield make_step("simmer", mix.mix, begin, what=f"Simmer: {mix.name}")


def _until(making: MakingResult, units: str) -> str:
    """Depth in the pan, the sign a cook can see; the volume where the pan is not known.

    It stands in the step's own words: a sheet that is short of room leaves signs out.
    """
    if making.depth_to_m is not None:
        return f" to {format_depth(making.depth_to_m, units)} deep"
    return f" to {format_volume(making.to_m3, units)}" if making.to_m3 else ""


def _span(
    ends: tuple[dt.datetime, dt.datetime], begin: dt.datetime, making: MakingResult, units: str
) -> str:
    low, high = ((end - begin).total_seconds() / 60.0 for end in ends)
    deep = ""
    if making.depth_from_m is not None:
        deep = f", from {format_depth(making.depth_from_m, units)}"
    minutes = f"{low:.0f} to {high:.0f} min" if high - low > 1.5 else f"{high:.0f} min"
    return f"{minutes}{deep}; season after it"
