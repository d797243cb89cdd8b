"""The sample's picture of two turkey halves at the pit's grate."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, blob, dome, light, mix, run, soften

__all__ = ["turkey_halves_on_the_grate"]

Array = np.ndarray


def turkey_halves_on_the_grate() -> Image.Image:
    """Draw two halves of a turkey, skin up, side by side over the coals."""
    s = Sheet(1200, 900, 141)
    _pit(s)
    _half(s, 330, 408, -0.12, 1.0)
    _half(s, 830, 432, 0.10, -1.0)
    haze = s.noise(240, 1.4, 3) * np.clip(1 - s.y / 760, 0, 1)
    s.paint(soften(np.clip(haze - 0.3, 0, 1), 20), (0.72, 0.68, 0.66), 0.22)
    return s.finish(0.5)


def _pit(s: Sheet) -> None:
    s.pixels[:] = mix((0.05, 0.045, 0.05), (0.13, 0.09, 0.08), s.noise(120, 1, 3))
    for x, y, r in zip(
        s.rng.uniform(0, 1200, 46),
        s.rng.uniform(0, 900, 46),
        s.rng.uniform(14, 46, 46),
        strict=True,
    ):
        s.glow(soften(s.disc(x, y, r), 18), (0.95, 0.34, 0.08), 0.30)
    bars = [([(-10, 26 + 44 * k), (1210, 20 + 44 * k)], 13, 13) for k in range(21)]
    rods = np.maximum(s.strokes(bars), s.strokes([([(600, -10), (604, 910)], 20, 20)]))
    s.shade(rods, 4, 8, 5, 0.6)
    steel = mix((0.13, 0.12, 0.12), (0.34, 0.31, 0.29), s.noise(14, 2, 3))
    s.paint(rods, light(steel, 16 * soften(rods, 4), relief=0.9, gloss=0.25, sharp=22))


def _half(s: Sheet, x: float, y: float, lean: float, side: float) -> None:
    """Draw one half: breast, thigh, drumstick and wing, `side` -1 mirrors it."""

    def at(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
        c, n = math.cos(lean), math.sin(lean)
        return [(x + side * u * c - v * n, y + side * u * n + v * c) for u, v in points]

    bone = s.strokes(
        [(at([(96, 286), (120, 372)]), 30, 24), (at([(112, 368), (132, 374)]), 34, 34)]
    )
    s.shade(bone, 10, 14, 8, 0.6)
    pale = mix((0.55, 0.38, 0.24), (0.88, 0.74, 0.56), s.noise(14, 1, 3))
    s.paint(bone, light(pale, 20 * dome(bone, 8), relief=0.7))
    breast = s.area(
        blob(
            at(
                [
                    (-150, -150),
                    (-90, -290),
                    (30, -330),
                    (140, -270),
                    (176, -120),
                    (150, 40),
                    (60, 110),
                    (-70, 90),
                    (-146, -10),
                ]
            )
        )
    )
    thigh = s.area(
        blob(at([(-110, 60), (0, 20), (130, 40), (170, 130), (130, 230), (20, 250), (-90, 190)]))
    )
    drum = s.strokes([(run(at([(20, 150), (78, 216), (100, 300)])), 168, 46)])
    wing = s.strokes([(run(at([(-96, -150), (-160, -96), (-132, -6), (-70, 40)])), 96, 62)])
    whole = np.clip(breast + thigh + drum + wing, 0, 1)
    s.shade(whole, 20, 30, 20, 0.8)
    # One skin over all of it: the highest part shows, and the seams are creases.
    body = 1.5 * dome(breast, 70)
    for part, round_, tall in ((thigh, 50, 1.25), (wing, 22, 0.95), (drum, 36, 1.55)):
        body = np.maximum(body, tall * dome(part, round_))
    _skin(s, whole, soften(body, 5))


def _skin(s: Sheet, part: Array, body: Array) -> None:
    brown = mix(
        (0.46, 0.20, 0.06),
        (0.84, 0.50, 0.19),
        0.55 * s.noise(70, 1.2, 4) + 0.45 * s.noise(16, 1, 3),
    )
    brown = blend(
        brown, (0.24, 0.08, 0.03), 0.8 * np.clip((s.noise(58, 1.3, 4) - 0.52) * 2.4, 0, 1)
    )
    brown = blend(brown, (0.20, 0.07, 0.03), 0.75 * np.clip(1 - body * 1.5, 0, 1))
    folds = np.abs(2 * s.noise(46, 2.2, 3) - 1)
    height = 100 * body + 9 * s.noise(26, 1, 3) + 7 * folds + 2.2 * s.noise(5, 1, 2)
    s.paint(part, light(brown, height, relief=0.55, gloss=0.5, sharp=20))
    inside = np.clip(soften(part, 6) * 2 - 1, 0, 1)
    s.paint(s.specks(inside, 420, (1.0, 2.6), 0.8), (0.10, 0.05, 0.03), 0.75)
    s.paint(s.specks(inside, 160, (1.0, 2.4), 0.8), (0.62, 0.16, 0.06), 0.6)
