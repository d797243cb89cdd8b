"""What is odd about log lines: said beside them, never refused."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from stallwise.ground import units
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.vocabulary import said, words
from stallwise.record.log import LogLine

__all__ = ["doubts"]

_HOUR = dt.timedelta(hours=1)
_MINUTE = dt.timedelta(minutes=1)
#: Salting and trimming may be days before; the rest of a cook hangs together.
_FAR, _FAR_BEFORE = 36 * _HOUR, 120 * _HOUR
#: A planned serving slips; so much later [h] is another matter.
_SLIPPED = 2 * _HOUR
_ON_THE_PIT = frozenset({"wrapped", "unwrapped", "spritz", "glazed", "turned", "moved", "bark"})
_AFTER_ON = _ON_THE_PIT | {"off", "rest_start", "served", "sliced", "pulled"}
_READINGS = frozenset({"pit_reading", "core_reading"})
#: Water boils; a core probe that shows more does not lie in meat [°C].
_BOILING_C = 101.0


@dataclass(frozen=True)
class _Case:
    line: LogLine
    others: tuple[LogLine, ...]
    context: PaperContext

    def clock(self, at: dt.datetime) -> str:
        local = at.astimezone(self.context.zone)
        day = "" if local.date() == self.context.date else f"{local:%a %d %b} "
        return f"{day}{local:%H:%M}"

    def of_its_pieces(self, what: str) -> list[LogLine]:
        mine = self.line.piece
        return [
            each for each in self.others
            if each.what == what and (not mine or each.piece in {"", mine})
        ]  # fmt: skip


def doubts(lines: Sequence[LogLine], context: PaperContext) -> dict[str, tuple[str, ...]]:
    """Say what is odd about new lines.

    Parameters
    ----------
    lines : sequence of LogLine
        Lines that are to be written, or were just now.
    context : PaperContext
        What is known of the cook, with its log.

    Returns
    -------
    dict
        Id of a line to what a cook is told; lines with nothing odd are left out.
    """
    new = {line.id for line in lines}
    there = tuple(line for line in context.logged if line.id not in new)
    found: dict[str, tuple[str, ...]] = {}
    for line in lines:
        others = (*there, *(each for each in lines if each.id != line.id))
        case = _Case(line, others, context)
        texts = tuple(text for look in _LOOKS for text in look(case))
        if texts:
            found[line.id] = texts
    return found


def _in_the_future(case: _Case) -> Iterator[str]:
    now = case.context.now
    if now and case.line.at > now + _MINUTE:
        yield f"{case.clock(case.line.at)} has not come yet"


def _far_away(case: _Case) -> Iterator[str]:
    context, at = case.context, case.line.at
    noon = dt.datetime.combine(context.date, dt.time(12), context.zone).astimezone(dt.UTC)
    anchors = [line.at for line in case.others] + ([context.served] if context.served else [noon])
    nearest = min(anchors, key=lambda each: abs(each - at))
    far = abs(nearest - at)
    allowed = _FAR_BEFORE if words()[case.line.what].when in {"before", "any"} else _FAR
    if far > allowed:
        what = "serving time" if nearest == context.served else "nearest line of this cook"
        what = "day of this cook" if nearest == noon and not case.others else what
        hours = far.total_seconds() / 3600
        much = f"{hours / 24:.0f} days" if hours >= 72 else f"{hours:.0f} hours"
        yield f"{at.astimezone(context.zone):%Y-%m-%d %H:%M} is {much} from the {what}"


def _before_on(case: _Case) -> Iterator[str]:
    line, context = case.line, case.context
    if line.what not in _AFTER_ON and not (
        line.what == "feel_check" and line.data.get("verdict") in {"tender", "past it"}
    ):
        return
    logged = [each.at for each in case.of_its_pieces("meat_on")]
    on = logged or [at for piece, at in context.on.items() if line.piece in {"", piece}]
    if on and line.at < min(on) - _MINUTE:
        yield f"{_named(line)} before meat on at {case.clock(min(on))}"


def _on_late(case: _Case) -> Iterator[str]:
    """Meat on, where what follows it is logged before; in one block that line says so."""
    if case.line.what != "meat_on":
        return
    logged = {line.id for line in case.context.logged}
    early = [
        each for what in sorted(_AFTER_ON) for each in case.of_its_pieces(what)
        if each.at < case.line.at - _MINUTE and each.id in logged
    ]  # fmt: skip
    if early:
        first = min(early, key=lambda each: each.at)
        yield f"meat on after {_named(first)} at {case.clock(first.at)}"


def _after_served(case: _Case) -> Iterator[str]:
    line, planned = case.line, case.context.served
    if line.what not in _ON_THE_PIT and line.what not in {"meat_on", "off"}:
        return
    eaten = [each.at for each in case.of_its_pieces("served")]
    if eaten and line.at > max(eaten):
        yield f"{_named(line)} after it was served at {case.clock(max(eaten))}"
    elif not eaten and planned and _SLIPPED < line.at - planned <= _FAR:
        late = (line.at - planned).total_seconds() / 3600
        yield f"{_named(line)} {late:.1f} h after the serving time, {case.clock(planned)}"


def _two_readings(case: _Case) -> Iterator[str]:
    line = case.line
    if line.what not in _READINGS:
        return
    minute = line.at.replace(second=0, microsecond=0)
    for each in case.others:
        same = (each.what, each.piece, each.pit) == (line.what, line.piece, line.pit) and (
            _where(each) == _where(line)
        )
        value, mine = each.data.get("temperature_c"), line.data.get("temperature_c")
        if not (same and value and mine) or each.at.replace(second=0, microsecond=0) != minute:
            continue
        if abs(float(value) - float(mine)) > 0.05:
            shown = units.format_temperature(float(value), case.context.units)
            yield f"{shown} is logged for the same minute"


def _where(line: LogLine) -> tuple[object, object]:
    return line.data.get("place"), line.data.get("spot")


def _past_boiling(case: _Case) -> Iterator[str]:
    value = case.line.data.get("temperature_c")
    if case.line.what == "core_reading" and value and float(value) > _BOILING_C:
        yield "hotter than water boils: the probe may lie bare or on bone"


def _named(line: LogLine) -> str:
    return said(line.what, line.data)


_LOOKS: tuple[Callable[[_Case], Iterator[str]], ...] = (
    _in_the_future,
    _far_away,
    _before_on,
    _on_late,
    _after_served,
    _two_readings,
    _past_boiling,
)
