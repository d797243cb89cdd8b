"""The sample's picture of a pit at first light."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, mix, soften

__all__ = ["pit_at_dawn"]

Array = np.ndarray


def pit_at_dawn() -> Image.Image:
    """Draw an offset pit before sunrise behind a village hall, with thin smoke; upright."""
    s = Sheet(1200, 1600, 23)
    _sky(s)
    _hills(s)
    _hall(s)
    _meadow(s)
    _smoke(s)
    _wood(s)
    _pit(s)
    _grass(s)
    return s.finish(0.5, 0.010)


def _sky(s: Sheet) -> None:
    stops = [
        (0, (0.07, 0.10, 0.22)), (300, (0.14, 0.19, 0.36)), (560, (0.36, 0.33, 0.50)),
        (720, (0.72, 0.45, 0.47)), (830, (0.95, 0.62, 0.42)), (930, (1.00, 0.80, 0.50)),
    ]  # fmt: skip
    levels, colours = zip(*stops, strict=True)
    y = np.clip(s.y + 40 * (s.noise(300, 3, 2) - 0.5), 0, 930)
    for k in range(3):
        s.pixels[..., k] = np.interp(y, levels, [c[k] for c in colours])
    near = np.exp(-(((s.x - 820) / 420) ** 2) - ((s.y - 900) / 190) ** 2)
    s.glow(near, (0.45, 0.26, 0.08), 0.8)
    bars = s.noise(46, 9, 4)
    band = np.exp(-(((s.y - 640) / 190) ** 2))
    cloud = np.clip((bars - 0.52) * 4, 0, 1) * band
    s.paint(
        cloud, mix((0.42, 0.30, 0.42), (1.0, 0.66, 0.48), np.clip((s.y - 480) / 330, 0, 1)), 0.65
    )
    lit = np.clip((np.roll(bars, -7, 0) - bars) * 9, 0, 1) * cloud
    s.glow(lit, (0.5, 0.30, 0.18), 0.5)
    for x, y0, size in s.rng.random((70, 3)):
        r = 0.8 + 1.5 * size**4
        s.glow(s.disc(x * 1200, y0**1.6 * 520, r), (0.9, 0.9, 1.0), 0.25 + 0.5 * size)


def _ridge(s: Sheet, base: float, rough: float, cell: float) -> Array:
    line = (s.noise(cell, 1, 4)[s.height // 2] - 0.5) * rough
    return np.clip(s.y - (base + line)[None, :], 0, 1)


def _hills(s: Sheet) -> None:
    for base, rough, cell, colour in (
        (846, 60, 420, (0.62, 0.40, 0.46)),
        (886, 70, 300, (0.40, 0.28, 0.38)),
        (930, 60, 260, (0.24, 0.19, 0.28)),
    ):
        hill = _ridge(s, base, rough, cell)
        haze = np.clip((s.y - base) / 160, 0, 1)
        s.paint(hill, mix(colour, (0.86, 0.56, 0.46), 0.55 * haze))
    trees = []
    for at in s.rng.normal(150, 90, 16).tolist() + s.rng.normal(1090, 60, 12).tolist():
        size = s.rng.uniform(20, 48)
        trees.append((at, 975 - size * 0.8, size))
    crown = np.zeros_like(s.x)
    for x, y, r in trees:
        crown = np.maximum(crown, s.disc(x, y, r * 0.8, r))
    ragged = np.clip((soften(crown, 5) + 0.5 * (s.noise(9, 1, 3) - 0.5) - 0.45) * 6, 0, 1)
    s.paint(ragged, (0.13, 0.12, 0.18))
    s.paint(s.strokes([([(x, y), (x, 990)], 6, 8) for x, y, _ in trees]), (0.12, 0.11, 0.16))


def _hall(s: Sheet) -> None:
    """Draw a hall with three lit windows."""
    wall = s.area([(430, 905), (700, 905), (700, 1010), (430, 1010)])
    side = s.area([(430, 905), (392, 900), (392, 1010), (430, 1010)])
    roof = s.area([(418, 908), (462, 838), (672, 838), (712, 908)])
    gable = s.area([(418, 908), (462, 838), (386, 904)])
    s.paint(side, (0.12, 0.10, 0.15))
    s.paint(wall, mix((0.20, 0.16, 0.21), (0.26, 0.19, 0.22), s.noise(30, 1, 2)))
    s.paint(gable, (0.10, 0.09, 0.14))
    tiles = 0.5 + 0.5 * np.sin(s.y / 3.1)
    s.paint(
        roof, mix((0.14, 0.12, 0.18), (0.24, 0.17, 0.22), 0.6 * tiles + 0.4 * s.noise(12, 2, 2))
    )
    s.paint(s.area([(640, 838), (640, 806), (660, 806), (660, 838)]), (0.13, 0.11, 0.16))
    for x in (470, 540, 640):
        window = s.area([(x, 930), (x + 34, 930), (x + 34, 975), (x, 975)])
        s.glow(soften(window, 16), (1.0, 0.62, 0.22), 0.45)
        s.paint(window, (1.0, 0.80, 0.42))
        bars = s.strokes(
            [([(x + 17, 930), (x + 17, 975)], 3, 3), ([(x, 951), (x + 34, 951)], 3, 3)]
        )
        s.paint(bars, (0.22, 0.14, 0.12))
    s.paint(s.area([(590, 940), (618, 940), (618, 1010), (590, 1010)]), (0.09, 0.07, 0.10))


def _meadow(s: Sheet) -> None:
    ground = np.clip(s.y - 1000 - 8 * (s.noise(120, 3, 2) - 0.5), 0, 1)
    near = np.clip((s.y - 1000) / 600, 0, 1)
    tone = 0.5 * s.noise(26, 5, 4) + 0.5 * s.noise(90, 4, 3)
    colours = mix((0.19, 0.20, 0.20), (0.36, 0.32, 0.25), tone)
    colours = blend(colours, (0.85, 0.55, 0.42), 0.30 * np.exp(-near * 7))
    colours = blend(colours, (0.09, 0.12, 0.12), 0.78 * near**0.8)
    s.paint(ground, colours)
    mist = np.exp(-(((s.y - 1004) / 26) ** 2)) * (0.35 + 0.65 * s.noise(40, 8, 3))
    s.paint(mist, (0.93, 0.66, 0.54), 0.55)


def _smoke(s: Sheet) -> None:
    """Thin and nearly blue, bending with the air."""
    rise = np.clip((806 - s.y) / 806, 0, 1)
    centre = 262 + 300 * rise**1.5 + 34 * np.sin(rise * 7.5) * rise**0.6
    width = 15 + 150 * rise**1.15
    warp = (s.noise(150, 0.8, 3) - 0.5) * 190 * rise**0.8
    across = (s.x + warp - centre) / width
    body = np.exp(-(across**2)) * (s.y < 806)
    threads = np.abs(np.sin(across * 3.1 + 5 * s.noise(240, 0.7, 3)))
    wisp = body * (0.30 + 0.70 * (1 - threads) ** 1.5) * (1 - rise) ** 0.8
    wisp *= np.clip((806 - s.y) / 14, 0, 1)
    s.paint(soften(wisp, 2), (0.80, 0.84, 0.95), 0.50)


def _steel(s: Sheet, top: float, low: float, rust: float) -> Array:
    """Colour a lying drum by the height on it."""
    turn = np.clip((s.y - top) / (low - top), 0, 1)
    sky = np.exp(-(((turn - 0.13) / 0.11) ** 2))
    dawn = np.exp(-(((turn - 0.36) / 0.16) ** 2))
    base = mix((0.10, 0.10, 0.12), (0.17, 0.15, 0.16), s.noise(8, 6, 3))
    base = base + 0.24 * sky[..., None] * np.asarray((0.75, 0.80, 1.0))
    base = base + 0.20 * dawn[..., None] * np.asarray((1.0, 0.62, 0.42))
    worn = np.clip((s.noise(44, 2.5, 5, 0.7) - 0.52) * 2.6, 0, 1) * rust
    base = blend(base, (0.30, 0.15, 0.09), worn)
    return base * (1 - 0.55 * np.clip(turn - 0.55, 0, 1)[..., None] * 2)


def _pit(s: Sheet) -> None:
    s.shade(s.disc(610, 1420, 500, 46), 0, 0, 24, 0.75)
    _legs(s)
    _chimney(s)
    drum = s.card((190, 1030, 820, 1278), 60)
    s.paint(drum, _steel(s, 1030, 1278, 0.55))
    s.paint(s.strokes([([(200, 1158), (812, 1158)], 5, 5)]), (0.05, 0.05, 0.06), 0.9)
    s.paint(s.strokes([([(204, 1153), (806, 1153)], 2, 2)]), (0.75, 0.52, 0.42), 0.55)
    for x in (330, 690):
        s.paint(s.card((x - 22, 1146, x + 22, 1172), 5), (0.07, 0.07, 0.08))
    handle = s.strokes([([(410, 1178), (415, 1200), (600, 1200), (605, 1178)], 10, 10)])
    s.shade(handle, 3, 8, 4, 0.6)
    s.paint(handle, (0.46, 0.38, 0.36))
    s.paint(s.strokes([([(414, 1197), (600, 1197)], 3, 3)]), (0.95, 0.72, 0.55), 0.7)
    shelf = s.area([(150, 1290), (800, 1290), (824, 1312), (128, 1312)])
    s.paint(shelf, mix((0.24, 0.16, 0.12), (0.42, 0.29, 0.21), s.noise(5, 30, 3)))
    _firebox(s)


def _legs(s: Sheet) -> None:
    legs = [
        ([(262, 1270), (238, 1424)], 17, 15), ([(742, 1270), (766, 1424)], 17, 15),
        ([(246, 1380), (758, 1380)], 10, 10), ([(1010, 1330), (1022, 1424)], 15, 13),
    ]  # fmt: skip
    s.paint(s.strokes(legs), (0.09, 0.09, 0.11))
    for x in (238, 770):
        wheel = s.disc(x, 1398, 52)
        s.paint(wheel, (0.06, 0.06, 0.07))
        rim = s.disc(x, 1398, 38) - s.disc(x, 1398, 31)
        s.paint(rim, (0.40, 0.31, 0.29), 0.9)
        spokes = [
            ([(x, 1398), (x + 34 * math.cos(a), 1398 + 34 * math.sin(a))], 5, 4)
            for a in np.arange(6) * math.tau / 6 + 0.3
        ]
        s.paint(s.strokes(spokes), (0.33, 0.26, 0.25))
        s.paint(s.disc(x, 1398, 9), (0.48, 0.38, 0.34))


def _chimney(s: Sheet) -> None:
    pipe = s.area([(232, 1060), (232, 822), (292, 822), (292, 1060)])
    round_ = np.clip((s.x - 232) / 60, 0, 1)
    tone = mix((0.08, 0.08, 0.10), (0.16, 0.14, 0.15), s.noise(12, 1, 3))
    tone = tone + 0.34 * np.exp(-(((round_ - 0.80) / 0.13) ** 2))[..., None] * np.asarray(
        (1.0, 0.64, 0.42)
    )
    tone = tone + 0.12 * np.exp(-(((round_ - 0.2) / 0.15) ** 2))[..., None] * np.asarray(
        (0.6, 0.7, 1.0)
    )
    s.paint(pipe, tone)
    s.paint(s.disc(262, 822, 30, 8), (0.04, 0.04, 0.05))
    s.paint(s.card((226, 990, 298, 1010), 4), (0.07, 0.07, 0.08))


def _firebox(s: Sheet) -> None:
    box = s.card((800, 1128, 1066, 1346), 22)
    s.shade(box, 8, 12, 12, 0.5)
    s.paint(box, _steel(s, 1110, 1390, 0.95))
    heat = np.exp(-(((s.x - 960) / 170) ** 2) - ((s.y - 1250) / 130) ** 2)
    s.glow(box * heat, (0.50, 0.13, 0.03), 0.55)
    door = s.card((858, 1176, 1012, 1316), 8)
    s.paint(door - s.card((863, 1181, 1007, 1311), 6), (0.05, 0.04, 0.05))
    gap = s.area([(1012, 1180), (1030, 1172), (1030, 1322), (1012, 1312)])
    vent = np.zeros_like(s.x)
    for x in range(884, 1000, 25):
        vent = np.maximum(vent, s.card((x, 1272, x + 14, 1300), 6))
    fire = np.clip(vent + gap, 0, 1)
    for soft, strength in ((70, 1.5), (26, 0.8), (8, 0.5)):
        s.glow(soften(fire, soft), (1.0, 0.42, 0.10), strength)
    s.paint(fire, mix((1.0, 0.45, 0.10), (1.0, 0.88, 0.46), s.noise(22, 0.5, 3)))
    s.paint(s.strokes([([(880, 1206), (880, 1250)], 9, 9)]), (0.40, 0.30, 0.26))
    pool = np.exp(-(((s.x - 980) / 240) ** 2) - ((s.y - 1440) / 70) ** 2) * (s.y > 1350)
    s.glow(pool * (0.4 + 0.6 * s.noise(8, 2, 3)), (0.75, 0.30, 0.08), 0.55)
    rng = s.rng
    sparks = [
        (x, y, r)
        for x, y, r in zip(
            rng.normal(1040, 30, 14),
            rng.uniform(1040, 1240, 14),
            rng.uniform(1.2, 2.6, 14),
            strict=True,
        )
    ]
    for x, y, r in sparks:
        spark = s.disc(x, y, r)
        s.glow(soften(spark, 5), (1.0, 0.45, 0.1), 1.6)
        s.paint(spark, (1.0, 0.82, 0.45))


def _wood(s: Sheet) -> None:
    """Draw splits stacked behind the pit, their ends towards us."""
    stack = s.area([(1000, 1420), (1004, 1120), (1210, 1085), (1210, 1420)])
    s.paint(soften(stack, 3), (0.045, 0.04, 0.05))
    for row in range(7):
        for k in range(6):
            x, y = 1012 + 47 * k - 23 * (row % 2), 1392 - 43 * row + 3 * math.sin(3 * k)
            r, turn = 25.5, s.rng.uniform(0, math.tau)
            shape = [
                (x + r * q * math.cos(a + turn), y + r * 0.96 * q * math.sin(a + turn))
                for a, q in zip(
                    np.cumsum((0.0, 1.1, 0.8, 1.2, 0.9, 1.1)),
                    s.rng.uniform(0.88, 1.08, 6),
                    strict=True,
                )
            ]
            rings = 0.5 + 0.5 * np.sin(np.hypot(s.x - x + 9, s.y - y - 7) / 1.6)
            split = np.clip(
                1 - np.abs((s.x - x) * math.sin(turn) + (s.y - y) * math.cos(turn)) / 2, 0, 1
            )
            wood = mix(
                (0.30, 0.19, 0.14), (0.55, 0.39, 0.28), 0.35 * rings + 0.55 * s.noise(16, 1, 2)
            )
            wood = wood * (s.rng.uniform(0.55, 0.95) * (1 - 0.45 * split[..., None]))
            s.paint(s.area(shape), (0.14, 0.10, 0.09))
            s.paint(s.area([(x + (px - x) * 0.9, y + (py - y) * 0.9) for px, py in shape]), wood)
    warm = np.exp(-(((s.x - 1040) / 90) ** 2) - ((s.y - 1250) / 120) ** 2) * stack
    s.glow(warm, (0.55, 0.20, 0.05), 0.35)


def _grass(s: Sheet) -> None:
    rng = s.rng
    for low, high, count, colour in (
        (1404, 1500, 520, (0.17, 0.18, 0.15)),
        (1440, 1560, 520, (0.10, 0.12, 0.11)),
        (1520, 1640, 520, (0.05, 0.065, 0.065)),
    ):
        blades = []
        for x, y in zip(rng.uniform(-10, 1210, count), rng.uniform(low, high, count), strict=True):
            tall, lean = rng.uniform(16, 58), rng.uniform(-14, 18)
            way = [(x + lean * t * t, y - tall * t) for t in (0, 0.35, 0.7, 1)]
            blades.append((way, 3.4, 0.7))
        mask = s.strokes(blades)
        s.paint(mask, colour, 0.92)
        warm = np.exp(-(((s.x - 960) / 260) ** 2) - ((s.y - 1430) / 90) ** 2)
        s.glow(mask * warm, (0.80, 0.34, 0.10), 0.35)
