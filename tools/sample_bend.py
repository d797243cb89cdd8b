"""The sample's picture of a bend test over the pit."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image
from sample_brush import Sheet, blend, blob, dome, light, mix, run, soften
from sample_ribs import bark

__all__ = ["bend_test"]

Array = np.ndarray


def bend_test() -> Image.Image:
    """Draw a rack held a third along with tongs: it hangs, and cracks open across the top."""
    s = Sheet(1600, 1200, 31)
    _pit_inside(s)
    _grate(s)
    _tongs(s, above=False)
    _hanging_rack(s)
    _tongs(s, above=True)
    return s.finish(0.5)


def _pit_inside(s: Sheet) -> None:
    down = np.clip(s.y / 1200, 0, 1)
    s.pixels[:] = mix((0.07, 0.06, 0.07), (0.20, 0.13, 0.10), down)
    haze = s.noise(260, 1.6, 3)
    s.pixels += 0.07 * haze[..., None] * np.asarray((1.0, 0.75, 0.55))
    glow = np.exp(-(((s.x - 1150) / 520) ** 2) - ((s.y - 1120) / 330) ** 2)
    s.glow(glow, (0.85, 0.34, 0.09), 0.75)
    for x, y, r in zip(
        s.rng.uniform(700, 1580, 24),
        s.rng.uniform(980, 1180, 24),
        s.rng.uniform(10, 34, 24),
        strict=True,
    ):
        s.glow(soften(s.disc(x, y, r), 14), (1.0, 0.46, 0.12), 0.55)
    threads = np.abs(2 * s.noise(240, 0.6, 4) - 1)
    smoke = np.clip(1 - threads * 3, 0, 1) * np.clip(1 - s.y / 900, 0, 1)
    s.paint(soften(smoke, 16), (0.62, 0.60, 0.64), 0.16)


def _grate(s: Sheet) -> None:
    """Rods running towards us, fading into the pit."""
    bars = []
    for k in range(-14, 30):
        top, low = 560 + 46 * k, 380 + 92 * k
        bars.append(([(top, 905), (low, 1215)], 9, 19))
    rods = s.strokes(bars)
    across = s.strokes([([(-20, 935), (1620, 935)], 12, 12), ([(-20, 1120), (1620, 1120)], 19, 19)])
    both = np.maximum(rods, across)
    s.shade(both, 4, 9, 5, 0.5)
    steel = mix((0.10, 0.09, 0.09), (0.24, 0.20, 0.18), s.noise(14, 1, 3))
    s.paint(both, light(steel, 16 * soften(both, 4), relief=0.9, gloss=0.22, sharp=20))
    warm = np.exp(-(((s.x - 1150) / 520) ** 2))
    s.glow(both * warm, (0.45, 0.17, 0.05), 0.35)


def _hanging_rack(s: Sheet) -> None:
    """Draw the rack patch by patch: a strip bent over the tongs, its far edge first."""
    length, depth = 1190.0, (252.0, 178.0)
    steps_u, steps_v = 3000, 800
    u = np.linspace(0, 1, steps_u)
    turn = np.interp(
        u,
        [0, 0.12, 0.26, 0.36, 0.46, 0.58, 0.76, 1.0],
        [0.20, 0.16, 0.08, -0.16, -0.72, -1.24, -1.50, -1.56],
    )
    turn = np.convolve(np.pad(turn, 150, mode="edge"), np.ones(301) / 301, "valid")
    x = np.cumsum(-np.cos(turn)) * length / steps_u
    y = np.cumsum(-np.sin(turn)) * length / steps_u
    hold = int(0.34 * steps_u)
    x, y = x - x[hold] + 800, y - y[hold] + 262
    skin = Sheet(steps_u, steps_v, 77)
    uu, vv = skin.x / steps_u, skin.y / steps_v
    bones = 11
    phase = (uu * bones + 0.10 * (vv - 0.5) ** 2 + 0.10 * (skin.noise(500, 1, 1) - 0.5)) % 1
    ridge = 0.5 - 0.5 * np.cos(math.tau * phase)
    in_u, in_v = np.minimum(uu, 1 - uu) * length, np.minimum(vv, 1 - vv) * 300
    round_ = 90.0
    corner = np.hypot(np.clip(round_ - in_u, 0, None), np.clip(round_ - in_v, 0, None))
    edge = np.where(corner > 0, round_ - corner, np.minimum(in_u, in_v))
    height = 80 * np.sqrt(np.clip(edge / 60, 0, 1)) + 62 * ridge + 60 * skin.noise(150, 1, 3)
    height += 16 * skin.noise(40, 1, 3)
    colours = bark(skin, ridge, 2.3)
    crack = _cracks(skin, uu, vv)
    deep = soften(crack, 9)
    height -= 90 * deep
    flesh = mix((0.62, 0.26, 0.18), (0.88, 0.54, 0.40), skin.noise(16, 1, 3))
    flesh = blend(flesh, (0.14, 0.03, 0.02), np.clip(deep * 2.6 - 1.15, 0, 1))
    colours = colours + (flesh - colours) * np.clip(crack * 1.4, 0, 1)[..., None]
    colours = blend(
        colours, (0.10, 0.03, 0.02), 0.5 * np.clip(soften(crack, 24) * 1.5, 0, 1) * (1 - crack)
    )
    # Lit from the upper left of the picture, not of the strip: the bend turns the light.
    facing = 0.80 + 0.42 * np.cos(turn + 0.75)
    lit = light(colours, height, relief=0.40, gloss=0.36, sharp=22) * (0.90 * facing)[None, :, None]
    warm = np.exp(-(((uu - 1.0) / 0.26) ** 2))[..., None] * np.asarray((0.20, 0.075, 0.02))
    whole = edge > 8 + 16 * skin.noise(110, 1, 3)
    v = np.linspace(0, 1, steps_v)
    _strip(
        s,
        x[None, :] + v[:, None] * depth[0],
        y[None, :] + v[:, None] * depth[1],
        whole,
        lit + warm,
        turn,
    )


def _cracks(skin: Sheet, uu: Array, vv: Array) -> Array:
    """Draw cracks across the top where it bends most, wide in their middle."""
    found = np.zeros_like(uu)
    for at, first, last, widest in (
        (0.385, 0.04, 0.62, 0.0085), (0.445, 0.02, 0.97, 0.0150), (0.515, 0.30, 1.0, 0.0090), (0.33, 0.55, 0.98, 0.0045),
    ):  # fmt: skip
        way = at + 0.026 * (skin.noise(170, 60, 2) - 0.5) + 0.004 * (skin.noise(22, 60, 2) - 0.5)
        along = np.clip((vv - first) / (last - first), 0, 1)
        open_ = 1e-6 + widest * np.sin(math.pi * along) ** 0.7
        found = np.maximum(found, np.clip(1.25 - np.abs(uu - way) / open_, 0, 1))
    return np.clip(found * 2, 0, 1)


def _strip(s: Sheet, px: Array, py: Array, whole: Array, lit: Array, turn: Array) -> None:
    """Lay the strip down: its underside and thickness dark, then its top."""
    inward = (-np.sin(turn), np.cos(turn))
    side = mix((0.16, 0.055, 0.04), (0.46, 0.21, 0.14), s.noise(26, 1.2, 4))
    for lift in (46, 38, 30, 22, 15, 8, 0):
        col = np.round(px + (inward[0] * lift)[None, :]).astype(int)
        row = np.round(py + (inward[1] * lift)[None, :]).astype(int)
        seen = whole & (col >= 0) & (col < s.width) & (row >= 0) & (row < s.height)
        flat = np.bincount(row[seen] * s.width + col[seen], minlength=s.width * s.height)
        shape = flat.reshape(s.height, s.width)
        total = np.stack(
            [
                np.bincount(
                    row[seen] * s.width + col[seen], lit[..., k][seen], minlength=s.width * s.height
                ).reshape(s.height, s.width)
                for k in range(3)
            ],
            -1,
        )
        cover = np.clip(soften((shape > 0) * 1.0, 1) * 1.6 - 0.5, 0, 1)
        if lift == 46:
            s.shade(cover, 70, 90, 44, 0.55)
        if lift:
            s.paint(
                cover, side * (0.55, 0.75, 0.95, 1.0, 0.9, 0.7)[(46, 38, 30, 22, 15, 8).index(lift)]
            )
        else:
            s.paint(cover, total / np.maximum(shape, 1)[..., None])


def _tongs(s: Sheet, *, above: bool) -> None:
    """Draw one of the two flat arms that grip the short end from the right."""
    ways = {
        False: ([(1660, 500), (1480, 486), (1300, 470), (1120, 452), (960, 430)], (70, 34), 0.5),
        True: ([(1660, 96), (1400, 176), (1180, 236), (1010, 284), (880, 330)], (74, 34), 1.0),
    }
    for ridge, wide, tone in (ways[above],):
        way = run(ridge)
        widths = np.linspace(*wide, len(way))
        turn = np.arctan2(np.gradient([y for _, y in way]), np.gradient([x for x, _ in way]))
        upper = [
            (x + w / 2 * math.sin(a), y - w / 2 * math.cos(a))
            for (x, y), w, a in zip(way, widths, turn, strict=True)
        ]
        lower = [
            (x - w / 2 * math.sin(a), y + w / 2 * math.cos(a))
            for (x, y), w, a in zip(way, widths, turn, strict=True)
        ]
        end = way[-1]
        tip = s.area(
            blob(
                [
                    (end[0] + 34, end[1] - 34),
                    (end[0] - 22, end[1] - 22),
                    (end[0] - 46, end[1] + 20),
                    (end[0] - 16, end[1] + 44),
                    (end[0] + 40, end[1] + 22),
                ]
            )
        )
        whole = np.maximum(s.area([*upper, *reversed(lower)]), tip)
        s.shade(whole, 20, 34, 14, 0.65)
        brushed = 0.35 + 0.35 * s.noise(5, 50, 2) + 0.30 * np.clip((s.x - 850) / 800, 0, 1)
        steel = mix((0.30, 0.29, 0.30), (0.86, 0.85, 0.84), brushed) * tone
        s.paint(whole, light(steel, 30 * dome(whole, 9), relief=0.7, gloss=0.30, sharp=26))
        groove = s.strokes([([(x, y) for x, y in way[: int(len(way) * 0.72)]], 7, 5)])
        s.paint(soften(groove, 1), (0.16, 0.15, 0.16), 0.55)
        s.glow(whole * np.clip((s.y - 200) / 260, 0, 1), (0.32, 0.13, 0.04), 0.35)
