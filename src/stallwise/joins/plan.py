"""The one place where a Cook becomes a Plan: quantities to SI, clock times to seconds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from zoneinfo import ZoneInfo

from stallwise.ground import units
from stallwise.ground.errors import CookWarning, InputError, placed_at
from stallwise.joins import timing
from stallwise.joins.fire import around
from stallwise.joins.fire.holdplace import hold_of
from stallwise.joins.fire.pitplaces import Stay, lies, pit_change, stays, untested
from stallwise.joins.fire.pitplan import PitState, curve_from
from stallwise.joins.fire.pitseen import pit_seen
from stallwise.joins.learn.probed import probe_traces
from stallwise.joins.sheet import visits
from stallwise.joins.sheet.tablework import TableWork
from stallwise.models.plan import Body, Facts, PiecePlan, Wrap
from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.schema import Cook, Piece
from stallwise.tables.catalogue import Cut, Dimensions, cut, dimensions
from stallwise.tables.humid_air import pressure_at_elevation_pa

__all__ = ["Planned", "piece_cut", "piece_kg", "piece_sizes", "plan_piece"]

#: Not wrapped yet although the window has passed: it is expected within this time.
_OVERDUE_S = 1800.0
#: A pit in dry weather is no drier than this share of its kind's usual.
_DRIEST = 0.1


@dataclass(frozen=True)
class Planned:
    """One piece ready for the models, with what the day sheet and the Result need of it."""

    piece: Piece
    cut: Cut
    finish: str
    plan: PiecePlan
    mass_kg: float
    rest_s: float
    carve_s: float
    wrap_window_s: tuple[float, float] | None
    spritz_window_s: tuple[float, float] | None
    warnings: tuple[CookWarning, ...]
    serve_core_c: float | None = None
    table: TableWork = field(default_factory=TableWork)
    glaze: visits.Glazing = field(default_factory=visits.Glazing)


def piece_cut(record: CookRecord, piece: Piece) -> Cut:
    """Catalogue entry of a piece, the cook's own cuts first."""
    return cut(piece.cut, overlay=record.cuts)


def plan_piece(
    record: CookRecord,
    cook: Cook,
    piece: Piece,
    *,
    pits: Mapping[str, PitState],
    lines: Sequence[LogLine],
    on_at: dt.datetime,
    hour_zero: dt.datetime,
    as_of: dt.datetime,
    zone: ZoneInfo,
) -> Planned:
    """Turn one piece into what the models take.

    Parameters
    ----------
    record, cook, piece : CookRecord, Cook, Piece
        The record, the cook with changes laid over it, and the piece.
    pits : mapping of letter to PitState
        Pit curves in seconds since hour zero.
    lines : sequence of LogLine
        What was logged until `as_of`.
    on_at, hour_zero, as_of : datetime
        Meat on of this piece, of the first piece, and the moment of the forecast.
    zone : ZoneInfo
        For planned clock times.
    """
    entry = piece_cut(record, piece)
    mass_kg = piece_kg(piece, entry)
    finish = entry.finish(piece.finish)
    sizes = piece_sizes(piece, entry)
    first = pits[piece.pit] if piece.pit else next(iter(pits.values()))
    start_s = (on_at - hour_zero).total_seconds()
    moves, points = _moves(piece, first, pits, lines, hour_zero, cook, zone)
    changes = [((at - on_at).total_seconds(), pit, place) for at, pit, place in moves]
    stood = stays(first, piece.place, changes, start_s=start_s)
    as_of_s = (as_of - on_at).total_seconds()
    running = as_of_s > 0 and timing.logged_on(lines, piece) is not None
    ended = any(timing.ends(line, piece) for line in lines)
    glaze = visits.glazing(piece, entry, mixed=around.glazes(record, cook, piece))
    wrap, window_s = _wrap(
        piece, entry, as_of_s if running and not ended else None, lines, glaze.unwrap_s
    )
    spritz_s, spritz_window = visits.spritzes(piece, entry)
    if running:
        glaze = around.still_to_coat(glaze, lines, piece, on_at, as_of_s)
    now_s = as_of_s if running else None
    wet = around.wet_visits(spritz_s, lines, piece, entry, on_at=on_at, as_of_s=now_s, glaze=glaze)
    looks_s = visits.looks_s(piece, entry)
    pressure_pa = float(pressure_at_elevation_pa(_elevation(record, cook)))
    rest_s = _duration(piece.rest, "rest", entry.rest_s)
    plan = PiecePlan(
        key=piece.letter,
        cut=entry.key,
        body=Body(
            mass_kg,
            *sizes.half_m,
            composition=entry.composition,
            surface=entry.surface,
            tissue=entry.tissue,
            measured=sizes.measured,
        ),
        target=finish.target,
        pit=curve_from(points, start_s),
        pit_name=first.name,
        pit_kind=first.kind,
        number_place=stood[0].where.at,
        place=lies(first, stood[0].where, stood[0].spot),
        pit_changes=tuple(pit_change(stay) for stay in stood[1:]),
        count=piece.count,
        start_core_c=_start_core(piece, entry),
        wrap=wrap,
        spritz=wet,
        openings_s=around.openings_s(looks_s, lines, cook, piece, on_at=on_at, as_of_s=now_s),
        ambient_c=around.ambient_c(cook),
        rest_s=rest_s,
        hold=hold_of(piece, cook, pits),
        pressure_pa=pressure_pa,
        humidity_factor=_damp(record, cook, pits, first, pressure_pa),
        facts=_facts(piece, lines, on_at, as_of) if running else None,
    )
    if running:
        plan = _probed(plan, record, piece, lines, stood, on_at, as_of)
    warnings = (
        *(CookWarning(warning.key, warning.text, piece.letter) for warning in sizes.warnings),
        *_assumed(record, cook, piece, entry, first),
        *untested(piece, first, record.pits),
        *around.skin_warning(piece, finish.words, plan.pit, record.book.units),
    )
    return Planned(
        piece,
        entry,
        finish.words,
        plan,
        mass_kg,
        rest_s,
        _duration(piece.carve, "carve", entry.carve_s * piece.count),
        window_s,
        spritz_window,
        warnings,
        _serve_core(piece, entry, finish.words),
        glaze=glaze,
    )


