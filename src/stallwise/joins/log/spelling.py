"""Misspelt words of a short line: read as the one vocabulary word that is near, or not at all."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache

from stallwise.ground import assets
from stallwise.ground.errors import InputError
from stallwise.joins.log.vocabulary import known_words, tokens

__all__ = ["corrected", "distance", "near_words", "not_understood"]

#: Words shorter than this are too near to each other ("on", "off", "not", "now").
SHORTEST = 4
#: From this length two slips still leave one word only; shorter ones may have one.
_LONG = 8
#: Few lines hold more slips, and each one more is a guess on a guess.
_MOST_SLIPS = 3
_HINT_SLIPS = 2


def distance(left: str, right: str, limit: int) -> int:
    """Count the slips between two words: a letter missed, added, changed or swapped.

    Parameters
    ----------
    left, right : str
        Two words.
    limit : int
        What is further off is `limit` + 1.
    """
    if abs(len(left) - len(right)) > limit:
        return limit + 1
    before: list[int] = []
    above = list(range(len(right) + 1))
    for i, a in enumerate(left, start=1):
        row = [i]
        for j, b in enumerate(right, start=1):
            cost = min(above[j] + 1, row[j - 1] + 1, above[j - 1] + (a != b))
            if i > 1 and j > 1 and a == right[j - 2] and left[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        if min(row) > limit:
            return limit + 1
        before, above = above, row
    return above[-1]


@cache
def _plain() -> frozenset[str]:
    """Everyday words that look like ours and are none of them."""
    return frozenset(word for row in _rows("plain") for word in row["words"].split("|"))


@cache
def _remarks() -> Mapping[str, str]:
    return {word: row["value"] for row in _rows("remark") for word in row["words"].split("|")}


def _rows(takes: str) -> Iterator[dict[str, str]]:
    for row in csv.DictReader(io.StringIO(assets.read_text("data", "log_values.csv"))):
        if row["takes"] == takes:
            yield row


def _remark_in(said: Iterable[str]) -> str:
    """Word of a line that is always a remark (``rain``, ``stalled``), or empty."""
    return next((token for token in said if token in _remarks()), "")


def near_words(word: str) -> tuple[str, ...]:
    """Vocabulary words of the same first letter within two slips, the nearest first."""
    if len(word) < SHORTEST or word in known_words() | _plain() | _remarks().keys():
        return ()
    far = {
        known: distance(word, known, _HINT_SLIPS)
        for known in known_words()
        if known[0] == word[0] and len(known) >= SHORTEST
    }
    most = 1 if len(word) == SHORTEST else _HINT_SLIPS
    return tuple(sorted((w for w, d in far.items() if d <= most), key=lambda w: (far[w], w)))


def corrected(said: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """Ways to read words with their misspelt words put right.

    Parameters
    ----------
    said : sequence of str
        As `stallwise.joins.log.vocabulary.tokens` makes them.

    Returns
    -------
    tuple of tuple of str
        Empty when nothing is misspelt, or a word is near to none. Several where a word is
        as near to two; their meanings say whether that matters.
    """
    choices: list[tuple[str, ...]] = []
    slips = 0
    for token in said:
        if not token.isalpha() or token in known_words() or len(token) == 1:
            choices.append((token,))
            continue
        slips += 1
        near = _nearest(token)
        if not near or slips > _MOST_SLIPS:
            return ()
        choices.append(near)
    return tuple(itertools.product(*choices)) if slips else ()


@cache
def _nearest(token: str) -> tuple[str, ...]:
    if len(token) < SHORTEST or token in _plain() or token in _remarks():
        return ()
    limit = 2 if len(token) >= _LONG else 1
    found: dict[str, int] = {}
    for known in known_words():
        # The first letter is seldom wrong, and "unwrapped" is never "wrapped".
        if len(known) < SHORTEST or known[0] != token[0]:
            continue
        far = distance(token, known, limit)
        # Of two four-letter words one letter apart ("fine", "fire") both are words.
        changed = far <= limit and len(known) == len(token) == SHORTEST
        if changed and sorted(known) != sorted(token):
            continue
        # "rested" is no slip of "rest": endings carry meaning.
        if far > 1 and re.match(rf"{known}|{token}", max(known, token, key=len)):
            continue
        if far <= limit:
            found[known] = far
    least = min(found.values(), default=0)
    return tuple(sorted(known for known, far in found.items() if far == least))


def not_understood(text: str) -> InputError:
    """Say what is near, where anything is; never a word that only looks alike."""
    number = re.fullmatch(r"(\d{2,3})\s*(?:°|º)?\s*([fcFC]?)", text.strip())
    came = f"{text!r} is not understood"
    if number:
        return InputError(came, f"'core {text}' or 'pit {text}'")
    said = tokens(text)
    remark = _remark_in(said)
    if remark:
        return InputError(
            f"{text!r} is not a step of the cook",
            f"a remark goes after note: 'note: {text.lstrip(' -–—')}'",
        )
    near = list(dict.fromkeys(word for token in said for word in near_words(token)[:3]))
    words_ = f"words such as {', '.join(map(repr, near))}; " if near else ""
    return InputError(
        came, f"{words_}a remark goes after note: 'note: …'", "All words: stallwise log --words"
    )
