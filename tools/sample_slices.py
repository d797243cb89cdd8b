"""The sample's picture of a sliced brisket."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, blob, dome, light, mix, soften

__all__ = ["sliced_brisket", "table_top"]

Array = np.ndarray


def sliced_brisket() -> Image.Image:
    """Draw slices of a brisket leaning on one another on a board, wet with their juice."""
    s = Sheet(1200, 900, 131)
    s.pixels[:] = table_top(s)
    board = s.card((90, 110, 1120, 800), 46)
    s.shade(board, 16, 22, 20, 0.7)
    wood = mix(
        (0.42, 0.25, 0.14), (0.70, 0.48, 0.29), 0.5 * s.noise(5, 50, 3) + 0.5 * s.noise(60, 5)
    )
    s.paint(board, light(wood, 14 * dome(board, 12) + 1.2 * s.noise(5, 40, 3), relief=0.9))
    _juice(s)
    for k in range(9):
        _slice(s, 300 + 72 * k, 452 + 14 * math.sin(1.3 * k), 0.34 + 0.015 * k, 300 - 10 * k)
    _crumbs(s, board)
    return s.finish(0.45)


def table_top(s: Sheet) -> Array:
    """Colour a dark table of planks."""
    grain = 0.6 * s.noise(7, 45, 4) + 0.4 * s.noise(90, 4, 2)
    wood = mix((0.17, 0.13, 0.12), (0.36, 0.27, 0.22), grain)
    seam = np.abs((s.y + 0.03 * s.x) % 230 - 115) < 1.6
    return light(
        blend(wood, (0.06, 0.05, 0.05), soften(seam * 1.0, 1)), s.noise(9, 30, 3), relief=2
    )


def _juice(s: Sheet) -> None:
    pool = s.area(
        blob([(190, 560), (420, 640), (760, 700), (1010, 640), (960, 760), (500, 770), (230, 690)])
    )
    thin = soften(pool, 16) * (0.55 + 0.45 * s.noise(70, 2, 3))
    s.pixels *= (1 - 0.42 * thin)[..., None]
    s.glow(soften(pool, 10) * np.clip(s.noise(60, 3, 2) - 0.62, 0, 1), (1.0, 0.85, 0.7), 0.5)


def _slice(s: Sheet, x: float, y: float, lean: float, half: float) -> None:
    """Draw one slice on its edge: bark all round, a pink rim, grey meat with the grain across."""
    outline = []
    for t in np.linspace(0, math.tau, 60, endpoint=False):
        across = 66 * math.copysign(abs(math.cos(t)) ** 0.75, math.cos(t))
        along = half * math.copysign(abs(math.sin(t)) ** 0.55, math.sin(t))
        along *= 1 + 0.03 * math.sin(3 * t + x)
        across *= 1 - 0.18 * along / half
        outline.append(
            (
                x + across * math.cos(lean) - along * math.sin(lean) * 0.55,
                y + across * math.sin(lean) * 0.4 + along * math.cos(lean),
            )
        )
    whole = s.area(outline)
    s.shade(whole, 20, 14, 14, 0.75)
    deep = soften(whole, 9)
    face = np.clip((deep - 0.78) * 7, 0, 1) * whole
    ring = np.clip((soften(whole, 15) - 0.80) * 6, 0, 1) * face
    wave = s.noise(120, 1, 2)
    fibre = 0.5 + 0.5 * np.sin((s.x * 0.92 + s.y * 0.28 + 60 * wave) / 3.1)
    crust = mix((0.05, 0.03, 0.03), (0.20, 0.09, 0.06), s.noise(14, 1, 4))
    pink = mix((0.46, 0.20, 0.16), (0.66, 0.34, 0.27), 0.3 * fibre + 0.7 * s.noise(24, 1, 3))
    meat = mix((0.38, 0.23, 0.15), (0.63, 0.45, 0.32), 0.22 * fibre + 0.78 * s.noise(70, 0.6, 3))
    colours = crust + (pink - crust) * face[..., None]
    colours = colours + (meat - colours) * ring[..., None]
    seam = np.exp(-((((s.y - y) + 0.35 * (s.x - x) + 30 * (wave - 0.5)) / 9) ** 2)) * ring
    colours = blend(colours, (0.86, 0.74, 0.58), 0.55 * seam * s.noise(30, 2, 3))
    height = 34 * dome(whole, 12) + 1.1 * fibre * ring + 6 * s.noise(40, 0.6, 3)
    s.paint(whole, light(colours, height, relief=0.7, gloss=0.20, sharp=26))
    wet = np.clip((s.noise(22, 0.5, 3) - 0.68) * 5, 0, 1) * ring
    s.glow(wet, (1.0, 0.86, 0.70), 0.17)


def _crumbs(s: Sheet, board: Array) -> None:
    where = np.clip(soften(s.disc(640, 730, 420, 70), 40), 0, 1) * board
    crumbs = s.specks(where, 260, (1.6, 5.5), 0.8)
    s.shade(crumbs, 2, 3, 1, 0.6)
    s.paint(crumbs, mix((0.05, 0.03, 0.03), (0.24, 0.11, 0.07), s.noise(8)))
