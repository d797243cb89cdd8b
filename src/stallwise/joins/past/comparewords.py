"""Cooks beside each other in words and tables, the same on every surface."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stallwise.ground import units
from stallwise.ground.money import format_money
from stallwise.joins import words
from stallwise.joins.fire.fuelwords import bulk, count_words
from stallwise.joins.past.cameout import CameOut
from stallwise.joins.past.comparison import Compared, Comparison
from stallwise.joins.past.credit import Credits
from stallwise.joins.past.differing import alike
from stallwise.joins.result import Spread
from stallwise.joins.tables import Table

__all__ = [
    "alike_words",
    "came_out_table",
    "credit_table",
    "credit_words",
    "different_table",
    "foreseen_table",
    "foreseen_words",
    "headline",
    "mixed_words",
    "said_of_them",
    "told_words",
]

_MINUTE_H = 1.0 / 60.0
_UNKNOWN = "not known"


def headline(found: Comparison) -> str:
    """Say in a sentence what is laid beside what, and how many things were different."""
    names = words.joined([one.label for one in found.pieces])
    apart = [one for one in found.differences if one.differs]
    # What was said of one and not of the other may have been the same.
    many = len(dict.fromkeys(one.part or one.key for one in apart if one.known))
    if not apart:
        return f"{names}: alike in all that was written down."
    if not many:
        return f"{names}: alike in all that was written down of each."
    return f"{names}: {many} thing{'s were' if many > 1 else ' was'} different."


def different_table(found: Comparison) -> Table:
    """Lay out what was different, as planned and as logged."""
    rows = tuple((one.words, one.how, *one.said) for one in found.differences if one.differs)
    header = ("what", "as", *(one.label for one in found.pieces))
    return Table("What was different", header, rows, found.source)


def alike_words(found: Comparison) -> str:
    """Name what was the same with all."""
    same = alike(found.differences)
    return f"The same with all: {words.joined(same)}." if same else ""


def mixed_words(found: Comparison) -> Iterator[str]:
    """Say which things cannot be told apart, and where one can; and what would part them."""
    for heap in found.mixed_up:
        yield (
            f"Mixed up with each other: {words.joined(heap)}. They changed together, so the log "
            "alone cannot say which of them did it."
        )
    for pair in found.alone:
        yield f"{words.joined(pair.pieces)} differ in one thing only: {pair.part}."
    if found.mixed_up:
        yield (
            "To part them, change one of them next time and leave the others; or lay both ways "
            "side by side on one day: stallwise new trial"
        )


def said_of_them(found: Comparison) -> Iterator[str]:
    """Say what has not happened yet, what nobody cooked, and what a rate of fuel does not compare."""
    planned = [one.label for one in found.pieces if one.state == "planned"]
    if planned:
        yield f"Only planned, so nothing of it has happened: {words.joined(planned)}."
    if any(one.sample for one in found.pieces):
        yield "Sample cooks are among them; nobody cooked those."
    burnt = {one.cook for one in found.pieces if one.came_out.fuel}
    heat = [one for one in found.differences if one.key in {"pit_plan", "pit_read"} and one.differs]
    if len(burnt) > 1 and heat:
        yield (
            "Fuel an hour is no comparison of fuels here: the pits were not held at one heat, and "
            "the air outside counts too."
        )


def came_out_table(found: Comparison) -> Table:
    """Lay out what came out."""
    rows = [
        (what, *(say(one, found.units) for one in found.pieces)) for what, say in _CAME_OUT.items()
    ]
    header = ("what", *(one.label for one in found.pieces))
    return Table(
        "What came out",
        header,
        tuple(row for row in rows if any(row[1:])),
        found.source,
    )


def told_words(found: Comparison) -> Iterator[str]:
    """Tell each cook's own words of how it was; a cook is told once."""
    told = set()
    for one in found.pieces:
        if one.cook in told:
            continue
        told.add(one.cook)
        for key, lead in (
            ("outcome", ""),
            ("tasting", "How it tasted: "),
            ("next_time", "Next time: "),
        ):
            if said := one.came_out.text.get(key):
                yield f"{one.title}. {lead}{' '.join(said.split())}"


def foreseen_table(found: Comparison) -> Table:
    """Lay out the forecast from before meat on beside what happened."""
    rows = []
    for one in found.pieces:
        seen = one.came_out.foreseen
        if seen is None:
            continue
        inside = {True: "yes", False: "no", None: ""}[seen.inside]
        rows.append(
            (
                one.label,
                _window(seen.low_h, seen.high_h),
                words.hours(seen.middle_h),
                _happened(one.came_out),
                inside,
                _made(one),
            )
        )
    header = (
        "piece",
        "forecast, four in five",
        "its middle",
        "happened",
        "inside",
        "the forecast was",
    )
    return Table(
        "The forecast, and what happened: hours after meat on", header, tuple(rows), "tally"
    )


def foreseen_words(found: Comparison) -> str:
    """Say how many ended inside the window of before meat on."""
    told = [one.came_out.foreseen for one in found.pieces if one.came_out.foreseen]
    known = [one for one in told if one.inside is not None]
    if not known:
        return "Whether a forecast was right is not known of any of them."
    inside = sum(bool(one.inside) for one in known)
    if len(known) == 1:
        return (
            f"One forecast can be held against what happened: {'inside' if inside else 'outside'}."
        )
    return f"{inside} of {len(known)} ended inside the window of before meat on; a right one misses one in five."


