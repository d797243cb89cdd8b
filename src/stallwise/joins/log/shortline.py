"""One short line from paper, taken apart: whose it is, its time, its words, its remark.

Ditto marks repeat what stands above them, column by column.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, replace

from stallwise.ground.errors import InputError
from stallwise.joins.log.papercontext import PaperContext
from stallwise.joins.log.timestamp import Stamp, take_stamp, trailing_stamp
from stallwise.joins.log.vocabulary import begins_phrase, nouns, tokens

__all__ = ["Parts", "letters_in", "split_line", "split_remark", "take_apart"]

_DITTO = re.compile(r"(?:-[\"”″]-|[\"“”″〃]|''|,,|ditto\b\.?|do\b\.?)(?=\s|$)", re.IGNORECASE)
#: "B too" says what a ditto mark says.
_TOO = re.compile(r"(?:too|same|same again|as well|likewise)[.!]?", re.IGNORECASE)
_REMARK = re.compile(r"\s+(?:[–—]|--?)(?:\s+|$)|\s*—\s*")
_NOTE = re.compile(r"(?:note|n\.?b\.?)\s*[:\-–—]\s*|note\s+", re.IGNORECASE)
_JOIN = r"(?:\s*(?:,|\+|&|/|\band\b)\s*|\s+)"
_WHO = re.compile(
    rf"(?:(?P<letters>[A-Z](?:{_JOIN}[A-Z](?![\w'’])|\s?[-–]\s?[A-Z](?![\w'’]))*)|"
    r"(?P<run>[A-Z]{2,})|(?P<all>(?i:all|both|everything)))\s?[:).,]?(?=\s|$|\d|\+)"
)
_TIMED = re.compile(
    r"[,;]\s+(?=(?:((?-i:[A-Z]))\s+)?(?:about\s|~)?\s*(?:\d{1,2}[:.]\d{2}(?!\d)|\d{4}\s|\d{1,2}\s?[ap]m\b|\+\d))",
    re.IGNORECASE,
)

_OTHER_PIECE = re.compile(r"(?:\s*[,;]\s*|\s+(?:and|but)\s+)(?=([A-Z])\s+[a-z])")

_SECOND_TIME = re.compile(
    r"(?:(?:to|until|till)\s+\d{1,2}[:.]?\d{2}|\d{1,2}[:.]\d{2})(?!\d|\s*(?:kg|g|lb|oz|°|[FC])\b)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Parts:
    """A line taken apart.

    Attributes
    ----------
    order : tuple of str
        ``who``, ``time``, ``words`` as they stand in the line; ditto marks go by it.
    who : str or None
        Letters as ``A,B``, ``all``, or None where nothing is said.
    stamp : Stamp or None
        The time.
    words : str
        What happened, without the remark.
    note : str
        The remark after a dash, or the whole of a note.
    is_note : bool
        The line is a note.
    same : bool
        Everything is repeated from above.
    """

    order: tuple[str, ...] = ()
    who: str | None = None
    stamp: Stamp | None = None
    words: str = ""
    note: str = ""
    is_note: bool = False
    same: bool = False


def split_line(text: str, letters: Collection[str] = ()) -> list[str]:
    """Split a line into parts with a time or a letter each.

    ``13:20 not yet, 13:50 tender``, and ``A 13:20 nearly, B not yet``, whose time is one.
    """
    head = _NOTE.search(text)
    remark = _REMARK.search(text)
    stop = min([m.start() for m in (head, remark) if m and m.start() > 0], default=len(text))
    cuts = [match for match in _TIMED.finditer(text) if match[1] is None or match[1] in letters]
    cuts += [match for match in _OTHER_PIECE.finditer(text) if match[1] in letters]
    cuts = [match for match in cuts if match.start() < stop and not _is_listed(text, match)]
    cuts.sort(key=lambda match: match.start())
    starts = [0, *(match.end() for match in cuts)]
    ends = [*(match.start() for match in cuts), len(text)]
    return [text[a:b].strip() for a, b in zip(starts, ends, strict=True)]


def _is_listed(text: str, cut: re.Match[str]) -> bool:
    """Whether a letter behind a comma stands in a list: "A, B spritz" is one thing of both."""
    return bool(cut[1] and re.search(r"(?:^|[\s,])[A-Z]$|^\W*$", text[: cut.start()]))


def letters_in(text: str, context: PaperContext) -> tuple[str, int] | None:
    """Letters of pieces or pits at the head of a text, as ``A,B``, and where they end.

    Raises
    ------
    InputError
        A letter that no piece or pit of this cook has.
    """
    match = _WHO.match(text)
    if not match:
        return None
    if match["all"]:
        if match["all"].casefold() == "both" and len(context.pieces) != 2:
            raise InputError(
                f"'both' in a cook of {len(context.pieces)} pieces", "letters such as A,B, or all"
            )
        return "all", match.end()
    if match["run"]:
        run = match["run"]
        if set(run) <= context.letters and len(set(run)) == len(run):
            return ",".join(run), match.end()
        return None
    letters = re.findall("[A-Z]", match["letters"])
    if re.search(r"[-–]", match["letters"]) and len(letters) == 2:
        first, last = letters
        letters = [p for p in sorted(context.pieces) if first <= p <= last]
    _refuse_unknown(letters, context)
    return ",".join(dict.fromkeys(letters)), match.end()


def _refuse_unknown(letters: Collection[str], context: PaperContext) -> None:
    unknown = [letter for letter in letters if letter not in context.letters]
    if unknown or not letters:
        raise InputError(
            f"{', '.join(unknown) or 'nothing'} is no piece or pit of this cook",
            f"pieces {', '.join(context.pieces)}; pits {', '.join(context.pits)}",
        )


def take_apart(text: str, context: PaperContext, above: Parts | None) -> Parts:
    """Take one line apart.

    Parameters
    ----------
    text : str
        The line.
    context : PaperContext
        Letters of the cook.
    above : Parts or None
        The line above, for ditto marks.

    Raises
    ------
    InputError
        It cannot be taken apart in one way only.
    """
    rest = re.sub(r"^(?:[-*•·]\s+)", "", text.strip())
    parts, mark = Parts(), False
    repeated: list[str] = []
    while rest:
        ditto = _DITTO.match(rest)
        if ditto:
            column = _column(parts, above)
            rest, mark = rest[ditto.end() :].lstrip(), True
            if column == "words":
                words = _columns(rest, above)
                return _repeat(_lead(parts, above), above, (*repeated, "words"), words)
            parts = _copy(parts, above, column)
            repeated.append(column)
            continue
        taken = _take(rest, parts, context) or _own_time(rest, parts, repeated, context)
        if taken is None:
            break
        parts, rest = taken
        mark = False
    if (not rest and mark) or (above and _TOO.fullmatch(rest)):
        return _repeat(_lead(parts, above), above, (*repeated, "words"), None)
    parts = _with_words(parts, rest, context)
    return _lead(parts, above) if repeated else parts


def _lead(parts: Parts, above: Parts | None) -> Parts:
    """Carry down what one mark under the head of a line repeats: its time and its letter."""
    if above is None:
        return parts
    lead = tuple(column for column in above.order if column in {"who", "time"})
    if not set(lead) <= set(parts.order):
        rest = tuple(column for column in parts.order if column not in lead)
        parts = replace(parts, order=(*lead, *rest))
    who = above.who if parts.who is None else parts.who
    return replace(parts, who=who, stamp=parts.stamp or above.stamp)


def _take(rest: str, parts: Parts, context: PaperContext) -> tuple[Parts, str] | None:
    """Take letters or a time off the head."""
    if "who" not in parts.order and not begins_phrase(tokens(rest)):
        found = letters_in(rest, context) or _small_letter(rest, parts, context)
        if found:
            left = rest[found[1] :].lstrip(" :).,")
            return replace(parts, who=found[0], order=(*parts.order, "who")), left
    if "time" not in parts.order:
        stamp, left = _noun_first(rest, context) or take_stamp(rest, context.zone_names())
        if stamp:
            _refuse_half_letter(stamp, context)
            left = re.sub(r"^\s*(?:[:;,]|--?\s|[–—])\s*", "", left).lstrip()
            if _SECOND_TIME.match(left):
                raise InputError(
                    f"{rest.strip()!r} holds two times", "one time a line", "Write two lines"
                )
            return replace(parts, stamp=stamp, order=(*parts.order, "time")), left
    return None


def _own_time(
    rest: str, parts: Parts, repeated: Collection[str], context: PaperContext
) -> tuple[Parts, str] | None:
    """Take a line's own time, which counts before one that a ditto mark repeats."""
    if "time" not in repeated or not re.match(r"\+|~?\d{1,2}[:.]\d\d|\d{4}\b|\d+\s?[ap]m", rest):
        return None
    order = tuple(column for column in parts.order if column != "time")
    return _take(rest, replace(parts, stamp=None, order=order), context)


