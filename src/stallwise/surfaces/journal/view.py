"""A cook's page as plain data: strings, tables and pictures, in the order they are read.

Nothing is computed here: a Result and the public words of a record are put into words by
the formatters that every surface shares.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from stallwise.joins import tables, words
from stallwise.joins.fire.fuelwords import logged_table
from stallwise.joins.learn.inferredwords import inferred_table
from stallwise.joins.learn.keptresult import CookTally
from stallwise.joins.learn.keptwords import kept_said, kept_table
from stallwise.joins.limit import limitwords
from stallwise.joins.limit.limitwords import Told
from stallwise.joins.mix.salttables import salt_parts
from stallwise.joins.mix.shoptables import spending_table
from stallwise.joins.result import PieceResult, Result
from stallwise.joins.sheet.steptable import caution
from stallwise.joins.tables import Table
from stallwise.pictures.charts import NARROW, WIDE, Picture, day_picture
from stallwise.surfaces.journal.downloads import Download, downloads
from stallwise.surfaces.journal.handed import HandInLine, hand_in_lines, number_said
from stallwise.surfaces.journal.mademix import MadeMix, made_mix
from stallwise.surfaces.journal.notes import as_html
from stallwise.surfaces.journal.origins import Origin, origins
from stallwise.surfaces.journal.photos import Photo
from stallwise.surfaces.journal.piecelines import PieceLine, piece_lines
from stallwise.surfaces.journal.preview import PREVIEW
from stallwise.surfaces.journal.public import PublicBook, PublicCook
from stallwise.surfaces.journal.recipe import recipe
from stallwise.surfaces.journal.sheetrows import SheetRow, sheet_rows
from stallwise.surfaces.journal.tasted import Tasted, tasted
from stallwise.surfaces.journal.toshow import ToShow, to_show

__all__ = ["Page", "page_of"]

#: Steps and lines of mixes that a printed recipe has room for in larger type.
_ROOMY = 16

#: Knowledge of a cookbook in which no cook has taught anything yet.
_TABLE = "table"


@dataclass(frozen=True)
class Page:
    """Everything on one page."""

    slug: str
    book: PublicBook
    cook: PublicCook
    day: str
    subtitle: str
    outcome: str
    lead: Photo | None
    photos: tuple[Photo, ...]
    preview: str
    wide: Markup
    narrow: Markup
    picture: Picture
    window: tuple[str, ...]
    rules_of_thumb: tuple[str, ...]
    told: tuple[str, ...]
    told_table: Table
    inferred: Table
    stages: Table
    serving: Table
    limits: tuple[Told, ...]
    limits_met: str
    rules: tuple[Told, ...]
    estimates: tuple[str, ...]
    defers: str
    apart: str
    sheet: tuple[SheetRow, ...]
    went: bool
    planned: bool
    over: bool
    full: bool
    mixes: tuple[MadeMix, ...]
    facts: Table
    fire: Table
    cost: Table
    recipe: Markup
    downloads: tuple[Download, ...]
    salt: tuple[tuple[str, str], ...]
    ledger: Table
    number: tuple[str, str, str] | None
    notes: Markup
    tasting: Markup
    tasted: tuple[Tasted, ...]
    made_with: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...]
    origins: tuple[Origin, ...]
    cuts: tuple[tuple[str, str], ...]
    pieces: tuple[PieceLine, ...]
    tallied: CookTally | None
    handed: tuple[HandInLine, ...]
    to_show: tuple[ToShow, ...]
    film_care: str


def page_of(
    slug: str, book: PublicBook, cook: PublicCook, result: Result, photos: Sequence[Photo]
) -> Page:
    """Put a Result and the public words of its cook together.

    Parameters
    ----------
    slug : str
        Name of the page's file.
    book, cook : PublicBook, PublicCook
        What may be shown of them.
    result : Result
        Answer to the cook, already without what is kept back.
    photos : sequence of Photo
        Lead photo first; those that only a hand-in names are told by their source.
    """
    wide = day_picture(result, dark=None, width=WIDE, prefix="wide")
    narrow = day_picture(result, dark=None, width=NARROW, prefix="narrow")
    at_hand = {one.source: one for one in photos}
    listed = [one for one in photos if one.source not in {each.file for each in cook.picked}]
    lead = listed[0] if listed else None
    handed = hand_in_lines(cook.handed, at_hand, lead)
    placed = {one.anchor for one in handed}
    outcome = cook.outcome or _outcome(result)
    sheet = sheet_rows(result)
    mixes = tuple(map(made_mix, result.mixes))
    told = recipe(
        book,
        cook,
        result,
        outcome=outcome,
        steps=[f"{row.what}, until {row.sign}" if row.sign else row.what for row in sheet],
        mixes=mixes,
        photos=[(f"photos/{slug}", one) for one in photos],
    )
    return Page(
        slug=slug,
        book=book,
        cook=cook,
        day=f"{cook.date:%A} {cook.date.day} {cook.date:%B %Y}",
        subtitle=_subtitle(result),
        outcome=outcome,
        lead=lead,
        # What stands with its hand-in does not stand among the rest again.
        photos=tuple(one for one in listed[1:] if one.anchor not in placed),
        preview=PREVIEW if book.base and not listed else "",
        wide=Markup(wide.svg),  # noqa: S704 - our own drawing, its words escaped by ink
        narrow=Markup(narrow.svg),  # noqa: S704
        picture=wide,
        window=tuple(_window(result)),
        rules_of_thumb=words.rules_said(result),
        told=kept_said(result),
        told_table=kept_table(result),
        inferred=inferred_table(result),
        stages=_for_pieces(tables.stage_table(result), result),
        serving=_for_pieces(tables.serving_table(result), result),
        limits=limitwords.told(result, limitwords.open_limits(result)),
        limits_met=limitwords.folded(result),
        rules=limitwords.told(result, result.limits),
        estimates=limitwords.estimate_lines(result),
        defers=limitwords.DEFERS,
        apart=limitwords.APART,
        sheet=sheet,
        went=any(step.done_at for step in result.steps),
        planned=result.state == "planned",
        over=result.state == "finished",
        full=len(sheet) + sum(len(mix.rows) for mix in mixes) > _ROOMY,
        mixes=mixes,
        facts=_facts(result),
        fire=logged_table(result),
        cost=spending_table(result),
        recipe=told,
        downloads=downloads(cook, result),
        salt=tuple(_salt(result)),
        ledger=tables.ledger_table(result),
        number=number_said(cook.number),
        notes=as_html(cook.notes),
        tasting=as_html(cook.tasting),
        tasted=tasted(result),
        made_with=tuple(_made_with(result)),
        warnings=tuple(warning.text for warning in result.warnings),
        origins=origins(result),
        cuts=tuple(dict.fromkeys((piece.cut, piece.name) for piece in result.pieces)),
        pieces=piece_lines(result),
        tallied=result.tallied,
        handed=handed,
        to_show=to_show(result, at_hand) if cook.shots else (),
        film_care=caution("raw_meat").full,
    )


def _outcome(result: Result) -> str:
    """Say what became of it, where the cook has not said so in a sentence."""
    if result.state == "planned":
        return "Not cooked yet."
    seen = [piece for piece in result.pieces if piece.finish_seen is not None]
    if not seen:
        stands = words.as_of_text(result)
        return f"{stands[:1].upper()}{stands[1:]}."
    if len(result.pieces) == 1:
        one = words.finish_seen(seen[0], result)
        return f"{one[:1].upper()}{one[1:]}."
    felt = [
        f"{piece.piece} at {words.day_clock(piece.finish_seen.at, result.date)}"
        for piece in seen
        if piece.finish_seen and piece.finish_seen.core_c is None
    ]
    if len(felt) == len(seen):
        return f"Tender: {words.joined(felt)}."
    return " ".join(f"{piece.piece}: {words.finish_seen(piece, result)}." for piece in seen)


def _subtitle(result: Result) -> str:
    """Name what was cooked: pieces with their weight as they went on; alike ones told together."""
    alike: dict[str, list[PieceResult]] = {}
    for piece in result.pieces:
        alike.setdefault(piece.name, []).append(piece)
    return words.joined([_pieces(group, result) for group in alike.values()])


def _pieces(group: Sequence[PieceResult], result: Result) -> str:
    count = sum(piece.count for piece in group)
    masses = sorted(piece.mass_kg for piece in group)
    ends = list(dict.fromkeys(words.mass(m, result.units) for m in (masses[0], masses[-1])))
    each = " each" if count > 1 else ""
    return f"{f'{count} × ' if count > 1 else ''}{group[0].name}, {' to '.join(ends)}{each}"


def _piece(piece: PieceResult, result: Result) -> str:
    return _pieces([piece], result)


def _window(result: Result) -> Iterator[str]:
    """Say for each piece when it was likely tender, how sure that was, and what became of it."""
    many = len(result.pieces) > 1
    for piece in result.pieces:
        said = f"{words.piece_headline(piece, result)} {words.ready_text(piece, result)}".strip()
        yield f"{piece.piece}. {said}" if many else said


def _for_pieces(table: Table, result: Result) -> Table:
    """Table with a column for the piece's letter; one piece needs none."""
    if len(result.pieces) > 1:
        return table
    rows = tuple(row[1:] for row in table.rows)
    return dataclasses.replace(table, header=table.header[1:], rows=rows)


