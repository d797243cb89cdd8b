"""The sample's picture of the glaze trial: two marked plates, one pair of bones a taster."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, dome, light, mix, run, soften
from sample_slices import table_top

__all__ = ["two_plates"]

Array = np.ndarray
Colour = tuple[float, float, float]


def two_plates() -> Image.Image:
    """Draw two plates with a bone each, the slips beside them marked with a circle and a square."""
    s = Sheet(1200, 900, 161)
    s.pixels[:] = table_top(s)
    for x, dark, pale, way in (
        (325, (0.30, 0.12, 0.04), (0.70, 0.36, 0.11), -0.22),
        (875, (0.17, 0.045, 0.03), (0.46, 0.13, 0.05), 0.16),
    ):
        _plate(s, x, 362)
        _bone(s, x, 362, way, dark, pale)
    _slip(s, 325, 730, circle=True)
    _slip(s, 875, 730, circle=False)
    _pencil(s)
    return s.finish(0.42)


def _plate(s: Sheet, x: float, y: float) -> None:
    plate = s.disc(x, y, 250, 240)
    s.shade(plate, 16, 24, 18, 0.7)
    glaze = mix((0.80, 0.78, 0.73), (0.94, 0.93, 0.89), s.noise(90, 1, 3))
    s.paint(plate, light(glaze, 36 * dome(plate, 20), relief=0.5, gloss=0.3, sharp=40))
    rim = soften(s.disc(x, y, 182, 173) - s.disc(x + 5, y + 7, 176, 167), 4)
    s.pixels *= (1 - 0.4 * np.clip(rim, 0, 1))[..., None]
    line = s.disc(x, y, 240, 230) - s.disc(x, y, 235, 225)
    s.paint(line, (0.30, 0.38, 0.45), 0.7)


def _bone(s: Sheet, x: float, y: float, lean: float, dark: Colour, pale: Colour) -> None:
    """Draw one cut rib: the bone's two ends, glazed meat between them."""
    c, n = math.cos(lean), math.sin(lean)

    def at(u: float, v: float) -> tuple[float, float]:
        return x + v * c - u * n, y + v * n + u * c

    ends = s.strokes([(run([at(-200, 26), at(0, -2), at(196, 26)]), 36, 42)])
    s.shade(ends, 12, 16, 9, 0.6)
    white = mix((0.56, 0.40, 0.27), (0.90, 0.80, 0.65), s.noise(16, 1, 3))
    s.paint(ends, light(white, 24 * dome(ends, 9), relief=0.8, gloss=0.12))
    wave = [at(u, 56 + 5 * math.sin(u / 29) + u * u / 1500) for u in range(-152, 158, 8)]
    back = [at(u, -62 + 6 * math.sin(u / 23 + 1) + u * u / 1100) for u in range(150, -158, -8)]
    meat = soften(s.area([*wave, *back]), 7)
    meat = np.clip((meat - 0.4) * 5, 0, 1)
    s.shade(meat, 16, 24, 14, 0.75)
    tone = 0.6 * s.noise(42, 1.2, 4) + 0.4 * s.noise(11, 1, 3)
    colours = blend(
        mix(dark, pale, tone),
        (0.08, 0.03, 0.02),
        0.7 * np.clip((s.noise(30, 1, 4) - 0.6) * 3, 0, 1),
    )
    height = (
        84 * dome(meat, 40) + 30 * dome(meat, 14) + 16 * s.noise(44, 1, 3) + 2.5 * s.noise(9, 1, 3)
    )
    s.paint(meat, light(colours, height, relief=0.6, gloss=0.48, sharp=26))
    inside = np.clip(soften(meat, 6) * 2 - 1, 0, 1)
    s.paint(s.specks(inside, 150, (1.2, 3.0), 0.7), (0.06, 0.03, 0.03), 0.8)
    wet = np.clip((s.noise(12, 1.5, 3) - 0.70) * 6, 0, 1) * inside
    s.glow(wet, (1.0, 0.84, 0.62), 0.2)


def _slip(s: Sheet, x: float, y: float, *, circle: bool) -> None:
    slip = s.area([(x - 92, y - 62), (x + 88, y - 68), (x + 94, y + 58), (x - 86, y + 64)])
    s.shade(slip, 8, 11, 8, 0.55)
    paper = mix((0.84, 0.80, 0.70), (0.95, 0.92, 0.84), s.noise(120, 1, 3))
    s.paint(slip, light(paper, 0.12 * s.folds(4) + 0.5 * s.noise(4, 1, 2), relief=0.7))
    if circle:
        mark = [(x + 38 * math.cos(t), y + 36 * math.sin(t)) for t in np.linspace(-1.2, 5.4, 70)]
    else:
        mark = [
            (x - 36, y - 35),
            (x + 37, y - 38),
            (x + 36, y + 35),
            (x - 38, y + 37),
            (x - 37, y - 39),
        ]
    line = s.strokes([(mark, 6.5, 5.5)]) * (0.6 + 0.4 * s.noise(3, 1, 2))
    s.paint(line, (0.16, 0.16, 0.19), 0.9)


def _pencil(s: Sheet) -> None:
    wood = s.strokes([([(520, 782), (690, 702)], 20, 20)])
    s.shade(wood, 7, 10, 6, 0.6)
    s.paint(
        wood,
        light(
            mix((0.55, 0.12, 0.08), (0.70, 0.20, 0.12), s.noise(4, 20, 2)),
            18 * dome(wood, 7),
            relief=0.9,
            gloss=0.3,
        ),
    )
    tip = s.area([(684, 695), (694, 712), (722, 687)])
    s.paint(tip, (0.83, 0.66, 0.44))
    s.paint(s.area([(708, 689), (712, 696), (722, 687)]), (0.12, 0.12, 0.13))