def _assumed(
    record: CookRecord, cook: Cook, piece: Piece, entry: Cut, pit: PitState
) -> tuple[CookWarning, ...]:
    """Say what the cook did not say and the cut's habit stands in for."""
    system = record.book.units
    use = next((use for use in cook.pits if use.letter == pit.letter), None)
    taken = []
    if not piece.mass:
        taken.append(f"weight {units.format_mass(entry.usual_mass_kg, system)}")
    if use is None or not (use.start or use.schedule):
        taken.append(f"pit {units.format_temperature(entry.pit_c, system)}")
    if not piece.wrap:
        taken.append("no wrap" if entry.wrap.kind == "none" else f"wrap in {entry.wrap.kind}")
    if not piece.finish:
        taken.append(f"finish “{entry.usual_finish}”")
    if not taken:
        return ()
    text = f"Nothing was said of it, so what is usual is taken: {', '.join(taken)}."
    return (CookWarning("assumed", text, piece.letter),)


def _damp(
    record: CookRecord, cook: Cook, pits: Mapping[str, PitState], pit: PitState, pressure_pa: float
) -> float:
    """Factor on a pit's humidity for all that is known of its air."""
    inside = around.damp_factor(cook, pits, pit, _load(record, cook, pit, pits))
    return max(inside + around.outside_factor(cook, pit, pressure_pa) - 1.0, _DRIEST)


def _load(record: CookRecord, cook: Cook, pit: PitState, pits: Mapping[str, PitState]) -> float:
    """All the meat that goes on a pit first [kg]."""
    usual = next(iter(pits.values())).letter
    return sum(
        each.count * piece_kg(each, piece_cut(record, each))
        for each in cook.pieces
        if (each.pit or usual) == pit.letter
    )


def piece_kg(piece: Piece, entry: Cut) -> float:
    """Weight of one piece as it goes on [kg], the cut's usual one where nothing is said."""
    return units.parse("mass", piece.mass, key="mass") if piece.mass else entry.usual_mass_kg


def piece_sizes(piece: Piece, entry: Cut) -> Dimensions:
    """Sizes of one piece from its weight and what was measured of it."""
    with placed_at(f"piece {piece.letter}"):
        return dimensions(
            entry,
            piece_kg(piece, entry),
            thickness=_thickness(piece),
            width_m=_length(piece.width, "width"),
            length_m=_length(piece.length, "length"),
        )


def _thickness(piece: Piece) -> str | float:
    if piece.thickness in {"thin", "usual", "thick"}:
        return piece.thickness
    return units.parse("length", piece.thickness, key="thickness")


def _length(text: str | None, key: str) -> float | None:
    return units.parse("length", text, key=key) if text else None


def _duration(text: str | None, key: str, default_s: float) -> float:
    return units.parse("duration", text, key=key) if text else default_s


def _serve_core(piece: Piece, entry: Cut, finish: str) -> float | None:
    if piece.serve_core:
        return units.parse("temperature", piece.serve_core, key="serve_core")
    return entry.serve_core_c.get(finish)


def _start_core(piece: Piece, entry: Cut) -> float:
    if piece.start_core:
        return units.parse("temperature", piece.start_core, key="start_core")
    return entry.start_core_c


def _elevation(record: CookRecord, cook: Cook) -> float:
    return units.parse("elevation", cook.elevation or record.book.elevation, key="elevation")