def _facts(result: Result) -> Table:
    """Lay out what each piece weighed, lost and left to eat."""
    rows = [_weights(piece, result) for piece in result.pieces]
    header = (
        "piece",
        "what",
        "as bought",
        "as it went on",
        "likely lost",
        "lost, weighed",
        "to eat",
    )
    return Table("Weights", header, tuple(rows), "forecast")


def _weights(piece: PieceResult, result: Result) -> tuple[str, ...]:
    """Say what one piece was bought as and went on as; what was weighed stands beside what was likely."""
    scales, system = piece.weighed, result.units
    bought = scales.bought_kg if scales else None
    lost = scales.lost if scales else None
    return (
        piece.piece if len(result.pieces) > 1 else "",
        f"{f'{piece.count} × ' if piece.count > 1 else ''}{piece.name}",
        words.mass(bought, system) if bought else "",
        words.mass(piece.mass_kg, system) + (" each" if piece.count > 1 else ""),
        "" if piece.loss_fraction.p10 is None else words.spread_percent(piece.loss_fraction),
        "" if lost is None else words.percent(lost),
        _masses(piece, system),
    )


def _masses(piece: PieceResult, system: str) -> str:
    low, high = piece.edible_kg.p10, piece.edible_kg.p90
    if low is None or high is None:
        return ""
    return " to ".join(dict.fromkeys(words.mass(each, system) for each in (low, high)))


