"""The sample's picture of a tray of pulled shoulder."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, blob, dome, light, mix, run, soften

__all__ = ["pulled_shoulder"]

Array = np.ndarray


def pulled_shoulder() -> Image.Image:
    """Draw a steel tray of pulled shoulder with its bark mixed in, a fork, a bowl of sauce."""
    s = Sheet(1600, 1200, 17)
    wood = mix(
        (0.28, 0.19, 0.14), (0.52, 0.38, 0.27), 0.55 * s.noise(8, 45, 4) + 0.45 * s.noise(120, 4, 2)
    )
    gap = (np.abs((s.y + 0.02 * s.x) % 240 - 120) > 117.5) * 1.0
    s.pixels[:] = light(blend(wood, (0.06, 0.04, 0.04), gap), s.noise(9, 30, 3), relief=2)
    tray = s.card((150, 150, 1330, 1050), 90)
    s.shade(tray, 26, 36, 26, 0.7)
    steel = mix((0.55, 0.55, 0.55), (0.80, 0.79, 0.77), s.noise(4, 60, 2))
    s.paint(tray, light(steel, 44 * dome(tray, 20), relief=0.7, gloss=0.35, sharp=30))
    well = s.card((200, 200, 1280, 1000), 70)
    s.paint(well, mix((0.30, 0.24, 0.20), (0.44, 0.36, 0.30), s.noise(60, 2, 3)))
    heap = s.area(
        blob(
            [
                (270, 610),
                (330, 370),
                (560, 275),
                (830, 262),
                (1090, 320),
                (1215, 520),
                (1200, 780),
                (1020, 920),
                (720, 945),
                (430, 900),
                (290, 770),
            ]
        )
    )
    juice = np.clip(soften(heap, 30) * 1.6, 0, 1) * well
    s.paint(juice, (0.34, 0.16, 0.08), 0.75)
    _strands(s, heap)
    lit = soften(34 * dome(heap, 150), 40)
    shaped = light(np.ones_like(s.pixels), lit, relief=2.2, shade=(0.40, 0.33, 0.30))
    s.pixels *= 1 + (shaped - 1) * (0.75 * well)[..., None]
    _fork(s)
    _sauce(s)
    return s.finish(0.45)


def _strands(s: Sheet, heap: Array) -> None:
    """Pile up pulled meat: dark and deep first, pale and high last, crust in between."""
    rng = s.rng
    inner = soften(heap, 46)
    flow = s.noise(300, 1.3, 2) * math.tau * 1.2
    tones = [
        (0.42, 0.22, 0.12), (0.54, 0.32, 0.19), (0.62, 0.40, 0.25), (0.70, 0.48, 0.31),
        (0.66, 0.36, 0.26), (0.76, 0.54, 0.36), (0.82, 0.62, 0.44), (0.73, 0.46, 0.32),
    ]  # fmt: skip
    for layer in range(9):
        deep = 0.50 + 0.048 * layer
        laid = 0
        while laid < (120 if layer < 6 else 70):
            x, y = rng.uniform(240, 1240), rng.uniform(240, 960)
            if inner[int(y), int(x)] < deep * rng.uniform(0.9, 1.05):
                continue
            laid += 1
            turn = flow[int(y), int(x)] + rng.normal(0, 0.55)
            crust = rng.random() < 0.15
            tone = np.asarray(tones[int(np.clip(rng.normal(layer * 0.8, 1.5), 0, 7))])
            tone = tone * (0.55 + 0.055 * layer)
            long = rng.uniform(40, 96)
            _chunk(
                s, (x, y), turn, (long, rng.uniform(0.12, 0.36) * long), tone, rng.normal(0, 0.0038), crust
            )  # fmt: skip


def _chunk(
    s: Sheet,
    at: tuple[float, float],
    turn: float,
    size: tuple[float, float],
    tone: Array,
    bow: float,
    crust: bool,  # noqa: FBT001 - a flag of the picture, drawn by lot
) -> None:
    """Paint one torn piece with its fibres along it."""
    rng, (long, wide) = s.rng, size
    reach = int(long + abs(bow) * long**2 + wide + 14)
    x0, x1 = max(0, int(at[0]) - reach), min(s.width, int(at[0]) + reach)
    y0, y1 = max(0, int(at[1]) - reach), min(s.height, int(at[1]) + reach)
    dx, dy = s.x[y0:y1, x0:x1] - at[0], s.y[y0:y1, x0:x1] - at[1]
    u = dx * math.cos(turn) + dy * math.sin(turn)
    v = -dx * math.sin(turn) + dy * math.cos(turn) + bow * u**2
    lines = rng.random(48)
    # Fibres end at different lengths: the torn end is a brush.
    across = np.clip((v / wide + 1.2) / 2.4 * 47, 0, 47)
    torn = np.interp(across, np.arange(48), rng.uniform(0.72, 1.0, 48))
    waist = wide * (0.80 + 0.20 * np.cos(u / long * 2.2 + rng.uniform(-1, 1)))
    inside = np.minimum(1 - np.abs(v) / waist, (torn - np.abs(u) / long) * 3)
    mask = np.clip(inside * wide / 1.6, 0, 1)
    thrown = np.clip(inside * wide / 9 + 0.7, 0, 1)
    cell = s.pixels[y0:y1, x0:x1]
    shift = np.roll(thrown, (9, 6), (0, 1))
    shift[:9, :], shift[:, :6] = 0, 0
    cell *= (1 - 0.50 * shift)[..., None]
    fibre = np.interp(across + 0.9 * np.sin(u / 21 + lines[0] * 9), np.arange(48), lines)
    height = 0.9 * wide * np.sqrt(np.clip(inside, 0, 1)) + 1.3 * fibre
    if crust:
        spots = np.sin(u / 4.2 + 7 * fibre) * np.sin(v / 3.6 + 5 * lines[1])
        colours = mix((0.10, 0.04, 0.03), (0.36, 0.14, 0.07), 0.5 + 0.35 * spots)
        height = height + 1.3 * spots
    else:
        colours = mix(tone * 0.84, np.minimum(tone * 1.12, 1), fibre)
        rosy = np.clip(np.abs(v) / waist - 0.45, 0, 1) * lines[2] * 1.5
        colours = blend(colours, (0.60, 0.23, 0.16), 0.8 * rosy)
    painted = light(colours, height, relief=0.55, gloss=0.26 if crust else 0.14, sharp=16)
    cell += (painted - cell) * mask[..., None]


def _fork(s: Sheet) -> None:
    neck = (1150, 396)
    tines = [
        (
            run(
                [
                    (neck[0] + 10 * k - 14, neck[1] + 8 * k - 10),
                    (1104 + 22 * k, 430 + 16 * k),
                    (1030 + 22 * k, 530 + 16 * k),
                    (1004 + 21 * k, 576 + 15 * k),
                ]
            ),
            12,
            7,
        )
        for k in range(4)
    ]
    stem = run([(1158, 392), (1196, 342), (1262, 262), (1400, 104), (1520, -40)])
    fork = s.strokes([*tines, (stem, 34, 30)])
    collar = s.area(
        blob([(1124, 398), (1150, 366), (1192, 362), (1196, 404), (1176, 436), (1140, 430)])
    )
    fork = np.maximum(fork, collar)
    s.shade(fork, 16, 26, 10, 0.6)
    steel = mix((0.46, 0.47, 0.49), (0.88, 0.88, 0.88), 0.25 + 0.5 * s.noise(40, 1, 2))
    s.paint(fork, light(steel, 24 * dome(fork, 7), relief=0.8, gloss=0.55, sharp=26))
    wood = s.strokes([(run([(1250, 276), (1330, 184), (1410, 92), (1530, -48)]), 46, 50)])
    grain = mix((0.26, 0.13, 0.08), (0.48, 0.28, 0.17), s.noise(6, 2, 3))
    s.paint(wood, light(grain, 34 * dome(wood, 18), relief=0.8, gloss=0.25, sharp=30))


def _sauce(s: Sheet) -> None:
    """Draw a small bowl of thin vinegar sauce with pepper in it."""
    x, y = 1448, 760
    bowl = s.disc(x, y, 118)
    s.shade(bowl, 20, 28, 16, 0.7)
    glaze = mix((0.20, 0.29, 0.32), (0.33, 0.43, 0.45), s.noise(30, 1, 3))
    s.paint(bowl, light(glaze, 60 * dome(bowl, 18), relief=0.7, gloss=0.35, sharp=30))
    s.paint(s.disc(x, y, 98), (0.11, 0.15, 0.17))
    pool = s.disc(x + 2, y + 3, 92)
    thin = mix((0.52, 0.22, 0.07), (0.74, 0.40, 0.15), np.clip((s.y - y + 90) / 190, 0, 1))
    s.paint(
        pool,
        light(thin, 9 * dome(pool, 8) + 8 * s.noise(80, 1, 2), relief=0.8, gloss=0.5, sharp=60),
    )
    for colour, count in (((0.10, 0.05, 0.04), 130), ((0.62, 0.10, 0.05), 90)):
        s.paint(s.specks(pool, count, (1.4, 3.2), 0.7), colour, 0.85)
    inside = np.clip(soften(s.disc(x, y, 98) - s.disc(x + 12, y + 15, 94), 7), 0, 1) * s.disc(
        x, y, 98
    )
    s.pixels *= (1 - 0.6 * inside)[..., None]