def _noun_first(rest: str, context: PaperContext) -> tuple[Stamp, str] | None:
    """``brisket 10:00 spritz``: what a piece is called, before the time."""
    match = re.match(r"(?:the\s+)?([A-Za-z]+)\s+(?=[\d+~a])", rest)
    if not match or match[1].casefold() not in nouns():
        return None
    stamp, left = take_stamp(rest[match.end() :], context.zone_names())
    return (stamp, f"{match[1]} {left.strip(' :;,')}") if stamp else None


def _small_letter(rest: str, parts: Parts, context: PaperContext) -> tuple[str, int] | None:
    """``c 10:40 turned``: a small letter beside the time; ``a`` can be the article."""
    match = re.match(r"([a-z])\s*[:).,]?\s+", rest)
    if not match or match[1].upper() not in context.letters:
        return None
    if "time" not in parts.order:
        stamp, _ = take_stamp(rest[match.end() :])
        return (match[1].upper(), match.end()) if stamp else None
    if match[1] == "a":
        raise InputError("'a' can be a piece or a word", "A for the piece", "Or leave it out")
    return match[1].upper(), match.end()


def _refuse_half_letter(stamp: Stamp, context: PaperContext) -> None:
    if stamp.said[-1:] in {"A", "P"} and stamp.said[-1] in context.letters:
        raise InputError(
            f"{stamp.said!r} ends in {stamp.said[-1]}, which is also a letter of this cook",
            f"{stamp.said[:-1]}{stamp.said[-1].lower()}m for the clock, "
            f"{stamp.said[-1]} {stamp.said[:-1]} for the letter",
        )