def _wrap(
    piece: Piece,
    entry: Cut,
    as_of_s: float | None,
    lines: Sequence[LogLine],
    unwrap_s: float | None,
) -> tuple[Wrap, tuple[float, float] | None]:
    """Planned wrap; one that is overdue at the as-of moment is still to come."""
    kind = piece.wrap or entry.wrap.kind
    if kind == "none":
        return Wrap(), None
    given = piece.wrap_from or piece.wrap_to
    early_s = _duration(piece.wrap_from, "wrap_from", entry.wrap.earliest_s)
    late_s = _duration(piece.wrap_to, "wrap_to", max(entry.wrap.latest_s, early_s))
    if late_s < early_s:
        raise InputError(
            f"piece {piece.letter} is wrapped from {piece.wrap_from} to {piece.wrap_to}",
            "wrap_from before wrap_to",
        )
    if unwrap_s is not None and unwrap_s <= early_s:
        raise InputError(
            f"piece {piece.letter} is unwrapped at {piece.unwrap}, before it is wrapped",
            "unwrap after wrap_from",
        )
    wrapped = any(line.what == "wrapped" and timing.concerns(line, piece) for line in lines)
    if as_of_s is not None and not wrapped:
        early_s = max(early_s, as_of_s)
        late_s = max(late_s, as_of_s + _OVERDUE_S)
    window = (early_s, late_s)
    if piece.wrap_core:
        core_c = units.parse("temperature", piece.wrap_core, key="wrap_core")
        bounds = window if given else None
        wrap = Wrap(
            kind,
            earliest_s=bounds[0] if bounds else None,
            latest_s=bounds[1] if bounds else None,
            core_c=core_c,
            unwrap_s=unwrap_s,
        )
        return wrap, bounds
    return Wrap(kind, earliest_s=early_s, latest_s=late_s, unwrap_s=unwrap_s), window


def _moves(
    piece: Piece,
    first: PitState,
    pits: Mapping[str, PitState],
    lines: Sequence[LogLine],
    hour_zero: dt.datetime,
    cook: Cook,
    zone: ZoneInfo,
) -> tuple[list[tuple[dt.datetime, PitState, str | None]], Sequence[tuple[float, float]]]:
    """Later pits and places of a piece, and one curve that jumps where it moves."""
    moves = [
        (at, pits[to], place) for at, to, place in timing.moves(cook, piece, lines, zone, pits)
    ]
    points = list(first.points)
    for at, pit, _ in moves:
        at_s = (at - hour_zero).total_seconds()
        before = curve_from(points, 0.0).at(at_s)
        after = curve_from(pit.points, 0.0).at(at_s)
        points = [p for p in points if p[0] < at_s]
        points += [(at_s, float(before)), (at_s, float(after))]
        points += [p for p in pit.points if p[0] > at_s]
    return moves, points


def _facts(piece: Piece, lines: Sequence[LogLine], on_at: dt.datetime, as_of: dt.datetime) -> Facts:
    """Gather what was seen of a piece, in its own seconds."""
    about = [line for line in lines if timing.concerns(line, piece)]

    def seconds(line: LogLine | None) -> float | None:
        return None if line is None else (line.at - on_at).total_seconds()

    wrapped = _last(about, "wrapped")
    tender = next((line for line in about if _verdict(line) in {"tender", "past it"}), None)
    not_yet = [
        line
        for line in about
        if _verdict(line) in {"not yet", "nearly"} and (tender is None or line.at < tender.at)
    ]
    as_of_s = (as_of - on_at).total_seconds()
    # Nobody has called it tender or taken it off: then it is not tender yet as of now.
    still_on = not any(timing.ends(line, piece) for line in about)
    return Facts(
        as_of_s=as_of_s,
        wrapped_s=seconds(wrapped),
        wrap_kind=str(wrapped.data["kind"]) if wrapped and wrapped.data.get("kind") else None,
        unwrapped_s=seconds(_last(about, "unwrapped")),
        not_tender_s=as_of_s if still_on else seconds(not_yet[-1]) if not_yet else None,
        tender_s=seconds(tender),
    )


def _probed(
    plan: PiecePlan,
    record: CookRecord,
    piece: Piece,
    lines: Sequence[LogLine],
    stood: Sequence[Stay],
    on_at: dt.datetime,
    as_of: dt.datetime,
) -> PiecePlan:
    """Lay what probes and gauges have read over the facts; a pit is believed where it was read."""
    if plan.facts is None:
        return plan
    probes = probe_traces(record.readings, lines, piece, on_at=on_at, as_of=as_of)
    seen = pit_seen(record.readings, lines, plan.pit, stood, on_at=on_at, as_of=as_of)
    if seen is None:
        return replace(plan, facts=replace(plan.facts, probes=probes))
    first = seen.stays[0]
    return replace(
        plan,
        pit=seen.plan,
        number_place=first.where.at,
        place=lies(first.pit, first.where, first.spot),
        pit_changes=tuple(pit_change(stay) for stay in seen.stays[1:]),
        facts=replace(plan.facts, probes=probes, pit=seen.curve, others=seen.others),
    )


def _last(lines: Sequence[LogLine], what: str) -> LogLine | None:
    return next((line for line in reversed(lines) if line.what == what), None)


def _verdict(line: LogLine) -> str:
    return str(line.data.get("verdict", "")) if line.what == "feel_check" else ""
