"""A crowd plan as tables of text, one set for terminal and notebook."""

from __future__ import annotations

from collections.abc import Iterator

from stallwise.ground import units
from stallwise.ground.money import format_money
from stallwise.ground.scales import POUND_KG
from stallwise.joins.crowd.crowd import CrowdPlan, MeatPlan
from stallwise.joins.mix.shoptables import ends_words, left_words
from stallwise.joins.tables import Table
from stallwise.joins.words import area, hours, joined, percent

__all__ = ["cold_words", "crowd_lines", "crowd_table"]


def crowd_table(plan: CrowdPlan) -> Table:
    """Lay out what to buy of each meat, and what it leaves at the least, usually and at the most."""
    rows = []
    for meat in plan.meats:
        bought = meat.purchase
        ends = [units.format_mass(mass, plan.units) for mass in bought.cooked_kg]
        rows.append(
            (
                meat.name,
                f"{bought.pieces} × {units.format_mass(bought.piece_kg, plan.units)}",
                units.format_mass(bought.bought_kg, plan.units),
                ends_words(ends),
                f"{bought.feeds[0]} to {bought.feeds[2]}"
                if bought.feeds[0] != bought.feeds[2]
                else str(bought.feeds[0]),
                left_words(bought.left_kg, plan.units),
                "" if meat.paid is None else format_money(meat.paid, meat.money),
            )
        )
    return Table(
        f"For {plan.guests.heads} guests",
        ("meat", "buy", "in all", "to eat", "plates", "then", "paid"),
        tuple(rows),
        "crowd",
    )


def crowd_lines(plan: CrowdPlan) -> tuple[str, ...]:
    """Say where the yield is from, what the pit must hold and what a plate costs."""
    system = plan.units
    lines = [_yield_line(meat, system) for meat in plan.meats]
    room = f"On the grate side by side: {area(plan.grate_m2, system)}"
    if plan.loads:
        at_once = ", or ".join(f"{meat.at_once} × {meat.name}" for meat in plan.meats)
        room += f", {plan.loads} load{'s' * (plan.loads != 1)}; at once {at_once}"
    lines.append(f"{room}.")
    for meat in plan.meats:
        if meat.paid is None or meat.per_serving is None or meat.per_cooked_kg is None:
            continue
        weight, per = ("lb", POUND_KG) if system == "us" else ("kg", 1.0)
        lines.append(
            f"{meat.name}: {format_money(meat.per_serving, meat.money)} a plate, "
            f"{format_money(meat.per_cooked_kg * per, meat.money)} a cooked {weight}, the meat alone."
        )
    lines += _room_lines(plan)
    bare = [meat.name for meat in plan.meats if meat.paid is None]
    if 0 < len(bare) < len(plan.meats):
        lines.append(f"No price, so no sum: {'; '.join(bare)}.")
    if plan.per_guest is not None and len(plan.meats) > 1:
        lines.append(f"All the meat: {format_money(plan.per_guest, plan.money)} a guest.")
    return tuple(lines)


def cold_words(room_m3: float, system: str) -> str:
    """Room in the cold, to ten litres or quarts: cool boxes are sold by them."""
    if system == "us":
        return f"{round(room_m3 / units.parse('volume', '1 qt'), -1):.0f} quarts"
    return f"{round(room_m3 * 1e3, -1):.0f} litres"


def _room_lines(plan: CrowdPlan) -> Iterator[str]:
    """Say what it takes of the cold, of pans and boxes, and what each serving gets."""
    litres = [cold_words(each, plan.units) for each in (plan.cold.thaw_m3, plan.cold.salt_m3)]
    thaw = hours(plan.cold.thaw_s / 3600.0, minutes=60)
    yield (
        f"In the cold: some {litres[0]} while it thaws in trays, {litres[1]} salted and open on racks; "
        f"the largest piece thaws in about {thaw}."
    )
    pans = sum(serving.pans for serving in plan.servings)
    room = joined([f"{box.name} takes {box.pans}" for box in plan.boxes])
    yield f"Cooked: {pans} full pans{f'; {room}' if room else ''}."
    if len(plan.servings) > 1 or plan.servings[0].at:
        names = {meat.cut: meat.name for meat in plan.meats}
        for serving in plan.servings:
            pieces = joined(
                [f"{count} × {names[cut]}" for cut, count in serving.pieces.items()], "and"
            )
            line = hours(serving.line_s / 3600.0)
            yield (
                f"{serving.at or 'Served'}: {serving.heads} guests, {pieces}, {serving.pans} pans; past one "
                f"side of a table in about {line}."
            )
    came = plan.guests.plates
    if plan.guests.no_shows:
        yield f"Reckoned for {came} plates with meat: {percent(plan.guests.no_shows)} of the guests stay away."
    if plan.plate != 1.0:
        yield f"By your own events a plate takes {percent(plan.plate)} of the table's."


def _yield_line(meat: MeatPlan, system: str) -> str:
    bought = meat.purchase
    share = percent(meat.eaten.eaten.middle)
    need = units.format_mass(bought.need.usual_kg, system)
    raw = units.format_mass(bought.raw_usual_kg, system)
    return (
        f"{meat.name}: {need} cooked on the plates; {share} of what is bought is eaten "
        f"({meat.eaten.words}), so {raw} raw at the least, before the margin and whole pieces."
    )
