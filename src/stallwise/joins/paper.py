"""The day sheet back from paper: short lines become log lines, or a question each.

What is clear is shown as it was understood; what can be read in two ways is asked and
never guessed. Nothing prompts, and the same block typed twice adds nothing.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.joins import vocabulary
from stallwise.joins.meaning import Meaning, understand
from stallwise.joins.papercontext import PaperContext, identity_words, paper_context
from stallwise.joins.papertext import entry_words, grouped_words, short_line
from stallwise.joins.papertime import Line, date_lines
from stallwise.joins.shortline import Parts, letters_in, split_line, take_apart
from stallwise.joins.timestamp import Stamp, take_day, take_stamp
from stallwise.record.log import LogLine, line_id

__all__ = [
    "Block",
    "PaperContext",
    "Understood",
    "as_words",
    "changes_plan",
    "entry_words",
    "log_lines",
    "one_line",
    "paper_context",
    "read_block",
    "short_line",
]

#: One sheet holds some thirty short lines; more than this is another kind of file.
MOST_LINES, MOST_LETTERS = 500, 1000


@dataclass(frozen=True)
class Understood:
    """One line of a block, and what became of it.

    Attributes
    ----------
    number : int
        From 1, in the block.
    raw : str
        As typed.
    state : str
        ``clear``, ``asked`` or ``skipped``.
    entries : tuple of LogLine
        Log lines of a clear line.
    question : str
        What is asked, and how to answer it.
    as_text : str
        What was understood: ``13:10 all pieces: wrapped in foil``.
    known : bool
        All of it is in the log already.
    """

    number: int
    raw: str
    state: str
    entries: tuple[LogLine, ...] = ()
    question: str = ""
    as_text: str = ""
    known: bool = False


@dataclass(frozen=True)
class Block:
    """A block of short lines as read."""

    lines: tuple[Understood, ...]

    @property
    def entries(self) -> tuple[LogLine, ...]:
        """Log lines of all clear lines."""
        return tuple(entry for line in self.lines for entry in line.entries)

    @property
    def asked(self) -> tuple[Understood, ...]:
        """Lines with a question."""
        return tuple(line for line in self.lines if line.state == "asked")


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
    ordinals: Counter[tuple[str, str, str]] = Counter()
    return Block(tuple(_finish(draft, context, ordinals) for draft in drafts))


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
    for piece in split_line(body):
        before = draft.parts[-1] if draft.parts else None
        parts = take_apart(piece, context, before or above)
        if before and parts.who is None:
            parts = dataclasses.replace(parts, who=before.who)
        draft.parts.append(parts)
        if parts.same and not before:
            raise InputError(
                "everything is a repeat of the line above", "what is new: its time or its letter"
            )
        if parts.stamp is None:
            raise InputError(
                f"{piece!r} has no time",
                "a time first: '1310 wrapped foil', '+2:40 spritz', 'about 3 spritz'",
                "A heading or remark of your own begins with #",
            )
        stamp = heading.on_day(parts.stamp)
        meaning = understand(parts, heading.who if parts.who is None else parts.who, context)
        draft.meanings.append(meaning)
        what = tuple(event.what for event in meaning.events)
        draft.lines.append(Line(stamp, what, meaning.dated_by, heading.section))
    return draft.parts[-1]


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
        return dataclasses.replace(stamp, date=self.date, weekday=self.weekday)


def _finish(
    draft: _Draft, context: PaperContext, ordinals: Counter[tuple[str, str, str]]
) -> Understood:
    question = draft.question or next((line.question for line in draft.lines if line.question), "")
    if draft.state == "skipped":
        return Understood(draft.number, draft.raw, "skipped", as_text=draft.as_text)
    if draft.state == "asked" or question:
        return Understood(draft.number, draft.raw, "asked", question=question)
    entries: list[LogLine] = []
    for parts, meaning, line in zip(draft.parts, draft.meanings, draft.lines, strict=True):
        if parts.stamp:
            entries += _entries(parts.stamp, meaning, line.at, context, ordinals)
    known = set(context.known.values())
    return Understood(
        draft.number, draft.raw, "clear", tuple(entries),
        as_text="; ".join(grouped_words(entries, context)),
        known=all(entry.id in known for entry in entries),
    )  # fmt: skip


def _entries(
    stamp: Stamp,
    meaning: Meaning,
    at: Mapping[str, dt.datetime],
    context: PaperContext,
    ordinals: Counter[tuple[str, str, str]],
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
            found.append(_with_id(line, context, ordinals))
    return found


def _with_id(
    line: LogLine, context: PaperContext, ordinals: Counter[tuple[str, str, str]]
) -> LogLine:
    """Give the id that the same line had before, whatever words it was in."""
    minute = line.at.replace(second=0, microsecond=0).isoformat()
    letter, words = line.piece or line.pit, identity_words(line)
    ordinals[minute, letter, words] += 1
    ordinal = ordinals[minute, letter, words]
    name = context.known.get((minute, letter, words, ordinal))
    return dataclasses.replace(line, id=name or line_id(line.at, letter, words, ordinal))


def log_lines(
    what_text: str,
    *,
    at: str | None = None,
    piece: str = "",
    note: str = "",
    settings: Mapping[str, str] | None = None,
    context: PaperContext,
) -> tuple[LogLine, ...]:
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
    return tuple(_entries(stamp or Stamp(), meaning, dates, context, Counter()))


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


def one_line(what_text: str, *, context: PaperContext, **said: Any) -> LogLine:
    """Read what one command says happened, as one log line; see `log_lines`.

    Raises
    ------
    InputError
        It is not clear, or it is more than one thing.
    """
    found = log_lines(what_text, context=context, **said)
    if len(found) != 1:
        words = "; ".join(entry_words(line, context) for line in found)
        raise InputError(f"{what_text!r} is {len(found)} things: {words}", "one thing a line")
    return found[0]


def as_words(line: Understood) -> str:
    """Say what to show beside a typed line."""
    if line.state == "asked":
        return f"? {line.question}"
    return line.as_text + (" (in the log already)" if line.known and line.entries else "")


def changes_plan(line: LogLine) -> bool:
    """Whether a forecast is kept after such a line."""
    word = vocabulary.words().get(line.what)
    return bool(word and word.changes_plan)
