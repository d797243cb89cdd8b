"""What of a cook may be shown: a short list of fields, and nothing that is not on it."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from stallwise.joins.limit.limitresult import LimitResult
from stallwise.joins.mix.mixresult import SpendingResult
from stallwise.joins.result import PieceResult, Result, Step
from stallwise.joins.taste.trialresult import TrialResult
from stallwise.record.keptback import ALL, COSTS, SHOTS, check_kept_back
from stallwise.record.schema import Book, Cook, Number
from stallwise.surfaces.journal.addresses import base_of
from stallwise.surfaces.journal.handed import PublicHandIn, handed_in
from stallwise.surfaces.journal.withheld import withheld

__all__ = [
    "PublicBook",
    "PublicCook",
    "PublicPhoto",
    "is_hidden",
    "public_book",
    "public_cook",
    "public_result",
]

#: Written by the cook, shown unless named in ``private``.
_FIELDS = ("outcome", "next_time", "notes", "tasting", "number", "tags")

#: Parts of a Result that a cook may keep back by name, and what is left instead.
_PARTS: dict[str, dict[str, Any]] = {
    "mixes": {"ledger": ()},
    "salt": {"salt": ()},
    "ledger": {"ledger": ()},
    "sheet": {"steps": ()},
    # What was foreseen on the way, and whether it held, would tell of both.
    "log": {"events": (), "fuel": (), "limits": (), "estimates": (), "kept": (), "tallied": None},
    "readings": {
        "readings": {}, "inferred": (), "limits": (), "estimates": (), "kept": (), "tallied": None,
    },
    "limits": {"limits": (), "estimates": ()},
    "trials": {"trials": ()},
    "tasting": {"trials": ()},
    "warnings": {"warnings": ()},
}  # fmt: skip

#: Limits that a page shows; those of a named food code tell whose it is.
_LIMITS = frozenset(
    {"minimum", "stuffing", "come_up", "hot_hold", "left_out", "cooling", "reheat", "raw_liquid",
     "probe_check"}
)  # fmt: skip

#: What is logged for nobody else: remarks, and what water boils at, which tells how high a place is.
_UNTOLD = frozenset({"note", "probe_check"})

#: Questions that name a price as it was written.
_ASKED = frozenset({"price-asked"})

#: A place on somebody's disk, in a sentence that was meant for the cook.
_PATH = re.compile(
    r"(?:^|[\s\"'(])(?:~|\.{1,2}|[A-Za-z]:)?[/\\][\w.-]+[/\\]|\w+\.(?:toml|jsonl|csv|ipynb)\b"
)


@dataclass(frozen=True)
class PublicPhoto:
    """A photo that may be shown; `file` names the source and does not reach the page."""

    file: str
    caption: str
    lead: bool


@dataclass(frozen=True)
class PublicBook:
    """What of a cookbook may be shown."""

    title: str
    author: str
    #: Where it is published, with a slash at its end; empty where nobody said.
    base: str = ""


@dataclass(frozen=True)
class PublicCook:
    """What of a cook's own words may be shown; empty where there is nothing."""

    title: str
    date: dt.date
    sample: bool
    outcome: str
    next_time: str
    notes: str
    tasting: str
    number: Number | None
    photos: tuple[PublicPhoto, ...]
    tags: tuple[str, ...] = ()
    handed: tuple[PublicHandIn, ...] = ()
    #: Photos of hand-ins that are not among `photos`.
    picked: tuple[PublicPhoto, ...] = ()
    #: Whether the page tells what to show.
    shots: bool = False


def public_book(book: Book) -> PublicBook:
    """Take title, author and address; nothing else of a cookbook is shown.

    Raises
    ------
    InputError
        The address is none.
    """
    return PublicBook(book.title, book.author, base_of(book.base_address))


def is_hidden(cook: Cook) -> bool:
    """Whether the whole cook is kept back."""
    return ALL in cook.private


def public_cook(cook: Cook) -> PublicCook:
    """Take what may be shown of a cook.

    Raises
    ------
    NotFoundError
        ``private`` names something that does not exist: a slip there must not publish what
        was meant to stay at home.
    """
    check_kept_back(cook)
    shown = {name: getattr(cook, name) for name in _FIELDS if name not in cook.private}
    photos = tuple(
        PublicPhoto(photo.file, photo.caption.strip(), photo.lead)
        for photo in cook.photos
        if not photo.private and _may_see(cook, photo.file)
    )
    handed = handed_in(cook)
    return PublicCook(
        title=cook.title,
        date=cook.date,
        sample=cook.sample,
        outcome=(shown.get("outcome") or "").strip(),
        next_time=(shown.get("next_time") or "").strip(),
        notes=(shown.get("notes") or "").strip(),
        tasting=(shown.get("tasting") or "").strip(),
        number=shown.get("number"),
        photos=photos,
        tags=tuple(dict.fromkeys(filter(None, map(str.strip, shown.get("tags") or ())))),
        handed=handed,
        picked=_picked(cook, handed),
        shots=SHOTS in set(cook.public) - set(cook.private),
    )


def _may_see(cook: Cook, file: str) -> bool:
    return not {"photos", f"photos.{file}"} & set(cook.private)


