"""A book's cooks in words and tables: what the log suggests apart from what trials showed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from stallwise.ground.money import format_money
from stallwise.joins.past.yearround import YearCook, YearRound
from stallwise.joins.tables import Table
from stallwise.joins.words import joined

__all__ = ["cook_table", "headline", "open_table", "spending_words", "spent_table"]


def headline(found: YearRound) -> str:
    """Say how many cooks there are, of how many cuts, and for how many."""
    cuts = {name for one in found.cooks for name in one.cuts}
    when = "" if found.year is None else f" in {found.year}"
    pieces = _count(sum(one.pieces for one in found.cooks), "piece")
    said = f"{_count(len(found.cooks), 'cook')}{when}: {pieces} of {_count(len(cuts), 'cut')}."
    guests = sum(one.guests or 0 for one in found.cooks)
    if guests:
        said += f" {_count(guests, 'plate')} in all, as far as anybody counted."
    if found.samples_left_out:
        said += f" {_count(found.samples_left_out, 'sample cook')} left out."
    return said


def cook_table(found: YearRound) -> Table:
    """List the cooks, newest first."""
    rows = tuple(
        (
            f"{one.date.day} {one.date:%b %Y}",
            one.title,
            joined(list(one.cuts)),
            str(one.pieces),
            joined(list(one.wraps)),
            "" if one.guests is None else str(one.guests),
            _number(one),
            "" if one.state == "finished" else one.state,
        )
        for one in found.cooks
    )
    header = ("date", "cook", "of", "pieces", "wrap", "guests", "one number", "")
    return Table("The cooks", header, rows, "log")


def _number(one: YearCook) -> str:
    if one.number is None:
        return ""
    name, value, out_of = one.number
    return f"{name}: {value:g}" + (f" of {out_of:g}" if out_of else "")


def spent_table(found: YearRound) -> Table:
    """Lay out what each cook cost, as far as its prices are known."""
    rows = []
    for one in found.spent:
        seen = one.spending
        parts = (seen.meat, seen.kitchen, seen.extras, seen.paid, seen.per_serving)
        paid = ("" if part is None else format_money(part, seen.money) for part in parts)
        rows.append((f"{one.date.day} {one.date:%b %Y}", one.title, *paid, "; ".join(seen.without)))
    header = ("date", "cook", "meat", "kitchen", "fire and the rest", "in all", "a guest",
              "without a price")  # fmt: skip
    return Table("What they cost", header, tuple(rows), "cost")


def spending_words(found: YearRound) -> Iterator[str]:
    """Add up what was paid, each money for itself, and say how many cooks have no price."""
    sums: dict[str, float] = defaultdict(float)
    for one in found.spent:
        sums[one.spending.money] += one.spending.paid
    if sums:
        paid = [format_money(total, money) for money, total in sums.items()]
        yield f"{joined(paid)} in all, over {_count(len(found.spent), 'cook')} with prices."
    if found.without_price:
        what = (
            "no cook has"
            if not found.spent and len(found.cooks) > 1
            else (
                f"{_count(found.without_price, 'cook')} "
                f"{'has' if found.without_price == 1 else 'have'}"
            )
        )
        yield (
            f"{what[0].upper()}{what[1:]} {'a' if what.startswith('no ') else 'no'} price: "
            'write price = "$3.29/lb" beside a piece, and fuel with its price under [[extras]].'
        )


def open_table(found: YearRound) -> Table:
    """List next-time lines that are still open."""
    rows = tuple(
        (
            line.text,
            f"{line.title}, {line.date.day} {line.date:%b %Y}",
            joined(list(line.cuts)),
            f"stands over {line.carried_to}" if line.carried_to else "that cut has not come back",
        )
        for line in found.open_lines
    )
    return Table("Next time, still open", ("next time", "said of", "cut", "since"), rows, "log")


def _count(many: int, what: str) -> str:
    return f"{many} {what}{'' if many == 1 else 's'}"
