"""What limits say: sentences from rules, figures and open questions, in a cook's units.

A figure beside a limit is shown with as many places as tell it from the limit, so that a
rounded reading never seems to be on the other side of it.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from stallwise.ground.units import celsius_of_fahrenheit, fahrenheit_of_celsius
from stallwise.joins.words import day_clock
from stallwise.tables.limits import Minimum, clock
from stallwise.tables.rows import rows

__all__ = [
    "Sayer",
    "beside",
    "degrees",
    "lasting",
    "off_text",
    "question",
    "rest_text",
    "rule_text",
]

#: Less than this is not worth a word [s].
_MINUTE_S = 60.0
_PAIR = re.compile(r"(?P<first>-?\d+)(?: (?P<join>to|and) (?P<second>-?\d+))? °F(?! \()")

#: A temperature at the end of a log line that a question suggests.
_TO_LOG = re.compile(r"(-?\d+(?:\.\d+)?) F'")


def question(key: str, system: str = "us") -> str:
    """Ask for a missing fact, with how to answer; log lines in the cook's own units."""
    row = rows("limits_asks.csv")[key]
    answer = row["answer"]
    if system == "metric":
        answer = _TO_LOG.sub(lambda at: f"{celsius_of_fahrenheit(float(at[1])):.0f} C'", answer)
    return f"{row['asks']} To answer, {answer}."


def rule_text(says: str, system: str) -> str:
    """Text of a rule with its temperatures in both scales, the cook's own first.

    Parameters
    ----------
    says : str
        As in ``data/limits_rules.csv``, in °F.
    system : {"us", "metric"}
        The cook's units.

    Notes
    -----
    A text that names °C itself stays as it is: it speaks of a difference, which has no such twin.
    """
    if "°C" in says:
        return says

    def both(found: re.Match[str]) -> str:
        first, second = found["first"], found["second"]
        join = f" {found['join']} " if second else ""
        celsius = join.join(
            f"{celsius_of_fahrenheit(float(each)):.1f}".removesuffix(".0")
            for each in filter(None, (first, second))
        )
        printed = f"{first}{join}{second or ''} °F"
        if system == "us":
            return printed
        return f"{celsius} °C ({printed})"

    return _PAIR.sub(both, says)


def degrees(*values_c: float | None, system: str) -> str:
    """Lines of a rule, as ``135 to 70 °F``, the way `rule_text` shows them; None is left out."""
    printed = (f"{fahrenheit_of_celsius(value):.0f}" for value in values_c if value is not None)
    return rule_text(f"{' to '.join(printed)} °F", system)


def rest_text(row: Minimum) -> str:
    """Say the rest that goes with a least temperature; empty for none."""
    return f", then {lasting(row.rest_s, up=True)} of rest" if row.rest_s else ""


def beside(value_c: float, limit_c: float, system: str) -> str:
    """Temperature as shown beside a limit: never rounded across it.

    Parameters
    ----------
    value_c, limit_c : float
        What counts, and the limit [°C].
    system : {"us", "metric"}
        The cook's units.
    """
    shown, line = (
        (fahrenheit_of_celsius(value_c), fahrenheit_of_celsius(limit_c))
        if system == "us"
        else (value_c, limit_c)
    )
    unit = "°F" if system == "us" else "°C"
    side = _side(value_c, limit_c)
    # Rules are printed in whole °F; in °C that is tenths.
    for places in (0, 1, 2) if system == "us" else (1, 2):
        text = f"{shown:.{places}f}"
        if _side(float(text), float(f"{line:.{places}f}")) == side:
            return f"{text} {unit}"
    return f"{shown:.3f} {unit}"


def _side(one: float, other: float) -> int:
    apart = round((one - other) * 1000.0)
    return (apart > 0) - (apart < 0)


def lasting(time_s: float, *, up: bool) -> str:
    """Span in hours and minutes, rounded away from the kinder side.

    Parameters
    ----------
    time_s : float
        Span [s].
    up : bool
        To the longer minute, else to the shorter.
    """
    minutes = math.ceil(round(time_s) / 60.0) if up else math.floor(round(time_s) / 60.0)
    hours, rest = divmod(minutes, 60)
    parts = [f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest or not hours)
    return " ".join(parts)


def off_text(off_k: float, system: str) -> str:
    """How far a probe is off: ``1.5 °F too high``."""
    shown = off_k * 1.8 if system == "us" else off_k
    if abs(shown) < 0.05:
        return "right"
    return (
        f"{abs(shown):.1f} °{'F' if system == 'us' else 'C'} too {'high' if shown > 0 else 'low'}"
    )


