"""Colours of the pictures, and the last touches to their SVG.

A picture is drawn once in stand-in colours and inked afterwards: in the light or the dark
palette where it stands alone, or in the page's own custom properties, so that one picture
follows the page from day to night to paper.
"""

from __future__ import annotations

import html
import re
from collections.abc import Mapping
from itertools import pairwise
from typing import Literal

__all__ = ["FONT", "Palette", "ink"]

Palette = Literal["light", "dark", "page"]

#: Stand-ins of the specification, by what they are for.
INK = "#000001"  # what was measured or done
SOFT = "#000002"  # axes, the pit, small words
RULE = "#000003"  # grid
ACCENT = "#000004"  # the forecast
BAND = "#000005"  # four days in five
SHADE = "#000006"  # the column over the tender window
PAPER = "#000007"  # inside of an open mark

#: The page's style sheet holds the same eight pairs under the same names.
COLOURS: Mapping[str, tuple[str, str, str]] = {
    INK: ("--ink", "#15181b", "#eef1f3"),
    SOFT: ("--soft", "#4f575e", "#aab3bb"),
    RULE: ("--rule", "#d8dde1", "#353c43"),
    ACCENT: ("--ring", "#a11a45", "#ff8fab"),
    BAND: ("--band", "#f0bfcd", "#6b2a41"),
    SHADE: ("--shade", "#fbeff2", "#2b1d24"),
    PAPER: ("--paper", "#ffffff", "#14181b"),
}

#: Type size of words in a picture [px].
SIZE = 12.5

#: Families that machines have already; a picture never asks for a font.
FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', 'DejaVu Sans', sans-serif"

#: A rim of paper round each word, so that a line behind it does not cut it.
_HALO = (
    f'<g fill="{INK}" font-size="{SIZE}" stroke="{PAPER}" stroke-width="3.5" stroke-linejoin="round" '
    'paint-order="stroke">'
)

_NOISE = re.compile(r'\s(?:aria-[a-z]+|role|class|stroke-miterlimit|font-family)="[^"]*"')
_EMPTY = re.compile(r'<path(?: display="none")? d=""(?: display="none")?/>|<g></g>')
_BACK = re.compile(r'<path d="M0(?:\.5)?,0(?:\.5)?h[\d.]+v[\d.]+h-[\d.]+Z"/>')
_STILL = re.compile(r'\stransform="translate\(0,0\)"')
_SOLID = re.compile(r'\sstroke-dasharray=""')
_LONG = re.compile(r"(\d+\.\d)\d+")
_RULE = r'<line transform="translate\(([-\d.]+,[-\d.]+)\)" x2="([-\d.]+)" y2="([-\d.]+)"'
_ONE_RULE = re.compile(_RULE)
_RULES = re.compile(rf"{_RULE}( [^>]*)/>(?:{_RULE}\4/>)+")
_LINE = re.compile(r'd="(M[-\d.,L]+)(Z?)"')
_WORDS = re.compile(r'<g class="mark-text[^>]*>')
#: What an element is without being told so, and what the words of a picture share.
_TEXT = re.compile(
    r'<text text-anchor="(\w+)" transform="translate\(([-\d.]+),([-\d.]+)\)"([^>]*)>'
)
_USUAL = re.compile(rf' (?:font-weight="400"|font-size="{SIZE}px"|fill="{INK}")')
_ROUND = re.compile(
    r'<path transform="translate\(([-\d.]+),([-\d.]+)\)" d="M([\d.]+),0A\3,\3,0,1,1,-\3,0A\3,\3,0,1,1,\3,0"'
)
_FULL = re.compile(r' (?:opacity="1"|stroke-width="1"(?=[ /]))')
_ROOT = re.compile(r"<svg[^>]*>")
_CLIP = re.compile(r"\bclip\d+\b")
_TOKEN = re.compile("|".join(COLOURS))


def ink(
    svg: str, *, palette: Palette, prefix: str, title: str, words: str, size: tuple[int, int]
) -> str:
    """Finish an SVG as it came from the renderer.

    Parameters
    ----------
    svg : str
        Renderer's output in stand-in colours.
    palette : {"light", "dark", "page"}
        Fixed colours, or the page's custom properties.
    prefix : str
        Put before every id, so that two pictures on one page share none.
    title, words : str
        What it is a picture of, and its finding; both are escaped.
    size : (int, int)
        Width and height of the view box [px].

    Returns
    -------
    str
        SVG with ``role="img"``, a title and a description, without a word per mark, without
        style attributes (a strict content policy drops those) and without fonts to fetch.
    """
    body = _NOISE.sub("", _WORDS.sub(_HALO, svg))
    body = _CLIP.sub(lambda match: f"{prefix}-{match[0]}", body)
    body = _EMPTY.sub("", _BACK.sub("", _STILL.sub("", body)))
    body = _LONG.sub(r"\1", _SOLID.sub("", body))
    body = _LINE.sub(lambda match: f'd="{_steps(match[1])}{match[2]}"', body)
    body = _TEXT.sub(_word, body)
    body = _ROUND.sub(r'<circle cx="\1" cy="\2" r="\3"', body)
    body = _FULL.sub("", body)
    body = _RULES.sub(lambda match: f'<path d="{_ruled(match[0])}"{match[4]}/>', body)
    body = _TOKEN.sub(lambda match: _colour(match[0], palette), body)
    family = "" if palette == "page" else f' font-family="{FONT}"'
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size[0]} {size[1]}" '
        f'width="{size[0]}" height="{size[1]}" role="img" '
        f'aria-labelledby="{prefix}-title {prefix}-words"{family}>'
        f'<title id="{prefix}-title">{html.escape(title)}</title>'
        f'<desc id="{prefix}-words">{html.escape(words)}</desc>'
    )
    return _ROOT.sub(lambda _: head, body, count=1)


def _word(found: re.Match[str]) -> str:
    """Tell a word by what is its own: a page holds some hundred of them, twice."""
    anchor = "" if found[1] == "start" else f' text-anchor="{found[1]}"'
    own = _USUAL.sub("", found[4]).replace('px"', '"')
    return f'<text x="{found[2]}" y="{found[3]}"{anchor}{own}>'


def _steps(line: str) -> str:
    """Tell a line by the steps from point to point: a page is half as large for it."""
    points = [
        [round(float(number) * 10) for number in point.split(",")] for point in line[1:].split("L")
    ]
    told = [
        _tenths(now - before)
        for one, other in pairwise(points)
        for before, now in zip(one, other, strict=True)
    ]
    start = ",".join(map(_tenths, points[0]))
    return f"M{start}l{' '.join(told).replace(' -', '-')}" if told else f"M{start}"


def _ruled(lines: str) -> str:
    """Draw lines of one pen in one go."""
    return "".join(f"M{at}l{x},{y}" for at, x, y in _ONE_RULE.findall(lines))


def _tenths(number: int) -> str:
    return f"{number / 10:g}".replace("0.", ".", 1) if abs(number) < 10 else f"{number / 10:g}"


def _colour(token: str, palette: Palette) -> str:
    name, light, dark = COLOURS[token]
    return {"light": light, "dark": dark, "page": f"var({name})"}[palette]