def _picked(cook: Cook, handed: Iterable[PublicHandIn]) -> tuple[PublicPhoto, ...]:
    """Take photos that only a hand-in names; one that is listed goes by what is said there."""
    listed = {photo.file for photo in cook.photos}
    named = dict.fromkeys(one.photo for one in handed if one.photo)
    return tuple(
        PublicPhoto(file, "", lead=False)
        for file in named
        if file not in listed and _may_see(cook, file)
    )


#: What is bought for any cook, and everything else that has no price and no name on the page.
_BOUGHT, _OTHER = frozenset({"fuel", "foil", "butcher paper"}), "other things"

#: Parts of a Result that a page may tell of as they are. What is on no list of this file is left out.
_TOLD = (
    "cook", "title", "date", "state", "sample", "units", "time_zone", "made_at", "as_of", "hour_zero",
    "seed", "members", "model_version", "knowledge", "hindcast", "odds_words", "odds", "mixes", "salt",
    "ledger", "readings", "inferred", "estimates", "widening", "widening_cooks", "kept", "tallied",
    "sources",
)  # fmt: skip


def public_result(result: Result, private: Iterable[str], public: Iterable[str] = ()) -> Result:
    """Take of a Result what may be shown; the rest is as empty as if it had never been.

    Parameters
    ----------
    result : Result
        Answer to a cook.
    private, public : iterable of str
        Keys of ``cook.toml``: what is kept back that a page would show, and what is shown that it
        would keep back (``costs``, ``shots``). What stands in both is kept back.
    """
    private = set(private)
    if "mixes" in private:
        private |= {f"mixes.{mix.mix}" for mix in result.mixes}
    kept: dict[str, Any] = {name: getattr(result, name) for name in _TOLD} | {
        "events": tuple(event for event in result.events if event.what not in _UNTOLD),
        "warnings": tuple(
            one for one in result.warnings if one.key not in _ASKED and not _PATH.search(one.text)
        ),
        # What a reader may see of them: rules for homes, and no figure that tells of the place.
        "limits": tuple(_plain_limit(one) for one in result.limits if one.limit in _LIMITS),
        # Who did it is theirs; a calendar would name them.
        "steps": tuple(_plain_step(step, private) for step in result.steps),
        # What a pit is called, and how its vents stood for somebody's earlier cook.
        "fuel": tuple(
            dataclasses.replace(fire, name="", vents_before="", vents_date="")
            for fire in result.fuel
        ),
        "trials": tuple(_plain_trial(one) for one in result.trials if _may_show(one)),
    }
    if "log" in private:  # what agrees with the log would tell of it
        kept["inferred"] = tuple(one for one in result.inferred if not one.agrees_with)
    for name, left in _PARTS.items():
        if name in private:
            kept |= left
    if "notes" in private:
        kept["mixes"] = tuple(dataclasses.replace(mix, own=()) for mix in result.mixes)
    kept["pieces"] = tuple(_plain_finish(piece, private) for piece in result.pieces)
    shown = withheld(Result(inputs="", **kept), private)
    if COSTS in set(public) - private:
        shown = dataclasses.replace(shown, spending=_spent(result, shown, private))
    return shown


def _spent(result: Result, shown: Result, private: Collection[str]) -> SpendingResult | None:
    """Take what the day cost; nothing that would tell of a piece kept back or name what the page does not."""
    spent = result.spending
    if spent is None or len(shown.pieces) < len(result.pieces):
        return None
    named = {piece.name for piece in shown.pieces} | _BOUGHT
    named |= {line.name for mix in shown.mixes for line in mix.lines}
    without = dict.fromkeys(name if name in named else _OTHER for name in spent.without)
    each = None if "guests" in private else spent.per_serving
    return dataclasses.replace(spent, without=tuple(without), per_serving=each)


def _plain_finish(piece: PieceResult, private: Collection[str]) -> PieceResult:
    """Drop when it had its finish where what told of it is kept back; a log dates meat on too."""
    seen = piece.finish_seen
    hidden = "log" in private or ("readings" in private and seen is not None and seen.how == "core")
    return dataclasses.replace(piece, finish_seen=None) if hidden else piece


def _plain_step(step: Step, private: Collection[str]) -> Step:
    """Drop who does a step, and when it was done where the log is kept back."""
    return dataclasses.replace(step, person="", done_at=None if "log" in private else step.done_at)


def _plain_limit(one: LimitResult) -> LimitResult:
    """Drop what tells more: boiling water how high a place is, a liquid which mix it was."""
    tells = one.limit in {"probe_check", "raw_liquid"}
    return dataclasses.replace(one, facts=()) if tells else one


def _may_show(one: TrialResult) -> bool:
    """Tell a trial once its key is open; one in the making would say what to expect."""
    return not one.private and one.state in {"closed", "noticed"}


def _plain_trial(one: TrialResult) -> TrialResult:
    """Drop what tasters said in their own words; it was meant for the cook."""
    doubts = tuple(said for said in one.doubts if not _PATH.search(said))
    return dataclasses.replace(one, words=(), doubts=doubts)