def credit_table(found: Credits) -> Table:
    """Lay out what the forecast puts down to each thing that was different."""
    rows = [(one.words, *_shifted(one.shift_h)) for one in found.credits]
    rows += [(still, "no difference", "") for still in found.still]
    if len(rows) > 1:
        rows.append(("all of it at once", *_shifted(found.together)))
    return Table(
        f"{found.first}, done as {found.other}: what the forecast says",
        ("what", "tender", "four days in five"),
        tuple(rows),
        "compared",
    )


def credit_words(found: Credits) -> Iterator[str]:
    """Say how far apart they came out, what the forecast makes of it, and what chance alone does."""
    if not (found.credits or found.still):
        yield "Nothing that a forecast goes by was different."
    if found.seen_h is None:
        yield (
            "How far apart they were tender is not known: it takes a look that said not yet and one "
            "that said tender, of both."
        )
    else:
        yield f"{found.other} was tender {_apart(found.seen_h)} than {found.first}, after its own meat on."
    day = "side by side on one day" if found.one_day else "on two days"
    spread = words.hours(found.alike_h, minutes=15)
    yield (
        f"Two pieces alike in everything, {day}, end up to {spread} apart four times in five: meat "
        "and fire are never the same twice."
    )
    if found.by_chance:
        yield "These two are no further apart than that: there is nothing that has to be behind it."
    elif found.accounted:
        yield "What was different accounts for it, as far as chance lets anybody see."
    elif found.accounted is False:
        yield (
            f"What was different leaves {words.hours(abs(found.left_h or 0.0))} over, more than chance "
            "usually does: something that nobody wrote down may be behind it."
        )


def _made(one: Compared) -> str:
    """When the forecast was made, and whether anybody kept it."""
    if one.came_out.foreseen and one.came_out.foreseen.kept:
        return "kept before meat on"
    return "made now, for one to come" if one.state == "planned" else "not kept: made now"


def _shifted(moved: Spread) -> tuple[str, str]:
    return words.shift(moved, span=False), words.shift_range(moved)


def _apart(seen_h: tuple[float, float]) -> str:
    """``10 min sooner to 20 min later``; a look is never a moment."""
    low, high = (0.0 if abs(end) < _MINUTE_H / 2 else end for end in seen_h)
    if low >= 0.0 or high <= 0.0:
        way = "later" if low >= 0.0 else "sooner"
        near, far = sorted((abs(low), abs(high)))
        return f"{words.hours(near) if near else '0'} to {words.hours(far)} {way}"
    return f"{words.hours(-low)} sooner to {words.hours(high)} later"


def _window(low_h: float | None, high_h: float | None) -> str:
    if low_h is None:
        return "not within the hours tried"
    return f"{words.hours(low_h)} to {words.hours(high_h)}"


def _happened(out: CameOut) -> str:
    """Bracket of the outcome, as it was seen."""
    if out.high_h is None:
        return _UNKNOWN if out.low_h is None else f"after {words.hours(out.low_h, minutes=1)}"
    by = words.hours(out.high_h, minutes=1)
    return f"by {by}" if out.low_h is None else f"{words.hours(out.low_h, minutes=1)} to {by}"


def _finish(one: Compared, system: str) -> str:
    del system
    if one.came_out.high_h is None and one.came_out.low_h is None:
        return ""
    return f"{one.finish}, {_happened(one.came_out)}"


def _late(one: Compared, system: str) -> str:
    del system
    late_h = one.came_out.late_h
    if late_h is None:
        return ""
    if abs(late_h) < 2.5 * _MINUTE_H:
        return "on time"
    return f"{words.hours(abs(late_h), minutes=1)} {'late' if late_h > 0 else 'early'}"


def _stall(one: Compared, system: str) -> str:
    stall = one.came_out.stall
    if stall is None:
        return ""
    start = words.hours(stall.from_h)
    end = "the last reading" if stall.to_h is None else words.hours(stall.to_h)
    at = (
        ""
        if stall.temperature_c is None
        else f" at {units.format_temperature(stall.temperature_c, system)}"
    )
    return f"{start} to {end}{at}, {stall.words}"


def _fuel(one: Compared, system: str) -> str:
    fuel = one.came_out.fuel
    if fuel is None:
        return ""
    count = count_words(fuel.count)
    counted = f"{count} {fuel.unit}{'' if count in {'1', '1/2'} else 's'}, " if fuel.count else ""
    rate = "" if fuel.kg_h is None else f", {bulk(fuel.kg_h, system)} an hour"
    return f"{counted}{bulk(fuel.kg, system)}{rate}"


def _paid(one: Compared, system: str) -> str:
    del system
    return format_money(*one.came_out.per_guest) if one.came_out.per_guest else ""


def _rest(one: Compared, system: str) -> str:
    del system
    rest_h = one.came_out.rest_h
    return "" if rest_h is None else words.hours(rest_h, minutes=1)


def _percent(value: float | None) -> str:
    return "" if value is None else words.percent(value)


_CAME_OUT: dict[str, Callable[[Compared, str], str]] = {
    "its finish, after meat on": _finish,
    "on the table": _late,
    "stall, by its readings": _stall,
    "weight lost on the fire": lambda one, _: _percent(one.came_out.loss_share),
    "eaten of what went on": lambda one, _: _percent(one.came_out.eaten_share),
    "from the fire to the knife": _rest,
    "fuel put on": _fuel,
    "paid, a guest": _paid,
    "one number": lambda one, _: one.came_out.text.get("number", ""),
}
