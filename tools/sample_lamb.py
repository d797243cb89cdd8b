"""The sample's picture of a lamb shoulder, half pulled."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, blob, dome, light, mix, run, soften
from sample_slices import table_top

__all__ = ["pulled_lamb"]

Array = np.ndarray


def pulled_lamb() -> Image.Image:
    """Draw a lamb shoulder on a dish: dark crust, the arm bone showing, one end pulled."""
    s = Sheet(1200, 900, 151)
    s.pixels[:] = table_top(s)
    _dish(s)
    _bone(s)
    _shoulder(s)
    _strands(s)
    for x, y, turn, size in ((270, 250, 0.5, 1.0), (985, 250, 2.5, 0.9), (905, 705, 3.6, 1.0)):
        _sprig(s, x, y, turn, size)
    return s.finish(0.45)


def _dish(s: Sheet) -> None:
    rim = s.disc(600, 455, 545, 385)
    s.shade(rim, 18, 26, 22, 0.7)
    glaze = mix((0.76, 0.74, 0.69), (0.93, 0.91, 0.86), s.noise(80, 1, 3))
    s.paint(rim, light(glaze, 40 * dome(rim, 24), relief=0.5, gloss=0.3, sharp=40))
    s.pixels *= (1 - 0.5 * (s.disc(600, 455, 528, 370) - s.disc(600, 456, 524, 366)))[..., None]
    well = s.disc(600, 462, 440, 300)
    s.pixels *= (1 - 0.16 * soften(well, 12))[..., None]
    fat = s.area(blob([(250, 560), (420, 690), (700, 735), (960, 640), (1000, 470), (700, 600)]))
    s.paint(soften(fat, 8), (0.52, 0.30, 0.13), 0.45)
    s.glow(soften(fat, 6) * np.clip(s.noise(50, 2, 2) - 0.6, 0, 1), (1.0, 0.9, 0.7), 0.5)


def _shoulder(s: Sheet) -> None:
    meat = s.area(
        blob(
            [
                (196, 500),
                (176, 410),
                (238, 330),
                (330, 300),
                (380, 232),
                (500, 196),
                (610, 214),
                (690, 196),
                (776, 270),
                (806, 380),
                (770, 520),
                (690, 590),
                (640, 668),
                (500, 690),
                (420, 654),
                (310, 660),
                (236, 590),
            ]
        )
    )
    s.shade(meat, 24, 34, 22, 0.75)
    crust = mix(
        (0.13, 0.06, 0.04), (0.46, 0.23, 0.12), 0.6 * s.noise(50, 1.3, 4) + 0.4 * s.noise(12, 1, 3)
    )
    fat = np.clip((s.noise(80, 2, 3) - 0.55) * 3, 0, 1)
    crust = blend(crust, (0.66, 0.43, 0.22), 0.6 * fat)
    cracks = np.clip(1 - np.abs(2 * s.noise(70, 1.2, 3) - 1) * 9, 0, 1)
    crust = blend(crust, (0.07, 0.03, 0.02), 0.55 * cracks)
    height = 120 * dome(meat, 90) + 40 * dome(meat, 26) + 34 * s.noise(60, 1.2, 3)
    height += 9 * s.noise(10, 1, 3) - 10 * soften(cracks, 2)
    s.paint(meat, light(crust, height, relief=0.6, gloss=0.30, sharp=18))
    inside = np.clip(soften(meat, 8) * 2 - 1, 0, 1)
    for colour, count in (
        ((0.10, 0.07, 0.05), 900),
        ((0.30, 0.36, 0.16), 500),
        ((0.80, 0.66, 0.42), 260),
    ):
        s.paint(s.specks(inside, count, (1.2, 3.4), 0.6), colour, 0.8)


def _strands(s: Sheet) -> None:
    """Heap what was pulled: strands that lie as two forks leave them."""
    heap = np.clip(soften(s.disc(850, 520, 190, 165), 40), 0, 1)
    s.shade(heap, 14, 20, 20, 0.55)
    for layer in range(6):
        lines = []
        for _ in range(120):
            far = 180 * math.sqrt(s.rng.random()) * (1 - 0.09 * layer)
            turn, way = s.rng.uniform(0, math.tau), s.rng.normal(0.4, 0.75)
            x, y = 850 + far * math.cos(turn), 520 + 0.84 * far * math.sin(turn) - 8 * layer
            long = s.rng.uniform(26, 62)
            dx, dy = long * math.cos(way), long * math.sin(way)
            bow = s.rng.normal(0, 9)
            lines.append(
                (
                    run([(x - dx, y - dy), (x + bow, y - bow), (x + dx, y + dy)], 8),
                    s.rng.uniform(7, 14),
                    3.5,
                )
            )
        mask = s.strokes(lines)
        s.shade(mask, 4, 6, 4, 0.45)
        tone = mix(
            (0.30, 0.15, 0.09),
            (0.74, 0.52, 0.36),
            0.45 * s.noise(30, 1, 3) + 0.55 * s.noise(5, 3, 2),
        )
        tone = blend(tone, (0.20, 0.09, 0.05), 0.9 * np.clip((s.noise(44, 1, 3) - 0.58) * 5, 0, 1))
        s.paint(
            mask,
            light(
                tone, 16 * soften(mask, 4) + 5 * s.noise(6, 2, 2), relief=0.7, gloss=0.28, sharp=22
            ),
        )


def _bone(s: Sheet) -> None:
    """Draw the arm bone's end where the meat has drawn back from it."""
    shaft = s.strokes([(run([(250, 470), (180, 500), (120, 528)]), 46, 40)])
    ends = s.strokes([([(112, 514), (118, 546)], 44, 42)])
    bone = np.maximum(shaft, ends)
    s.shade(bone, 8, 12, 9, 0.6)
    pale = mix((0.52, 0.36, 0.23), (0.86, 0.74, 0.57), s.noise(18, 2, 3))
    pale = blend(pale, (0.30, 0.14, 0.08), np.clip((s.x - 165) / 90, 0, 1))
    s.paint(bone, light(pale, 24 * dome(bone, 10), relief=0.8, gloss=0.15))


def _sprig(s: Sheet, x: float, y: float, turn: float, size: float) -> None:
    c, n = math.cos(turn), math.sin(turn)
    stem = [(x + c * t * size, y + n * t * size + 10 * math.sin(t / 40)) for t in range(0, 190, 10)]
    needles = []
    for k, (px, py) in enumerate(stem[2:]):
        for side in (-1, 1):
            lean = turn + side * s.rng.uniform(0.5, 0.9)
            far = size * s.rng.uniform(26, 40) * (1 - 0.02 * k)
            needles.append(
                ([(px, py), (px + far * math.cos(lean), py + far * math.sin(lean))], 7 * size, 2.5)
            )
    both = s.strokes([(run(stem), 6, 3), *needles])
    s.shade(both, 5, 7, 4, 0.5)
    green = mix((0.14, 0.24, 0.12), (0.36, 0.48, 0.26), s.noise(9, 1, 3))
    s.paint(both, light(green, 12 * soften(both, 3), relief=0.8, gloss=0.1))
