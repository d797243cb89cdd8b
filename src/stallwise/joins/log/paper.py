"""The day sheet back from paper: short lines become log lines, or a question each.

What is clear is shown as it was understood; what can be read in two ways is asked and
never guessed. Nothing prompts, and the same block typed twice adds nothing.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.joins.log import vocabulary
from stallwise.joins.log.doubts import doubts
from stallwise.joins.log.lineidentity import Identities
from stallwise.joins.log.meaning import Meaning, understand
from stallwise.joins.log.papercontext import PaperContext, paper_context
from stallwise.joins.log.papertext import entry_words, grouped_words, short_line
from stallwise.joins.log.papertime import Line, date_lines
from stallwise.joins.log.shortline import Parts, letters_in, split_line, take_apart
from stallwise.joins.log.timestamp import Stamp, take_day, take_stamp
from stallwise.joins.log.understood import Block, Understood, as_words
from stallwise.record.log import LogLine

__all__ = [
    "Block",
    "PaperContext",
    "Understood",
    "as_words",
    "changes_plan",
    "entry_words",
    "log_lines",
    "paper_context",
    "read_block",
    "read_one",
    "short_line",
]

#: One sheet holds some thirty short lines; more than this is another kind of file.
MOST_LINES, MOST_LETTERS = 500, 1000


@dataclass
class _Draft:
    number: int
    raw: str
    state: str = "clear"
    as_text: str = ""
    question: str = ""
    parts: list[Parts] = field(default_factory=list)
    meanings: list[Meaning] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)


def read_block(text: str, *, context: PaperContext) -> Block:
    """Read a block of short lines.

    Parameters
    ----------
    text : str
        One short line a row: ``1310 wrapped foil``, ``+2:40 wrapped foil``,
        ``about 3 spritz``, ``C 10:40 turned``, ``1320 probe not yet - flat end``.
        Ditto marks repeat the row above; ``#`` begins a comment; a letter alone on a row
        is whose the rows below are.
    context : PaperContext
        What is known of the cook.

    Returns
    -------
    Block
        A row each, in order: clear with its log lines, asked with its question, or
        skipped.
    """
    rows = text.splitlines()
    if len(rows) > MOST_LINES:
        raise InputError(
            f"{len(rows)} lines in one block", f"up to {MOST_LINES}", "Type one sheet at a time"
        )
    drafts = _drafts(rows, context)
    dated = [line for draft in drafts for line in draft.lines if draft.state == "clear"]
    date_lines(dated, context)
    identities = Identities(context.known, context.withdrawn)
    found = [_finish(draft, context, identities) for draft in drafts]
    return Block(_doubted(found, context, identities))


def _doubted(
    found: Sequence[Understood], context: PaperContext, identities: Identities
) -> tuple[Understood, ...]:
    """Say what is odd beside each line that has something odd."""
    entries = [entry for line in found for entry in line.entries]
    odd = doubts(entries, context)
    for entry in entries:
        if identities.came_again(entry):
            odd[entry.id] = (*odd.get(entry.id, ()), "was taken back once; this logs it again")
    return tuple(
        dataclasses.replace(
            line,
            doubts=tuple(
                dict.fromkeys(text for entry in line.entries for text in odd.get(entry.id, ()))
            ),
        )
        for line in found
    )


def _drafts(rows: Sequence[str], context: PaperContext) -> list[_Draft]:
    drafts: list[_Draft] = []
    above: Parts | None = None
    heading = _Heading()
    for number, raw in enumerate(rows, start=1):
        draft = _Draft(number, raw)
        drafts.append(draft)
        body = raw.strip().lstrip("\ufeff")
        if not body or body.startswith("#"):
            draft.state = "skipped"
            continue
        try:
            if heading.take(body, context):
                draft.state, draft.as_text = "skipped", heading.as_text
                continue
            above = _draft_line(draft, body, above, heading, context)
        except InputError as error:
            draft.state, draft.question = "asked", str(error)
            above = draft.parts[-1] if draft.parts else None
    return drafts


def _draft_line(
    draft: _Draft, body: str, above: Parts | None, heading: _Heading, context: PaperContext
) -> Parts:
    if len(body) > MOST_LETTERS:
        raise InputError(
            f"{len(body)} letters in one line",
            f"up to {MOST_LETTERS}",
            "A long remark goes into the cook's notes",
        )
    for piece in split_line(body, context.letters):
        before = draft.parts[-1] if draft.parts else None
        parts = take_apart(piece, context, before or above)
        if before:
            who = before.who if parts.who is None else parts.who
            parts = dataclasses.replace(parts, who=who, stamp=parts.stamp or before.stamp)
        draft.parts.append(parts)
        if parts.same and not before:
            raise InputError(
                "everything is a repeat of the line above", "what is new: its time or its letter"
            )
        if parts.stamp is None:
            raise InputError(
                f"{piece!r} has no time",
                "a time first: '1310 wrapped foil', '+2:40 spritz', 'about 3 spritz'",
                "A remark goes after note: '1310 note: …'; a row of your own begins with #",
            )
        stamp = heading.on_day(parts.stamp)
        meaning = understand(parts, heading.who if parts.who is None else parts.who, context)
        draft.meanings.append(meaning)
        if parts.who is None and meaning.named != heading.who:
            # "1410 foil off A": a ditto below is about A too.
            draft.parts[-1] = dataclasses.replace(parts, who=meaning.named)
        what = tuple(event.what for event in meaning.events)
        draft.lines.append(Line(stamp, what, meaning.dated_by, heading.section))
    _tell_apart(draft, context)
    return draft.parts[-1]


def _tell_apart(draft: _Draft, context: PaperContext) -> None:
    """``probe nearly, B not yet``: what is said beside B is said of the other piece."""
    for index, (meaning, line) in enumerate(zip(draft.meanings, draft.lines, strict=True)):
        beside = {
            piece
            for other, of in zip(draft.meanings, draft.lines, strict=True)
            if of.stamp == line.stamp and set(of.what) & set(line.what)
            for piece in other.pieces
        }
        if meaning.pieces or not beside:
            continue
        left = tuple(piece for piece in context.pieces if piece not in beside)
        if len(left) != 1 or len(beside) != 1 or meaning.named:
            raise InputError(
                f"{meaning.text!r} of which piece, beside {', '.join(sorted(beside))}",
                f"a letter: {', '.join(left or context.pieces)}",
            )
        draft.meanings[index] = dataclasses.replace(meaning, pieces=left)
        line.pieces = left


@dataclass
class _Heading:
    """A row that only says whose, or which day, the rows below are."""

    section: int = 0
    who: str | None = None
    date: dt.date | None = None
    weekday: int | None = None
    as_text: str = ""

    def take(self, body: str, context: PaperContext) -> bool:
        date, weekday, rest = take_day(body)
        if (date or weekday is not None) and not rest.strip(" :"):
            self.date, self.weekday = date, weekday
            self.as_text = f"the lines below: {body.strip(' :')}"
            return True
        if take_stamp(body)[0] is None:
            found = letters_in(body, context)
            if found and not body[found[1] :].strip(" :"):
                self.section, self.who = self.section + 1, found[0]
                self.as_text = f"the lines below: {found[0]}"
                return True
        return False

    def on_day(self, stamp: Stamp) -> Stamp:
        if stamp.date or stamp.weekday is not None or stamp.elapsed_s is not None:
            return stamp
        headed = self.date is not None or self.weekday is not None
        return dataclasses.replace(stamp, date=self.date, weekday=self.weekday, headed=headed)


def _finish(draft: _Draft, context: PaperContext, identities: Identities) -> Understood:
    question = draft.question or next((line.question for line in draft.lines if line.question), "")
    if draft.state == "skipped":
        return Understood(draft.number, draft.raw, "skipped", as_text=draft.as_text)
    if draft.state == "asked" or question:
        return Understood(draft.number, draft.raw, "asked", question=question)
    entries: list[LogLine] = []
    for parts, meaning, line in zip(draft.parts, draft.meanings, draft.lines, strict=True):
        if parts.stamp:
            entries += _entries(parts.stamp, meaning, line.at, context, identities)
    known = set(context.known.values())
    return Understood(
        draft.number, draft.raw, "clear", tuple(entries),
        as_text=_as_text(entries, draft.meanings, context),
        known=all(entry.id in known for entry in entries),
    )  # fmt: skip


def _as_text(entries: Sequence[LogLine], meanings: Sequence[Meaning], context: PaperContext) -> str:
    read_as = ", ".join(meaning.read_as for meaning in meanings if meaning.read_as)
    words = "; ".join(grouped_words(entries, context))
    return f"{words} (read as {read_as!r})" if read_as else words


def _entries(
    stamp: Stamp,
    meaning: Meaning,
    at: Mapping[str, dt.datetime],
    context: PaperContext,
    identities: Identities,
) -> list[LogLine]:
    made = context.now or dt.datetime.combine(context.date, dt.time(), context.zone)
    found = []
    for event in meaning.events:
        for piece, pit in meaning.whose(event.what):
            line = LogLine(
                id="", at=at[piece if piece in at else min(at)], what=event.what, made=made,
                piece=piece, pit=pit, text=meaning.text, note=meaning.note, about=stamp.about,
                data=event.data, source=context.source,
            )  # fmt: skip
            found.append(identities.give(line))
    return found


def read_one(
    what_text: str,
    *,
    at: str | None = None,
    piece: str = "",
    note: str = "",
    settings: Mapping[str, str] | None = None,
    context: PaperContext,
) -> Understood:
    """Read what one command says happened.

    Parameters
    ----------
    what_text : str
        ``wrapped foil``, ``probe 203 tender``; without its time.
    at : str, optional
        As on a sheet: ``13:10``, ``1:10 pm``, ``+2:40``; `context.now` without it.
    piece : str, optional
        Letters of pieces or a pit, ``A`` or ``A,B``.
    note : str, optional
        A remark.
    settings : mapping, optional
        Values to lay over what the words say: ``{"kind": "foil"}``.
    context : PaperContext
        What is known of the cook.

    Raises
    ------
    InputError
        With the question that a block would ask.
    """
    who = letters_in(piece.strip(), context) if piece.strip() else None
    if piece.strip() and (who is None or who[1] != len(piece.strip())):
        raise InputError(
            f"--piece {piece!r}", f"letters of this cook: {', '.join(sorted(context.letters))}"
        )
    parts = take_apart(what_text, context, None)
    if parts.stamp is not None and at is not None:
        raise InputError(f"{what_text!r} holds a time beside --at {at}", "one time")
    stamp = parts.stamp
    if at is not None:
        stamp, left = take_stamp(at.strip(), context.zone_names())
        if stamp is None or left.strip():
            raise InputError(
                f"--at {at!r}", "13:10, '1:10 pm', '2026-09-26 04:30', or +2:40 after meat on"
            )
    meaning = understand(parts, who[0] if who else parts.who, context, settings=settings, note=note)
    dates = _dates(stamp, meaning, context)
    identities = Identities(context.known, context.withdrawn)
    entries = tuple(_entries(stamp or Stamp(), meaning, dates, context, identities))
    known = set(context.known.values())
    line = Understood(
        1, what_text, "clear", entries, as_text=_as_text(entries, [meaning], context),
        known=all(entry.id in known for entry in entries),
    )  # fmt: skip
    return _doubted([line], context, identities)[0]


def log_lines(what_text: str, *, context: PaperContext, **said: Any) -> tuple[LogLine, ...]:
    """Read what one command says happened, as its log lines; see `read_one`.

    Raises
    ------
    InputError
        With the question that a block would ask.
    """
    return read_one(what_text, context=context, **said).entries


def _dates(
    stamp: Stamp | None, meaning: Meaning, context: PaperContext
) -> Mapping[str, dt.datetime]:
    if stamp is None:
        if context.now is None:
            raise InputError("no time is given", "--at 13:10")
        return dict.fromkeys(meaning.dated_by or ("",), context.now)
    line = Line(stamp, tuple(event.what for event in meaning.events), meaning.dated_by)
    date_lines([line], context)
    if line.question:
        raise InputError(line.question)
    return line.at


def changes_plan(line: LogLine) -> bool:
    """Whether a forecast is kept after such a line."""
    word = vocabulary.words().get(line.what)
    return bool(word and word.changes_plan)