def _with_words(parts: Parts, rest: str, context: PaperContext) -> Parts:
    note = _NOTE.match(rest)
    if note:
        body = rest[note.end() :].strip()
        return replace(parts, words="note", note=body, is_note=True, order=(*parts.order, "words"))
    words, remark = split_remark(rest)
    stamp = parts.stamp
    if stamp is None:
        stamp, words = trailing_stamp(words, context.zone_names())
    return replace(parts, stamp=stamp, words=words, note=remark, order=(*parts.order, "words"))


def split_remark(text: str) -> tuple[str, str]:
    """Split words from the remark after a dash or in brackets at the end."""
    dash = _REMARK.search(text)
    if dash:
        return text[: dash.start()].strip(), text[dash.end() :].strip()
    bracket = re.search(r"\s*\(([^()]*)\)\s*$", text)
    if bracket:
        return text[: bracket.start()].strip(), bracket[1].strip()
    return text.strip(), ""


def _column(parts: Parts, above: Parts | None) -> str:
    """Which column of the line above a ditto mark stands under."""
    if above is None:
        raise InputError("a ditto mark with no line above", "the words themselves")
    last = max((above.order.index(done) for done in parts.order if done in above.order), default=-1)
    if last + 1 >= len(above.order):
        raise InputError("more ditto marks than the line above has columns", "time, letter, words")
    return above.order[last + 1]


def _copy(parts: Parts, above: Parts | None, column: str) -> Parts:
    if above is None:
        return parts
    if column == "time":
        if above.stamp is None:
            raise InputError("a ditto mark under a line with no clear time", "the time itself")
        return replace(parts, stamp=above.stamp, order=(*parts.order, "time"))
    return replace(parts, who=above.who, order=(*parts.order, "who"))


def _columns(rest: str, above: Parts | None) -> str | None:
    """Words with ditto marks among them; None repeats all of them."""
    if not rest:
        return None
    old = above.words.split() if above else []
    new = ['"', *rest.split()]
    if all(_DITTO.fullmatch(word) for word in new):
        return None
    found = []
    for index, word in enumerate(new):
        if not _DITTO.fullmatch(word):
            found.append(word)
        elif index < len(old):
            found.append(old[index])
        else:
            raise InputError("a ditto mark under no word", "the words themselves")
    return " ".join(found)


def _repeat(
    parts: Parts, above: Parts | None, repeated: tuple[str, ...], words: str | None
) -> Parts:
    if above is None or not above.words:
        raise InputError("a ditto mark under a line with no clear words", "the words themselves")
    text, note = (
        (above.words, above.note if above.is_note else "") if words is None else split_remark(words)
    )
    same = words is None and set(parts.order) <= set(repeated)
    return replace(
        parts, words=text, note=note, is_note=above.is_note and words is None, same=same,
        order=(*parts.order, "words"),
    )  # fmt: skip
