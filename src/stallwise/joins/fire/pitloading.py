"""Cold meat going on: how far it takes the pit down, how soon that is back, and raw birds kept apart."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from stallwise.ground import units
from stallwise.joins.chances import SheetPiece
from stallwise.joins.fire.around import ambient_c
from stallwise.joins.fire.pitplan import PitState, curve_from
from stallwise.joins.sheet.dayresult import Step
from stallwise.joins.sheet.stepdraft import SheetDay, pit_of
from stallwise.models.fire import FIRE_KINDS
from stallwise.models.pitload import Loading, loading
from stallwise.tables.parameters import parameter

__all__ = ["with_loading"]

#: Times are told to five minutes [s].
_FIVE_MIN_S = 300.0


def with_loading(
    steps: Sequence[Step], pieces: Sequence[SheetPiece], day: SheetDay
) -> Iterator[Step]:
    """Say at every visit with cold meat what it does to the pit, and where a raw bird lies.

    Parameters
    ----------
    steps, pieces, day : sequence of Step, sequence of SheetPiece, SheetDay
    """
    by_letter = {one.letter: one for one in pieces}
    visits: dict[tuple[str, float], list[SheetPiece]] = {}
    for step in steps:
        if step.id.startswith("meat_on-"):
            visits.setdefault((step.pit, step.at.timestamp()), []).append(by_letter[step.piece])
    for step in steps:
        together = visits.get((step.pit, step.at.timestamp()), [])
        if not step.id.startswith("meat_on-"):
            yield step
            continue
        said = [step.detail, _apart(by_letter[step.piece], pieces, day)]
        if step.piece == together[0].letter:
            said.append(_dip(together, day.pits[step.pit], step, day))
        yield replace(step, detail=", ".join(filter(None, said)))


def _apart(one: SheetPiece, pieces: Sequence[SheetPiece], day: SheetDay) -> str:
    """Where a bird lies beside other food."""
    others = [o for o in pieces if not o.is_bird and pit_of(o, day) == pit_of(one, day)]
    if not one.is_bird or not others or one.piece.place:
        return ""
    return "below other food or apart from it"


def _dip(together: Sequence[SheetPiece], pit: PitState, step: Step, day: SheetDay) -> str:
    if pit.kind not in FIRE_KINDS:
        return ""
    pit_c = float(curve_from(pit.points, 0.0).at((step.at - day.hour_zero).total_seconds()))
    kind, outside = pit.kind.replace(" ", "-"), ambient_c(day.cook)
    found: Loading = loading(
        sum(one.piece.count * one.surface_m2 for one in together),
        pit_c,
        convection_w_m2_k=parameter(f"pit.heating.{kind}").value,
        loss_w_k=parameter(f"pit.loss.{kind}").value,
        steel_kg=parameter(f"pit.steel.{kind}").value,
        outside_c=parameter("pit.opening.ambient").value if outside is None else outside,
    )
    if found.back_s < parameter("pit.loading.told").value:
        return ""
    dip = units.format_temperature_difference(found.dip_k, day.units)
    back = units.format_duration(math.ceil(found.back_s / _FIVE_MIN_S) * _FIVE_MIN_S)
    return f"the pit falls some {dip}, back in {back}: feed the fire before"
