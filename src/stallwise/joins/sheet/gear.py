"""Gear for a day, with amounts: foil and paper by the metre, pans, towels, probes."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence

from stallwise.ground.scales import FOOT_M
from stallwise.joins.chances import SheetPiece
from stallwise.joins.result import Step
from stallwise.joins.sheet.bedtime import clock_of
from stallwise.joins.sheet.dayresult import GearLine
from stallwise.joins.sheet.stepdraft import SheetDay, make_step, utc
from stallwise.joins.sheet.tablework import pans_of
from stallwise.tables.gear import gear_rows, gear_value

__all__ = ["gear", "gear_step"]

#: What is thawed, salted or cooked days before needs none of it.
_BEFORE = frozenset({"thaw", "thaw_cold", "soak", "job", "simmer", "reduce"})


def gear(pieces: Sequence[SheetPiece], day: SheetDay) -> tuple[GearLine, ...]:
    """Count what a day needs laid out.

    Parameters
    ----------
    pieces : sequence of SheetPiece
        With their sizes and wraps.
    day : SheetDay
        With the way to the table, the pits, the mixes.

    Returns
    -------
    tuple of GearLine
        Only what is needed.
    """
    return tuple(line for line in _lines(pieces, day) if line.amount > 0.0)


def _lines(pieces: Sequence[SheetPiece], day: SheetDay) -> Iterator[GearLine]:
    panned = [one for one in pieces if day.cook.carry or one.wrap_kind == "pan"]
    pans = sum(pans_of(one.piece, one.mass_kg) for one in panned)
    covers_m = pans * gear_value("pan.cover")
    foil_m = sum(_sheets_m(one) for one in pieces if one.wrap_kind in {"foil", "boat"}) + covers_m
    paper_m = sum(_sheets_m(one) for one in pieces if one.wrap_kind == "paper")
    yield _length("foil", foil_m, "wrap.sheets" if foil_m > covers_m else "pan.cover", day.units)
    yield _length("paper", paper_m, "wrap.sheets", day.units)
    yield GearLine("pans", "pans", float(pans), "", str(pans), "gear.pan.cover")
    probes = len(pieces) * gear_value("probes")
    boxed = sum(one.piece.count for one in pieces if one.piece.hold == "box")
    yield _count("towels", boxed)
    yield GearLine(
        "probes",
        "probes",
        probes + 1.0,
        "",
        f"{probes:.0f} and 1 for the pit",
        "gear.probes",
    )
    yield _count("thermometer", 1)
    yield _count("gloves", 1)
    yield _count("spray", 1 if any(one.spritz_s for one in pieces) else 0)
    glazed = any(one.glaze.coats_s for one in pieces) or any(m.kind == "glaze" for m in day.mixes)
    yield _count("brush", 1 if glazed else 0)


def _sheets_m(one: SheetPiece) -> float:
    """Length of wrap for all of a piece's count [m]: along it and up both ends, folded shut."""
    sheet_m = one.length_m + 2.0 * one.thickness_m + gear_value("wrap.fold")
    return one.piece.count * gear_value("wrap.sheets") * sheet_m


def _length(key: str, length_m: float, source: str, system: str) -> GearLine:
    text = f"{math.ceil(length_m / FOOT_M)} ft" if system == "us" else f"{math.ceil(length_m)} m"
    return GearLine(key, key, length_m, "m", text, f"gear.{source}")


def _count(key: str, times: int) -> GearLine:
    row = gear_rows()[key]
    amount = row.value * times
    return GearLine(key, row.what, amount, "", f"{amount:.0f}", f"gear.{key}")


def gear_step(lines: Sequence[GearLine], steps: Sequence[Step], zone: dt.tzinfo) -> Iterator[Step]:
    """Lay the check out for the evening before the first work at board or fire."""
    first = min((s.at for s in steps if s.id.partition("-")[0] not in _BEFORE), default=None)
    if first is None or not lines:
        return
    eve = first.astimezone(zone).date() - dt.timedelta(days=1)
    at = utc(dt.datetime.combine(eve, clock_of(gear_value("check")), zone))
    told = ", ".join(f"{line.what} {line.text}" for line in lines)
    yield make_step("gear", "", at, detail=told)