@dataclass(frozen=True)
class Sayer:
    """Puts figures of one cook into words.

    Attributes
    ----------
    zero : datetime
        Where seconds are counted from.
    zone : tzinfo
        The cook's.
    day : date
        The cook's date.
    system : {"us", "metric"}
        Its units.
    """

    zero: dt.datetime
    zone: dt.tzinfo
    day: dt.date
    system: str

    def at(self, when_s: float) -> dt.datetime:
        """Instant of a second, on the cook's clock."""
        return (self.zero + dt.timedelta(seconds=when_s)).astimezone(self.zone)

    def clock(self, when_s: float) -> str:
        """Clock time, with its weekday on another day."""
        return day_clock(self.at(when_s), self.day)

    def said(
        self, kind: str, seen: Mapping[str, float], limit_c: float | None = None
    ) -> Iterable[str]:
        """Say the figures behind a standing.

        Parameters
        ----------
        kind : str
            ``heat``, ``climb``, ``hold``, ``wait``, ``again`` or ``cooling``.
        seen : mapping of str to float
            Figures of the standing [s, °C].
        limit_c : float, optional
            Line that has to be reached [°C].
        """
        yield from _SAY[kind](self, seen, limit_c)

    def line(self, limit_c: float | None) -> str:
        """Name the line itself."""
        return "its line" if limit_c is None else beside(limit_c, limit_c, self.system)


def _heat(say: Sayer, seen: Mapping[str, float], limit_c: float | None) -> Iterable[str]:
    if "reached_s" in seen:
        yield f"{say.line(limit_c)} passed by {say.clock(seen['reached_s'])}"
    if "row_c" in seen:
        row = beside(seen["row_c"], seen["row_c"], say.system)
        asked = f", asked for {lasting(seen['row_s'], up=True)}" if seen["row_s"] > 1 else ""
        yield f"at {row} or above for {lasting(seen['held_s'], up=False)}{asked}"
    if "coldest_c" in seen:
        line = seen["coldest_c"] if limit_c is None else limit_c
        shown = beside(seen["coldest_c"], line, say.system)
        yield f"the coldest probe, less its tolerance, got to {shown}"


def _climb(say: Sayer, seen: Mapping[str, float], limit_c: float | None) -> Iterable[str]:
    if "reached_s" in seen:
        # The first reading over the line: a single one late in the day was over it long before.
        yield f"{say.line(limit_c)} by {say.clock(seen['reached_s'])}"
    yield from _span(seen, "on the way up for")


def _hold(say: Sayer, seen: Mapping[str, float], limit_c: float | None) -> Iterable[str]:
    if "under_s" in seen:
        yield f"below {say.line(limit_c)} at {say.clock(seen['under_s'])}"
    if "coldest_c" in seen and limit_c is not None:
        shown = beside(seen["coldest_c"], limit_c, say.system)
        yield f"the coldest reading, less its tolerance, was {shown}"


def _wait(say: Sayer, seen: Mapping[str, float], _limit_c: float | None) -> Iterable[str]:
    if "from_s" in seen:
        yield f"counted from {say.clock(seen['from_s'])}"
    yield from _span(seen, "out for")


def _again(say: Sayer, seen: Mapping[str, float], _limit_c: float | None) -> Iterable[str]:
    if "from_s" in seen:
        yield f"back on the heat at {say.clock(seen['from_s'])}"
    yield from _span(seen, "hot after")


def _cooling(say: Sayer, seen: Mapping[str, float], _limit_c: float | None) -> Iterable[str]:
    if "start_s" in seen:
        yield f"counted from {say.clock(seen['start_s'])}"
    for key, stage in (("middle_s", "cool-first"), ("cold_s", "cool-total")):
        line = say.line(clock(stage).to_c)
        if key in seen:
            yield f"{line} by {say.clock(seen[key])}"
        elif f"above_{key}" in seen:
            yield f"above {line} still at {say.clock(seen[f'above_{key}'])}"


def _span(seen: Mapping[str, float], lead: str) -> Iterable[str]:
    worst, best = seen.get("worst_s"), seen.get("best_s")
    least = lasting(best, up=False) if best and best > _MINUTE_S else ""
    if worst is not None:
        most = lasting(worst, up=True)
        if best is not None and round(best) == round(worst):
            yield f"{lead} {most}"
        else:
            yield f"{lead} {f'{least} to {most}' if least else f'{most} at most'}"
    elif least:
        yield f"{lead} {least} at least"


_SAY: Mapping[str, Callable[[Sayer, Mapping[str, float], float | None], Iterable[str]]] = {
    "heat": _heat,
    "climb": _climb,
    "hold": _hold,
    "wait": _wait,
    "again": _again,
    "cooling": _cooling,
}
