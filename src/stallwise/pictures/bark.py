"""How dark a bark is, in four steps: tints that keep their order in grey, never without their word."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["BARK", "slice_picture"]

#: From the palest to the darkest; a grey copy of each is a fifth of the scale from the next.
BARK: Mapping[str, str] = {
    "tan": "#d3a15c",
    "red-brown": "#a3542f",
    "mahogany": "#65291d",
    "black": "#1f1714",
}


def slice_picture(word: str) -> str:
    """Draw a slice from the side, its crust in the tint of a word of `BARK`; decoration for its label."""
    tint = BARK[word]
    grains = "".join(
        f'<circle cx="{x}" cy="{y}" r="1.1" fill="#fff" fill-opacity=".28"/>'
        for x, y in ((12, 7), (23, 5.5), (35, 7.5), (47, 5.5), (58, 7.2), (67, 9.5))
    )
    return (
        '<svg class="sw-bark" viewBox="0 0 76 34" width="76" height="34" aria-hidden="true">'
        f'<path d="M2 32V16Q3 3 18 2H58Q73 3 74 16V32Z" fill="{tint}" class="sw-bark-rim"/>'
        '<path d="M8 32V19Q9 11 20 10.5H56Q67 11 68 19V32Z" fill="#c98f7c"/>'
        '<path d="M8 25Q22 21 38 25T68 24V32H8Z" fill="#a9705f"/>'
        f"{grains}</svg>"
    )