def _salt(result: Result) -> Iterator[tuple[str, str]]:
    """Salt for each piece: how much a kilogram eaten, and what it comes from."""
    for salt in result.salt:
        parts = salt_parts(salt)
        parts = list(salt.parts_g) if len(salt.parts_g) == 1 else parts
        head = f"{salt.piece}: " if len(result.salt) > 1 else ""
        yield (
            f"{head}{tables.grams(salt.per_kg_edible_g)} g of salt in a kilogram of what is eaten",
            f"{tables.grams(salt.salt_g)} g in all, from {words.joined(parts)}." if parts else "",
        )


def _made_with(result: Result) -> Iterator[tuple[str, str]]:
    stands = words.as_of_text(result)
    if result.hindcast:
        stands += "; worked out after the cook, when it was known how it went"
    yield "Forecast", stands
    yield "Possible days", f"{result.members}, drawn with seed {result.seed}"
    yield "Model", f"version {result.model_version}"
    taught = "the shipped table only" if result.knowledge == _TABLE else "what earlier cooks taught"
    yield "What it knew of the pits", taught
    if said := words.widening_words(result):
        yield "Past misses", said
    for piece in result.pieces:
        head = f"Piece {piece.piece}" if len(result.pieces) > 1 else "Piece"
        yield head, "; ".join(_plan(piece, result))


def _plan(piece: PieceResult, result: Result) -> Iterator[str]:
    yield _piece(piece, result)
    if piece.pit_c.p50:
        held = [
            words.temperature(at, result.units) for at in (piece.pit_c.p50[0], piece.pit_c.p50[-1])
        ]
        yield f"pit likely at {' and later '.join(dict.fromkeys(held))}"
    yield "no wrap" if piece.wrap == "none" else f"wrap: {piece.wrap}"
    yield f"rest {words.hours(piece.rest_h)}"
    loss = piece.loss_fraction
    if loss.p10 is not None:
        yield f"loses {words.spread_percent(loss)} of its weight"
