"""What the words of a short line mean in this cook: events, whose they are, checked values."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stallwise.ground import units
from stallwise.ground.errors import InputError
from stallwise.joins.log.eventvalues import CHECKS, Case
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.shortline import Parts, letters_in
from stallwise.joins.log.spelling import corrected, not_understood
from stallwise.joins.log.vocabulary import (
    DATA_NAMES,
    Degrees,
    Event,
    events,
    nouns,
    said,
    tokens,
    words,
)

__all__ = ["Meaning", "understand"]

_SPLIT = re.compile(r"\s*(?:[,;&+]|\band then\b|\band\b|\bthen\b)\s*", re.IGNORECASE)
_BOTH = re.compile(
    r"(?P<lead>.*?)(?P<degrees>\d{2,3}(?:[.,]\d)?\s*(?:°|º)?\s*[fcFC]?)\s+(?P<rest>[a-zA-Z].*)"
)


@dataclass(frozen=True)
class Meaning:
    """What a short line means.

    Attributes
    ----------
    events : tuple of Event
        With SI values.
    pieces : tuple of str
        Letters, empty for all.
    pit : str
        Letter of a pit, where one was named.
    pit_of : str
        Letter of the pit that an event of a pit belongs to.
    text : str
        The words as typed.
    note : str
        The remark.
    read_as : str
        The words with their spelling put right, where they were misspelt.
    named : str or None
        Letters that were named, as ``A,B`` or ``all``.
    """

    events: tuple[Event, ...]
    pieces: tuple[str, ...]
    pit: str
    pit_of: str
    text: str
    note: str
    read_as: str = ""
    named: str | None = None

    @property
    def dated_by(self) -> tuple[str, ...]:
        """Pieces whose own meat on counts for an elapsed time."""
        return self.pieces

    def whose(self, what: str) -> tuple[tuple[str, str], ...]:
        """Piece and pit of each log line of an event."""
        pit = self.pit_of if words()[what].whose == "pit" else self.pit
        return tuple((piece, pit) for piece in self.pieces or ("",))


def understand(
    parts: Parts,
    who: str | None,
    context: PaperContext,
    *,
    settings: Mapping[str, str] | None = None,
    note: str = "",
) -> Meaning:
    """Understand the words of a line.

    Parameters
    ----------
    parts : Parts
        The line taken apart.
    who : str or None
        Letters as ``A,B``, ``all``, or None where nothing is said.
    context : PaperContext
        What is known of the cook.
    settings : mapping, optional
        Values laid over what the words say.
    note : str, optional
        A further remark.

    Raises
    ------
    InputError
        With what to ask.
    """
    text, read_as = " ".join(parts.words.split()), ""
    plain, loose = _loosely(parts.words) if not parts.is_note else (parts.words, "")
    remark = " – ".join(filter(None, [loose, parts.note, note]))
    if parts.is_note:
        if not remark:
            raise InputError("a note without words", "note: wind got up")
        found, named = [Event("note")], who
    else:
        found, named, read_as = _events(plain, who, context)
    pieces, pit = _whose(named, context)
    found = [_checked(event, pieces, pit, parts, settings or {}, context) for event in found]
    pit_of = _pit_of(found, pieces, pit, context)
    return Meaning(tuple(found), pieces, pit, pit_of, text, remark, read_as, named)


_LOOSE = re.compile(
    r"(?:(?:\b(?:about|around|roughly|approx\.?|abt\.?)\s+|~\s*)(?P<after>\d{2,3}\b)|"
    r"\b(?P<before>\d{2,3})(?P<unit>\s*°?\s*[fcFC]\b)?\s?-?ish\b)",
    re.IGNORECASE,
)


def _loosely(text: str) -> tuple[str, str]:
    """Take ``265ish`` for 265, and say that it was about."""
    plain, count = _LOOSE.subn(lambda m: m["after"] or f"{m['before']}{m['unit'] or ''}", text)
    return plain, "about" if count else ""


_Reading = tuple[list[Event], str | None]


def _events(
    text: str, who: str | None, context: PaperContext
) -> tuple[list[Event], str | None, str]:
    """Find what the words mean, of whom, and how they were read where they were misspelt."""
    if not text:
        raise InputError("nothing is said beside the time", "what happened: 'wrapped foil'")
    if who in context.pits and re.fullmatch(r"\d{2,3}\s*(?:°|º)?\s*[fcFC]?", text):
        text = f"pit {text}"
    readings, read_as = _meanings(text, who, context), ""
    if not readings:
        readings, read_as = _misspelt(text, who, context)
    if not readings and re.search(r"\bboth\b", text) and len(context.pieces) != 2:
        letters_in("both", context)
    if not readings:
        raise not_understood(text)
    if len(readings) > 1:
        ways = " or ".join(
            dict.fromkeys(
                repr(" and ".join(said(e.what, _shown(e), context.units) for e in found))
                for found, _ in readings[:3]
            )
        )
        raise InputError(f"{text!r} can mean {ways}", "other words for one of them")
    return (*readings[0], read_as)


def _shown(event: Event) -> dict[str, Any]:
    """Values as they are read back, before they are checked."""
    return {name: value for name, value in event.data.items() if not isinstance(value, Degrees)}


def _meanings(text: str, who: str | None, context: PaperContext) -> list[_Reading]:
    readings: list[_Reading] = []
    for words_, named in _whose_words(text, who, context):
        for found in _phrases(words_, context):
            if (found, named) not in readings:
                readings.append((found, named))
        if readings:
            break
    return readings


def _misspelt(text: str, who: str | None, context: PaperContext) -> tuple[list[_Reading], str]:
    """Read misspelt words as the ones that they are near to, where that means one thing."""
    near: list[tuple[list[_Reading], str]] = []
    parts = re.findall(r"[^\W\d_]+(?:['’][^\W\d_]+)*|[^a-zA-Z]+", text)
    for said_as in corrected([part.casefold() if part[0].isalpha() else "1" for part in parts]):
        fixed = "".join(
            part if part.casefold() == word or not part[0].isalpha() else word
            for part, word in zip(parts, said_as, strict=True)
        )
        readings = _meanings(fixed, who, context)
        if readings:
            near.append((readings, fixed.strip()))
    if near and all(readings == near[0][0] for readings, _ in near):
        # "servd" is one letter from "serve" and from "served", which mean the same.
        return max(near, key=lambda each: len(each[1]))
    return [], ""


def _phrases(text: str, context: PaperContext) -> list[list[Event]]:
    """Every way to read the words, as one thing or as several joined ones."""
    single = _one_of(events(_without(tokens(text))), context) or _one_of(
        events(_without(tokens(text), {"it", "meat"})), context
    )
    if single:
        return [[event] for event in single]
    parts = [part for part in _SPLIT.split(text) if part]
    if len(parts) > 1:
        each = [_phrases(part, context) for part in parts]
        if all(len(found) == 1 for found in each):
            return [[event for found in each for event in found[0]]]
    both = _BOTH.fullmatch(text.strip())
    if both and both["lead"].strip().casefold() in {
        "probe",
        "probed",
        "core",
        "int",
        "internal",
        "",
    }:
        core = events(tokens(f"core {both['degrees']}"))
        feel = [
            event
            for event in events(
                _without(tokens(f"{both['lead'].replace('core', '')} {both['rest']}"))
            )
            if event.what == "feel_check"
        ]
        if both["lead"].strip() and len(core) == 1 and len(feel) == 1:
            return [[core[0], feel[0]]]
    return []


def _without(said: Sequence[str], also: frozenset[str] | set[str] = frozenset()) -> list[str]:
    return [token for token in said if token not in {","} | also]


def _one_of(found: list[Event], context: PaperContext) -> list[Event]:
    """Leave out a move to a box that this cook does not have: then it rests in one."""
    boxes = [letter for letter, kind in context.pit_kinds.items() if kind == "box"]
    if len(found) > 1:
        found = [
            e for e in found if not (e.what == "moved" and e.data.get("to") == "box" and not boxes)
        ]
    if len(found) > 1 and boxes:
        found = [e for e in found if e.what == "moved"] or found
    if {e.what for e in found} == {"unwrapped", "out_of"}:
        return _opened_or_none_left(found, context)
    return found


def _opened_or_none_left(found: list[Event], context: PaperContext) -> list[Event]:
    """``out of foil``: at the pit none is left, unless something lies in it; on a sheet it was opened."""
    wrapped = any(line.what == "wrapped" for line in context.logged)
    meant = "unwrapped" if wrapped or context.source == "paper" else "out_of"
    return [event for event in found if event.what == meant]


def _whose_words(text: str, who: str | None, context: PaperContext) -> list[tuple[str, str | None]]:
    """Give the words as they are, and without what names pieces in them."""
    found: list[tuple[str, str | None]] = [(text, who)]
    unit = re.search(r"\d\s+([FC])$", text)
    if unit and unit[1] in context.letters and who is None and len(context.pieces) > 1:
        raise InputError(
            f"{unit[1]} in {text!r} can be a letter or a unit",
            f"'°{unit[1]}' for degrees, or the letter first: '{unit[1]} {text[:-1].strip()}'",
        )
    for match in re.finditer(r"(?<![\w°])(?:[A-Z](?![\w'’])|all\b|both\b)", text):
        try:
            letters = letters_in(text[match.start() :], context)
        except InputError:
            continue
        if letters:
            if who is not None and who != letters[0]:
                continue
            end = match.start() + letters[1]
            found.append((f"{text[: match.start()]} {text[end:]}".strip(), letters[0]))
            break
    for words_, named in list(found):
        found += _by_noun(words_, named, context)
    return found


def _by_noun(text: str, who: str | None, context: PaperContext) -> list[tuple[str, str | None]]:
    """``brisket wrapped`` is the piece of that cut."""
    for noun, stems in sorted(nouns().items(), key=lambda item: -len(item[0])):
        match = re.search(rf"\b{re.escape(noun)}\b", text, re.IGNORECASE)
        if not match:
            continue
        left = f"{text[: match.start()]} {text[match.end() :]}".strip()
        if who is not None or (len(context.pieces) == 1 and not context.cuts):
            return [(left, who)]
        called = [p for p in context.pieces if _is_called(context.cuts.get(p, ""), stems)]
        if not called:
            return []
        return [(left, "all" if len(called) == len(context.pieces) else ",".join(called))]
    return []


def _is_called(cut: str, stems: frozenset[str]) -> bool:
    # "spareribs" holds "rib"; a butt is called a shoulder too.
    name = cut.casefold().replace("butt", "shoulder")
    return any(stem in name for stem in stems)


def _whose(who: str | None, context: PaperContext) -> tuple[tuple[str, ...], str]:
    if who in {None, "all"}:
        return (), ""
    letters = (who or "").split(",")
    pieces = tuple(letter for letter in letters if letter in context.pieces)
    pits = [letter for letter in letters if letter in context.pits]
    if (pieces and pits) or len(pits) > 1:
        raise InputError(f"{who} names pieces and pits together", "letters of pieces, or one pit")
    return pieces, pits[0] if pits else ""


def _checked(
    event: Event,
    pieces: tuple[str, ...],
    pit: str,
    parts: Parts,
    settings: Mapping[str, str],
    context: PaperContext,
) -> Event:
    data: Mapping[str, Any] = {**event.data, **_settings(event.what, settings)}
    check = CHECKS.get(event.what)
    if check:
        data = check(Case(data, pieces, parts, context))
    _right_letter(event.what, pieces, pit, context)
    return Event(event.what, {DATA_NAMES.get(name, name): value for name, value in data.items()})


def _settings(what: str, settings: Mapping[str, str]) -> dict[str, Any]:
    allowed = sorted({h for p in words()[what].phrases for h in re.findall(r"\{(\w+)\}", p)})
    found: dict[str, Any] = {}
    for name, text in settings.items():
        if name not in allowed:
            raise InputError(f"{name} beside {what}", ", ".join(allowed) or "nothing goes with it")
        if name == "temperature":
            found[name] = Degrees(units.parse_temperature_c(text, key=name), "C")
        elif name == "mass":
            found[name] = units.parse_mass_kg(text, key=name)
        elif name == "duration":
            found[name] = units.parse_duration_s(text, key=name)
        elif name == "count":
            found[name] = int(text)
        else:
            found[name] = text
    return found


def _right_letter(what: str, pieces: tuple[str, ...], pit: str, context: PaperContext) -> None:
    word = words()[what]
    if word.whose == "pit" and pieces and what not in {"pit_reading", "pit_set", "lid_open"}:
        raise InputError(
            f"{', '.join(pieces)} is a piece, and '{word.said}' is of a pit",
            f"no letter, or a pit's: {', '.join(context.pits)}",
        )
    several = not pieces and len(context.pieces) > 1
    if several and (
        what == "core_reading" or (what in {"moved", "weighed"} and (pit or not context.alike))
    ):
        raise InputError(
            f"'{word.said.partition(' {')[0]}' of which piece",
            f"a letter: {', '.join(context.pieces)}",
        )
    if what in {"feel_check", "off"} and not pieces and not pit and not context.alike:
        raise InputError(
            f"'{word.said}' of which piece: they are of different cuts",
            f"a letter, {', '.join(context.pieces)}, or all",
        )


def _pit_of(
    found: Sequence[Event], pieces: tuple[str, ...], pit: str, context: PaperContext
) -> str:
    """Which pit an event of a pit is about; asked when several could be."""
    if not any(words()[event.what].whose == "pit" for event in found):
        return ""
    if pit:
        return pit
    theirs = {context.piece_pits[p] for p in pieces if p in context.piece_pits}
    if len(theirs) == 1:
        return theirs.pop()
    if len(context.pits) == 1:
        return ""
    places = {event.data.get("place") for event in found}
    of_kind = [
        letter for letter in context.pits
        if (context.pit_kinds.get(letter) == "oven") == ("oven" in places)
        and context.pit_kinds.get(letter) != "box"
    ]  # fmt: skip
    if len(of_kind) == 1:
        return of_kind[0]
    what = words()[found[0].what].said.partition(" {")[0]
    raise InputError(f"'{what}' of which pit", f"a letter: {', '.join(context.pits)}")
