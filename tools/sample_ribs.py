"""The sample's picture of glazed ribs on paper."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, dome, light, mix, soften

__all__ = ["bark", "glazed_ribs"]

Array = np.ndarray


def glazed_ribs() -> Image.Image:
    """Draw two glazed racks on creased paper, with a bowl of glaze and a brush."""
    s = Sheet(1600, 1200, 5)
    wood = mix(
        (0.20, 0.15, 0.13), (0.40, 0.30, 0.23), 0.6 * s.noise(7, 45, 4) + 0.4 * s.noise(90, 4, 2)
    )
    s.pixels[:] = light(wood, s.noise(9, 30, 3), relief=2)
    _paper(s)
    _rack(s, 640, 410, 560, 150, -0.13, bones=11)
    _rack(s, 770, 850, 600, 158, -0.13, bones=12)
    _glaze_bowl(s, 1370, 300)
    return s.finish(0.45)


def _paper(s: Sheet) -> None:
    edge = [
        (95, 130),
        (800, 70),
        (1530, 96),
        (1556, 640),
        (1500, 1130),
        (760, 1160),
        (70, 1120),
        (52, 600),
    ]
    sheet = s.area(edge)
    s.shade(sheet, 16, 22, 18, 0.6)
    fibre = 0.5 * s.noise(3, 3, 2) + 0.5 * s.noise(120, 1, 3)
    brown = mix((0.70, 0.53, 0.36), (0.82, 0.66, 0.47), fibre)
    grease = np.zeros_like(s.x)
    for x, y, r in ((640, 430, 420), (770, 880, 440), (1380, 330, 110), (230, 640, 60)):
        spot = np.exp(-((np.hypot(s.x - x, (s.y - y) * 1.5) / r) ** 4))
        grease = np.maximum(grease, spot * (0.55 + 0.45 * s.noise(50, 1.4, 3)))
    brown = blend(brown, (0.46, 0.29, 0.16), 0.62 * grease)
    s.paint(sheet, light(brown, 0.16 * s.folds(15) + 30 * s.noise(300, 1, 2), relief=0.9))
    drops = []
    for x, y in s.rng.normal((700, 640), (420, 260), (46, 2)):
        drops.append(s.disc(x, y, s.rng.uniform(2, 9)))
    smear = np.clip(sum(drops), 0, 1) * sheet
    s.paint(
        smear,
        light(
            mix((0.30, 0.07, 0.03), (0.42, 0.12, 0.04), s.noise(20)),
            9 * dome(smear, 3),
            relief=1,
            gloss=0.5,
        ),
    )


def _turned(s: Sheet, x: float, y: float, lean: float) -> tuple[Array, Array]:
    along = (s.x - x) * math.cos(lean) + (s.y - y) * math.sin(lean)
    across = -(s.x - x) * math.sin(lean) + (s.y - y) * math.cos(lean)
    return along, across


def bark(s: Sheet, ridge: Array, size: float = 1.0) -> Array:
    """Mahogany under glaze: red where it is thin, nearly black where it is thick."""
    colours = mix(
        (0.20, 0.045, 0.025), (0.52, 0.16, 0.055), 0.6 * s.noise(60 * size, 1.2, 4) + 0.45 * ridge
    )
    colours = blend(
        colours, (0.70, 0.30, 0.10), 0.55 * np.clip(s.noise(26 * size, 1, 4) - 0.55, 0, 1) * 2
    )
    return blend(
        colours,
        (0.09, 0.03, 0.025),
        0.75 * np.clip((s.noise(34 * size, 1.3, 4) - 0.56) * 3.2, 0, 1),
    )


def _rack(
    s: Sheet, x: float, y: float, half: float, wide: float, lean: float, *, bones: int
) -> None:
    u, v = _turned(s, x, y, lean)
    wobble = (s.noise(120, 1, 3) - 0.5) * 34
    taper = 1 - 0.20 * np.clip(u / half, -1, 1) - 0.10 * (u / half) ** 2
    shape = np.maximum(np.abs(u + 0.4 * wobble) / half, np.abs(v + wobble * 0.5) / (wide * taper))
    round_ = (
        (np.abs(u + 0.4 * wobble) / half) ** 14 + (np.abs(v + 0.5 * wobble) / (wide * taper)) ** 5
    ) ** (1 / 5)
    meat = soften(np.clip((1 - np.maximum(shape * 0, round_)) * 70, 0, 1), 1)
    pitch = 2 * half / bones
    curve = u + 0.0011 * v**2 + 9 * (s.noise(200, 1, 1) - 0.5)
    phase = (curve / pitch) % 1
    ridge = 0.5 - 0.5 * np.cos(math.tau * phase)
    # Bones show where the meat has drawn back: look for its edge along each bone.
    stubs = []
    for k in range(bones):
        at = -half + pitch * (k + 0.5)
        down = np.arange(0.5 * wide, 1.6 * wide)
        cols = np.clip(x + at * math.cos(lean) - down * math.sin(lean), 0, s.width - 1).astype(int)
        rows = np.clip(y + at * math.sin(lean) + down * math.cos(lean), 0, s.height - 1).astype(int)
        edge = down[int(np.argmax(meat[rows, cols] < 0.5))]
        shown = s.rng.uniform(3, 15)
        line = [
            (
                x + at * math.cos(lean) - far * math.sin(lean),
                y + at * math.sin(lean) + far * math.cos(lean),
            )
            for far in (edge - 40, edge + shown)
        ]
        stubs.append((line, 21, s.rng.uniform(23, 28)))
    ends = s.strokes(stubs)
    s.shade(np.maximum(meat, ends), 24, 34, 20, 0.75)
    pale = mix((0.50, 0.31, 0.19), (0.86, 0.72, 0.55), s.noise(16, 1, 3))
    s.paint(ends, light(pale, 22 * dome(ends, 9), relief=0.7, gloss=0.12))
    height = (
        70 * dome(meat, 46)
        + 40 * dome(meat, 14)
        + 24 * ridge
        + 20 * s.noise(50, 1, 3)
        + 6 * s.noise(13, 1, 3)
    )
    colours = bark(s, ridge)
    s.paint(meat, light(colours, height, relief=0.62, gloss=0.62, sharp=26))
    pepper = s.specks(np.clip(soften(meat, 6) * 2 - 1, 0, 1), int(half * 1.4), (1.2, 2.8), 0.7)
    s.paint(pepper, (0.05, 0.03, 0.03), 0.8)
    wet = np.clip((s.noise(11, 1.6, 3) - 0.70) * 6, 0, 1) * np.clip(soften(meat, 8) * 2 - 1, 0, 1)
    s.glow(wet, (1.0, 0.80, 0.58), 0.16)


def _glaze_bowl(s: Sheet, x: float, y: float) -> None:
    bowl = s.disc(x, y, 150)
    s.shade(bowl, 22, 30, 20, 0.7)
    clay = mix((0.80, 0.74, 0.66), (0.93, 0.89, 0.82), s.noise(40, 1, 3))
    s.paint(bowl, light(clay, 70 * dome(bowl, 22), relief=0.6, gloss=0.25, sharp=40))
    s.paint(s.disc(x, y, 126), (0.50, 0.43, 0.37))
    pool = s.disc(x + 2, y + 4, 118)
    syrup = mix((0.24, 0.055, 0.02), (0.50, 0.16, 0.045), s.noise(70, 1, 2))
    s.paint(
        pool,
        light(
            syrup, 16 * dome(pool, 10) + 26 * s.noise(110, 1, 2), relief=0.7, gloss=0.85, sharp=60
        ),
    )
    shadow = np.clip(soften(s.disc(x, y, 126) - s.disc(x + 14, y + 18, 120), 8), 0, 1) * s.disc(
        x, y, 126
    )
    s.pixels *= (1 - 0.6 * shadow)[..., None]
    hairs = []
    for side in s.rng.permutation(np.linspace(-1, 1, 46)):
        root = (x + 20 + 21 * side * 1.05, y - 8 + 31 * side * 1.05)
        tip = (x - 48 + 30 * side + s.rng.normal(0, 4), y + 44 + 34 * side + s.rng.normal(0, 4))
        hairs.append(
            ([root, ((root[0] + tip[0]) / 2 + 3, (root[1] + tip[1]) / 2 - 2), tip], 3.6, 1.6)
        )
    s.shade(s.strokes(hairs), 6, 9, 6, 0.5)
    wet = np.clip((x - 4 - s.x + 0.6 * (s.y - y)) / 60, 0, 1)
    for k, tone in enumerate(((0.40, 0.25, 0.13), (0.70, 0.52, 0.33), (0.55, 0.37, 0.21))):
        s.paint(s.strokes(hairs[k::3]), blend(mix(tone, tone, wet), (0.36, 0.09, 0.03), 0.85 * wet))
    handle = s.area([(x - 4, y - 44), (x + 42, y + 24), (x + 246, y - 128), (x + 228, y - 158)])
    s.shade(handle, 8, 14, 8, 0.55)
    wood = mix((0.50, 0.30, 0.16), (0.76, 0.54, 0.33), s.noise(5, 4, 3))
    s.paint(handle, light(wood, 26 * dome(handle, 14), relief=0.8, gloss=0.2))
    band = s.area([(x - 4, y - 44), (x + 42, y + 24), (x + 62, y + 9), (x + 18, y - 60)])
    s.paint(
        band,
        light(
            mix((0.55, 0.52, 0.48), (0.82, 0.80, 0.76), s.noise(9)),
            26 * dome(band, 14),
            relief=0.8,
            gloss=0.5,
        ),
    )
