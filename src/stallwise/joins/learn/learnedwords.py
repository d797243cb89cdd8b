"""What was learned, in a cook's words: pits and cuts against what the table takes for granted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from stallwise.joins.learn.widening import widening_learned
from stallwise.joins.tables import Table
from stallwise.tables.parameters import Parameter, parameter

__all__ = ["learned_lines", "learned_of", "learned_table", "widening_line"]

#: What a draw is called, and what more of it does.
_WORDS = {
    "pit.offset": "air at the meat against its number",
    "pit.gap": "number at the grate against its number",
    "pit.place.unknown": "air there against where the number is read",
    "pit.place.toast": "air there against what the toast says",
    "pit.place.thermometer": "air there against what the thermometers say",
    "pit.heating": "how hard it heats",
    "pit.humidity": "how damp it is",
    "pit.loss": "heat it loses, and so its fuel",
    "pit.start": "from match to steady",
    "pit.keeps": "how fast what it holds cools",
    "thickness": "how thick it is for its weight",
    "wetness": "how cool the stall is held (wetness)",
    "dry_budget": "water to dry off before the stall ends",
    "t95": "time it takes to soften",
}
_SAME = 0.03


def learned_lines(learned: Mapping[str, Any]) -> list[str]:
    """One line a cook: what it taught, or why it did not."""
    return [
        f"{entry['cook']}: " + ("teaches" if entry["taught"] else f"does not teach: {entry['why']}")
        for entry in learned.get("cooks", ())
    ]


def widening_line(learned: Mapping[str, Any]) -> str:
    """Say by how much the next cook's windows are drawn out; nothing where they are not."""
    found = widening_learned(learned)
    if found.factor == 1.0:
        return ""
    return (
        f"Windows of the next cook are drawn out {found.factor:.1f} times, for too few of "
        f"{found.cooks} cooks ended inside theirs."
    )


def learned_table(learned: Mapping[str, Any], system: str) -> Table:
    """Show what is known after the last cook.

    Parameters
    ----------
    learned : mapping
        As `learning.learn` makes it.
    system : {"us", "metric"}
        Units to show.
    """
    cooks = learned.get("cooks", ())
    last = cooks[-1] if cooks else {"pits": {}, "cuts": {}}
    rows = [*_rows(last["pits"], "pit", system), *_rows(last["cuts"], "cut", system)]
    count = sum(1 for entry in cooks if entry["taught"])
    caption = f"Learned from {count} cook{'' if count == 1 else 's'}"
    return Table(caption, ("of", "what", "taken at first", "learned"), tuple(rows), "learned")


def learned_of(learned: Mapping[str, Any], key: str, system: str) -> list[str]:
    """Say what the logged cooks taught of a parameter, a line for each pit and cut.

    Parameters
    ----------
    learned : mapping
        As `learning.learn` makes it.
    key : str
        Key of the parameter, or part of one: ``pit.loss``.
    system : {"us", "metric"}
        Units to show.
    """
    cooks = learned.get("cooks", ())
    if not cooks:
        return []
    found = []
    for part, kind in (("pits", "pit"), ("cuts", "cut")):
        for owner, lessons in cooks[-1][part].items():
            for name, (value, spread) in lessons.items():
                if key.removeprefix("parameters.") not in name:
                    continue
                taught = [e["cook"] for e in cooks if _tells(e, part, owner, name)]
                found.append(
                    f"{kind} {owner}, {_name(name)}: {_said(parameter(name), value, spread, system)}; "
                    f"from {len(taught)} of your cooks, last {taught[-1] if taught else '–'}"
                )
    return found


def _tells(entry: Mapping[str, Any], part: str, owner: str, name: str) -> bool:
    told = entry.get("told", {}).get(part, ())
    return bool(entry.get("taught")) and any(row[:2] == [owner, name] for row in told)


def _rows(
    part: Mapping[str, Mapping[str, Sequence[float]]], kind: str, system: str
) -> Iterator[tuple[str, str, str, str]]:
    for owner, lessons in part.items():
        for key, (value, spread) in lessons.items():
            one = parameter(key)
            yield (
                f"{kind} {owner}",
                _name(key),
                _said(one, one.value, one.spread, system),
                _said(one, value, spread, system),
            )


def _name(key: str) -> str:
    if key in _WORDS:
        return _WORDS[key]
    for tail, words in _WORDS.items():
        if key.startswith(f"{tail}."):
            return f"{words}, {key.removeprefix(tail + '.')}"
        if key.endswith(f".{tail}"):
            return words
    return key


def _said(one: Parameter, value: float, spread: float, system: str) -> str:
    if one.distribution == "lognormal":
        times = value / one.value
        middle = "as usual" if abs(times - 1.0) < _SAME else f"{times:.2f} times usual"
        return f"{middle}, give or take {100.0 * spread:.0f} %"
    factor, unit = (1.8, "°F") if system == "us" else (1.0, "°C")
    return f"{value * factor:+.0f} {unit}, give or take {spread * factor:.0f} {unit}"
