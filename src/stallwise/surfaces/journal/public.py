"""What of a cook may be shown: a short list of fields, and nothing that is not on it."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.limit.limitresult import Cards, LimitResult
from stallwise.joins.result import PieceResult, Result, Step
from stallwise.joins.sheet.sheetwords import kind_of
from stallwise.joins.taste.trialresult import TrialResult
from stallwise.record.schema import Book, Cook, Number
from stallwise.surfaces.journal.addresses import base_of

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
    "log": {"events": (), "fuel": (), "limits": (), "estimates": ()},
    "readings": {"readings": {}, "inferred": (), "limits": (), "estimates": ()},
    "limits": {"limits": (), "estimates": ()},
    "trials": {"trials": ()},
    "tasting": {"trials": ()},
    "warnings": {"warnings": ()},
}

#: Limits that a page shows; those of a named food code tell whose it is.
_LIMITS = frozenset(
    {"minimum", "stuffing", "come_up", "hot_hold", "left_out", "cooling", "reheat", "raw_liquid",
     "probe_check"}
)  # fmt: skip

#: What is logged for nobody else: remarks, and what water boils at, which tells how high a place is.
_UNTOLD = frozenset({"note", "probe_check"})

#: What a page cannot do without: to name one of these would keep nothing back.
_NEEDED = frozenset(
    {
        "schema_",
        "title",
        "date",
        "private",
        "sample",
        "serve",
        "odds",
        "pits",
        "pieces",
        "salt_target",
    }
)

#: Keeps the whole cook back.
_ALL = "all"

_HIDDEN_MIX = "a mix kept private"

#: How many eat, and what is said instead.
_GUESTS, _SOME = re.compile(r"\b\d+ guests?\b"), "all guests"

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
    return _ALL in cook.private


def public_cook(cook: Cook) -> PublicCook:
    """Take what may be shown of a cook.

    Raises
    ------
    NotFoundError
        ``private`` names something that does not exist: a slip there must not publish what
        was meant to stay at home.
    """
    _check(cook)
    shown = {name: getattr(cook, name) for name in _FIELDS if name not in cook.private}
    photos: tuple[PublicPhoto, ...] = ()
    if "photos" not in cook.private:
        photos = tuple(
            PublicPhoto(photo.file, photo.caption.strip(), photo.lead)
            for photo in cook.photos
            if not photo.private and f"photos.{photo.file}" not in cook.private
        )
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
    )


def public_result(result: Result, private: Iterable[str]) -> Result:
    """Leave out of a Result what is kept back, and remarks that were never meant for others."""
    private = set(private)
    if "mixes" in private:
        private |= {f"mixes.{mix.mix}" for mix in result.mixes}
    changes: dict[str, Any] = {
        "events": tuple(event for event in result.events if event.what not in _UNTOLD),
        "warnings": tuple(w for w in result.warnings if not _PATH.search(w.text)),
        # What a reader may see of them: rules for homes, and no figure that tells of the place.
        "limits": tuple(_plain_limit(one) for one in result.limits if one.limit in _LIMITS),
        # Who did it is theirs; a calendar would name them.
        "steps": tuple(_plain_step(step, private) for step in result.steps),
        "roles": (),
        "crowd": None,
        "remedies": (),
        "troubles": (),
        "night": None,  # when people sleep and who gets up is their own
        "costs": (),  # what somebody paid is nobody's business
        "spending": None,
        "nutrition": (),  # and this is no label
        "trials": tuple(_plain_trial(one) for one in result.trials if _may_show(one)),
        "cards": Cards(),  # nor are these for a page: makers change what is in a jar
    }
    if "log" in private:  # what agrees with the log would tell of it
        changes["inferred"] = tuple(one for one in result.inferred if not one.agrees_with)
    for name, left in _PARTS.items():
        if name in private:
            changes |= left
    if "notes" in private:
        changes["mixes"] = tuple(dataclasses.replace(mix, own=()) for mix in result.mixes)
    changes["pieces"] = tuple(_plain_finish(piece, private) for piece in result.pieces)
    return _without(dataclasses.replace(result, **changes), private)


def _without(result: Result, private: Collection[str]) -> Result:
    """Drop what is told in many places, name by name."""
    if "jobs" in private:
        result = _without_jobs(result)
    if "guests" in private:
        result = _without_guests(result)
    for name in sorted(private):
        head, _, key = name.partition(".")
        if head == "mixes" and key:
            result = _without_mix(result, key)
        elif head == "pieces" and key.isalpha() and len(key) == 1:
            result = _without_piece(result, key)
    return result


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


def _without_jobs(result: Result) -> Result:
    """Drop work beside the meat, and warnings that name it."""
    names = [step.what.casefold() for step in result.steps if kind_of(step) == "job"]
    return dataclasses.replace(
        result,
        steps=tuple(step for step in result.steps if kind_of(step) != "job"),
        warnings=tuple(
            one for one in result.warnings if not any(name in one.text.casefold() for name in names)
        ),
    )


def _without_guests(result: Result) -> Result:
    """Drop how many eat, and what one of them gets."""
    return dataclasses.replace(
        result,
        mixes=tuple(
            dataclasses.replace(mix, for_text=_GUESTS.sub(_SOME, mix.for_text))
            for mix in result.mixes
        ),
        salt=tuple(
            dataclasses.replace(salt, serving_kg=0.0, sodium_mg_per_serving=0.0)
            for salt in result.salt
        ),
        warnings=tuple(one for one in result.warnings if not _GUESTS.search(one.text)),
    )


def _without_piece(result: Result, letter: str) -> Result:
    def keep(items: Iterable[Any]) -> tuple[Any, ...]:
        return tuple(item for item in items if item.piece != letter)

    if not keep(result.pieces):
        raise InputError(
            f'private = ["pieces.{letter}"] leaves no piece to show',
            "some of the pieces",
            f'To keep the whole cook back write private = ["{_ALL}"]',
        )
    return dataclasses.replace(
        result,
        pieces=keep(result.pieces),
        steps=keep(result.steps),
        events=keep(result.events),
        inferred=keep(result.inferred),
        limits=keep(result.limits),
        estimates=keep(result.estimates),
        salt=keep(result.salt),
        warnings=keep(result.warnings),
        readings={k: v for k, v in result.readings.items() if k.split()[0] != letter},
        mixes=tuple(mix for mix in result.mixes if mix.on != (letter,)),
    )


def _without_mix(result: Result, key: str) -> Result:
    """Drop a mix; its salt still counts, under no name."""
    names = {key} | {mix.name for mix in result.mixes if mix.mix == key}

    def plain(text: str) -> str:
        for name in sorted(names, key=len, reverse=True):
            text = re.sub(
                rf"(?<!\w){re.escape(name)}(?!\w)", _HIDDEN_MIX, text, flags=re.IGNORECASE
            )
        return text

    return dataclasses.replace(
        result,
        mixes=tuple(
            dataclasses.replace(
                mix,
                own=tuple(note for note in mix.own if plain(note) == note),
                notes=tuple(note for note in mix.notes if plain(note) == note),
                lines=tuple(
                    dataclasses.replace(line, ingredient="", name=_HIDDEN_MIX)
                    if line.ingredient == key or line.name in names
                    else line
                    for line in mix.lines
                ),
                parts=tuple(part for part in mix.parts if part != key),
            )
            for mix in result.mixes
            if mix.mix != key
        ),
        salt=tuple(
            dataclasses.replace(
                salt,
                parts_g=_summed((plain(k), v) for k, v in salt.parts_g.items()),
                landing=None if salt.landing and salt.landing.mix in names else salt.landing,
            )
            for salt in result.salt
        ),
        ledger=tuple(
            line
            for line in result.ledger
            if plain(line.what) == line.what and all(plain(name) == name for name in line.used)
        ),
        steps=tuple(
            dataclasses.replace(
                step,
                what=plain(step.what),
                detail=plain(step.detail),
                until_sign=plain(step.until_sign),
            )
            for step in result.steps
        ),
        warnings=tuple(w for w in result.warnings if plain(w.text) == w.text),
    )


def _summed(parts: Iterable[tuple[str, float]]) -> dict[str, float]:
    total: dict[str, float] = {}
    for name, grams in parts:
        total[name] = total.get(name, 0.0) + grams
    return total


def _check(cook: Cook) -> None:
    """Every name in ``private`` has to mean something."""
    known = {
        _ALL,
        *_PARTS,
        *(set(Cook.model_fields) - _NEEDED),
    }
    parts = {
        "mixes": {mix.mix for mix in cook.mixes},
        "photos": {photo.file for photo in cook.photos},
        "pieces": {piece.letter for piece in cook.pieces},
    }
    known |= {f"{head}.{key}" for head, keys in parts.items() for key in keys}
    for name in cook.private:
        if name not in known:
            raise NotFoundError("key for private", name, known, where="cook.toml")
