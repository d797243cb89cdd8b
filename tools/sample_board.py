"""The sample's picture of a rubbed shoulder on its board."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, blob, dome, light, mix, soften

__all__ = ["rubbed_shoulder"]

Array = np.ndarray


def _planks(sheet: Sheet, dark: tuple, pale: tuple, *, wide: float, lean: float = 0.0) -> Array:
    """Colour wooden boards from left to right, with their gaps."""
    warp = sheet.noise(260, 3, 2)
    y = sheet.y + lean * sheet.x + 60 * warp
    fibre = sheet.noise(7, 45, 4)
    rings = 0.5 + 0.5 * np.sin(y / 7.5 + 14 * sheet.noise(150, 5, 2))
    board = np.floor((sheet.y + lean * sheet.x) / wide)
    tone = np.take(sheet.rng.random(40), (board - board.min()).astype(int) % 40)
    grain = 0.45 * fibre + 0.25 * rings + 0.35 * tone
    colours = mix(dark, pale, grain)
    gap = np.abs((sheet.y + lean * sheet.x) / wide - board - 0.5) > 0.5 - 2.2 / wide
    return blend(colours, (0.07, 0.05, 0.05), soften(gap * 1.0, 1))


def rubbed_shoulder() -> Image.Image:
    """Draw a rubbed shoulder on its board, with a bowl of rub and a knife."""
    s = Sheet(1600, 1200, 11)
    s.pixels[:] = light(
        _planks(s, (0.16, 0.13, 0.14), (0.34, 0.27, 0.24), wide=200), s.noise(9, 30, 3), relief=2
    )
    _cloth(s)
    board = s.card((300, 190, 1500, 1010), 60)
    s.shade(board, 22, 30, 26, 0.65)
    wood = mix((0.55, 0.34, 0.18), (0.83, 0.62, 0.38), _end_grain(s))
    height = 18 * dome(board, 14) + 1.6 * s.noise(6, 40, 3)
    s.paint(board, light(wood, height, relief=0.9))
    groove = s.card((345, 235, 1455, 965), 40) - s.card((357, 247, 1443, 953), 32)
    s.pixels *= (1 - 0.28 * groove)[..., None]
    _shoulder(s)
    _bowl(s, 1270, 790, 132)
    _knife(s)
    loose = np.clip(soften(s.disc(1150, 850, 180, 90), 60), 0, 1) * 0.8 + 0.06 * board
    for colour, count in (((0.10, 0.07, 0.06), 160), ((0.95, 0.92, 0.86), 120)):
        crumbs = s.specks(loose, count, (1.4, 3.4), 0.7)
        s.shade(crumbs, 2, 2, 1, 0.5)
        s.paint(crumbs, colour)
    return s.finish(0.45)


def _end_grain(s: Sheet) -> Array:
    y = s.y + 55 * s.noise(300, 2, 2) + 0.05 * s.x
    staves = np.floor(s.y / 137)
    tone = np.take(s.rng.random(12), staves.astype(int))
    rings = 0.5 + 0.5 * np.sin(y / 9 + staves * 2.1 + 6 * s.noise(220, 4, 2))
    return 0.4 * s.noise(5, 60, 3) + 0.3 * rings + 0.35 * tone


def _cloth(s: Sheet) -> None:
    cloth = s.area([(-10, 640), (250, 560), (420, 1210), (-10, 1210)])
    s.shade(cloth, 10, 12, 12, 0.5)
    along = s.x * math.cos(-0.22) - s.y * math.sin(-0.22)
    weave = 0.5 + 0.25 * np.sin(s.x * 1.6) * np.sin(s.y * 1.6)
    linen = mix((0.80, 0.75, 0.66), (0.93, 0.89, 0.80), weave)
    stripe = ((along % 96) < 26) * 1.0
    linen = blend(linen, (0.58, 0.20, 0.17), 0.85 * soften(stripe, 1))
    folds = s.noise(160, 0.6, 3)
    s.paint(cloth, light(linen, 60 * folds, relief=0.5))


def _shoulder(s: Sheet) -> None:
    outline = blob(
        [
            (430, 590), (450, 470), (520, 370), (600, 352), (700, 285), (840, 262), (930, 300),
            (1030, 318), (1115, 400), (1150, 510), (1118, 600), (1128, 690), (1050, 780),
            (930, 800), (840, 842), (700, 832), (610, 775), (500, 745), (452, 670),
        ]
    )  # fmt: skip
    meat = s.area(outline)
    s.shade(meat, 34, 46, 30, 0.8)
    swirl = s.noise(150, 2.4, 2)
    streak = np.abs(2 * ((2.6 * swirl + 0.35 * s.noise(50, 2, 3)) % 1) - 1)
    fat = np.clip((streak - 0.70) * 4, 0, 1) * s.noise(90, 1.5, 3) * 1.3
    colours = mix((0.42, 0.11, 0.10), (0.66, 0.25, 0.20), s.noise(40, 2, 4))
    colours = blend(colours, (0.90, 0.76, 0.62), fat)
    cap = s.area(blob([(470, 430), (610, 320), (860, 262), (940, 380), (760, 500), (540, 600)]))
    cap = np.clip(soften(cap, 36) * 1.3, 0, 1) * (0.5 + 0.5 * s.noise(30, 1.5, 3))
    colours = blend(colours, (0.94, 0.82, 0.68), cap * 0.8)
    rub = np.clip(0.25 + 0.9 * s.noise(70, 1, 4) - 0.25 * cap, 0, 1)
    colours = blend(colours, (0.40, 0.15, 0.06), rub * 0.8)
    seams = soften(np.clip((streak - 0.8) * 5, 0, 1), 5)
    lobes = soften(s.noise(210, 1.3, 2), 6)
    height = 120 * dome(meat, 120) + 46 * dome(meat, 36) + 70 * lobes - 16 * seams
    height += 14 * s.noise(60, 1.4, 2) + 5 * s.noise(12, 1, 3)
    s.paint(meat, light(colours, height, relief=0.60, gloss=0.14, sharp=18))
    _bone(s)
    body = np.clip(soften(meat, 8) * 2 - 1, 0, 1) * (0.25 + 0.75 * s.noise(46, 1, 4))
    lift = 0.62 + 0.62 * np.clip(1 - (s.x + s.y - 760) / 1250, 0, 1)
    for colour, count, sizes in (
        ((0.40, 0.15, 0.06), 5200, (1.6, 4.0)),
        ((0.14, 0.10, 0.09), 3400, (1.6, 4.4)),
        ((0.50, 0.30, 0.16), 1500, (1.4, 3.6)),
        ((0.92, 0.87, 0.80), 1100, (1.2, 2.7)),
    ):
        crumbs = s.specks(body, count, sizes, 0.75)
        s.shade(crumbs, 1.6, 1.8, 1, 0.42)
        s.paint(crumbs, np.asarray(colour) * lift[..., None], 0.92)


def _bone(s: Sheet) -> None:
    """Draw the cut edge of the blade bone, flush with the meat."""
    outline = [
        (1012, 560),
        (1040, 520),
        (1076, 508),
        (1092, 528),
        (1078, 580),
        (1060, 640),
        (1030, 668),
        (1010, 620),
    ]
    bone = s.area(blob(outline))
    s.shade(soften(bone, 8), 0, 0, 8, 0.75)
    pale = mix((0.60, 0.47, 0.37), (0.83, 0.74, 0.64), s.noise(18, 1, 3))
    rim = soften(bone, 5)
    s.paint(bone, light(pale, 9 * rim + 4 * s.noise(10, 1, 2), relief=0.7))
    marrow = s.area(
        blob([(1034, 560), (1056, 540), (1066, 556), (1052, 610), (1034, 634), (1026, 600)])
    )
    s.paint(soften(marrow, 3), (0.45, 0.19, 0.15), 0.85)
    s.paint(s.specks(marrow, 120, (1.5, 3.0), 0.8), (0.74, 0.56, 0.46), 0.6)


def _bowl(s: Sheet, x: float, y: float, r: float) -> None:
    bowl = s.disc(x, y, r)
    s.shade(bowl, 20, 26, 16, 0.7)
    glaze = mix((0.22, 0.30, 0.33), (0.34, 0.43, 0.45), s.noise(30, 1, 3))
    s.paint(bowl, light(glaze, 60 * dome(bowl, 20), relief=0.7, gloss=0.35, sharp=30))
    inside = s.disc(x, y, r * 0.84)
    s.paint(inside, (0.13, 0.17, 0.19))
    heap = s.disc(x + 2, y + 3, r * 0.80)
    base = mix((0.45, 0.40, 0.36), (0.68, 0.62, 0.56), s.noise(16, 1, 4))
    slope = 46 * dome(heap, 60) + 10 * s.noise(30, 1, 3) + 5 * s.noise(5, 1, 2)
    s.paint(heap, light(base, slope, relief=0.8))
    ring = soften(inside - s.disc(x + 8, y + 10, r * 0.80), 6)
    s.pixels *= (1 - 0.55 * np.clip(ring, 0, 1))[..., None]
    for colour, count in (((0.10, 0.08, 0.07), 900), ((0.96, 0.94, 0.90), 800)):
        s.paint(s.specks(heap, count, (1.2, 2.8), 0.8), colour, 0.9)


def _knife(s: Sheet) -> None:
    curve = [(x, 896 - 8 * math.sin((x - 540) / 150)) for x in range(540, 1015, 5)]
    belly = [(x, 897 + 40 * (1 - math.exp(-(x - 540) / 120))) for x in range(1012, 535, -5)]
    blade = s.area([*curve, *belly])
    s.shade(blade, 7, 10, 6, 0.6)
    sheen = (
        0.45 * s.noise(5, 90, 2) + 0.6 * np.clip((s.y - 886) / 46, 0, 1) + 0.2 * np.sin(s.x / 90)
    )
    s.paint(blade, mix((0.46, 0.49, 0.53), (0.93, 0.94, 0.94), sheen))
    ground = blade * (s.y > 897 + 28 * (1 - np.exp(-(s.x - 540) / 120)))
    s.paint(soften(ground, 1), (0.97, 0.97, 0.95), 0.7)
    handle = s.area(
        blob(
            [
                (1010, 876),
                (1120, 868),
                (1240, 872),
                (1262, 900),
                (1236, 922),
                (1120, 922),
                (1010, 926),
            ],
            12,
        )
    )
    s.shade(handle, 6, 10, 6, 0.6)
    wood = mix((0.22, 0.12, 0.08), (0.42, 0.24, 0.15), s.noise(5, 30, 3))
    s.paint(handle, light(wood, 26 * dome(handle, 18), relief=0.8, gloss=0.25, sharp=40))
    for at in (1050, 1130, 1210):
        s.paint(s.disc(at, 899, 6.5), (0.80, 0.74, 0.60))
        s.paint(s.disc(at - 1.5, 897, 3), (0.96, 0.93, 0.85))
