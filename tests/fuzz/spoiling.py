"""Texts near the real thing: real files and words, spoilt in a few places as hands and programs spoil them."""

from __future__ import annotations

import re

from hypothesis import settings
from hypothesis import strategies as st

__all__ = ["is_audit", "scaled", "spoilt", "spoilt_bytes"]

#: What stands where something else should.
_TOKENS = st.sampled_from(
    [
        *("", " ", "\n", "\t", "\r\n", "\0", "\x7f", "\ufeff", "\u2028", "\xa0", "ü", "½", "１２", "−"),
        *("-1", "0", "1e9", "1e999", "-0.0", "nan", "inf", "9" * 400, "1_0", "0x10", "1.155,5", "²"),
        *('"', "'", '"""', "[", "]", "[[", "{", "}", "=", ",", ":", ";", "#", "\\", "|", "\\u0000"),
        *("true", "null", "[]", "{}", '""', "'x'", "1979-05-27", "24:61", "12:00", "+99999:00"),
        *("9999-12-31T23:59:59Z", "0001-01-01T00:00:00+14:00", "2026-02-30", "P", "A", "Z", "__A"),
        *("kg", "lb", "°F", "K", "h", "min", "%", "tsp", "T", "to", "-", "/", "1/0", "1 1/2", "../x"),
        *("schema = 99", "schema = -1", "a" * 5000, "[" * 300, "=" * 80, "\u202eabc", "\U0001f525"),
    ]
)  # fmt: skip
_WORD = re.compile(r"[A-Za-z_]+|\d+|[^\sA-Za-z_\d]")


def is_audit() -> bool:
    """Whether this run looks for new cases (`make audit`), or judges a change on the same ones.

    Asked late: the profile is chosen after the first modules are read.
    """
    return settings.default is not None and settings.default.max_examples > 1000


def scaled(house: int, audit: int) -> settings:
    """So many inputs in each run, so many in the audit."""
    return settings(max_examples=audit if is_audit() else house)


@st.composite
def spoilt(draw: st.DrawFn, texts: tuple[str, ...], most: int = 3) -> str:
    """One of some texts with up to `most` places changed."""
    text = draw(st.sampled_from(texts))
    for _ in range(draw(st.integers(1, most))):
        text = draw(st.sampled_from(_WAYS))(draw, text)
    return text


@st.composite
def spoilt_bytes(draw: st.DrawFn, texts: tuple[str, ...]) -> bytes:
    """A spoilt text as a file, in some cases in letters that are no UTF-8."""
    data = draw(spoilt(texts)).encode("utf-8", "surrogatepass")
    how = draw(st.sampled_from(["", "", "", "", "", "", "latin", "bom", "crlf", "byte", "cut"]))
    at = draw(st.integers(0, len(data)))
    made = {
        "latin": lambda: data.decode("utf-8", "replace").encode("latin-1", "replace"),
        "bom": lambda: b"\xef\xbb\xbf" + data,
        "crlf": lambda: data.replace(b"\n", b"\r\n"),
        "byte": lambda: data[:at] + b"\xff" + data[at:],
        "cut": lambda: data[:at],
    }
    return made[how]() if how else data


def _word(draw: st.DrawFn, text: str) -> str:
    """Another word, number or sign in the place of one."""
    found = list(_WORD.finditer(text))
    if not found:
        return draw(_TOKENS)
    one = found[draw(st.integers(0, len(found) - 1))]
    return text[: one.start()] + draw(_TOKENS) + text[one.end() :]


def _lent(draw: st.DrawFn, text: str) -> str:
    """A word of the same text in the place of another."""
    found = list(_WORD.finditer(text))
    if len(found) < 2:
        return text
    one, other = (found[draw(st.integers(0, len(found) - 1))] for _ in range(2))
    return text[: one.start()] + other[0] + text[one.end() :]


def _put_in(draw: st.DrawFn, text: str) -> str:
    at = draw(st.integers(0, len(text)))
    return text[:at] + draw(_TOKENS) + text[at:]


def _cut_out(draw: st.DrawFn, text: str) -> str:
    at = draw(st.integers(0, len(text)))
    return text[:at] + text[at + draw(st.integers(1, 30)) :]


def _lines(draw: st.DrawFn, text: str) -> str:
    """A line gone, twice, or elsewhere."""
    rows = text.split("\n")
    one, at = (draw(st.integers(0, len(rows) - 1)) for _ in range(2))
    how = draw(st.sampled_from(["gone", "twice", "moved"]))
    row = rows[one]
    if how != "twice":
        del rows[one]
    if how != "gone":
        rows.insert(at, row)
    return "\n".join(rows)


_WAYS = (_word, _word, _word, _lent, _lent, _put_in, _cut_out, _lines)
