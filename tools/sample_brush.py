"""Brushes for the sample's drawings: masks, noise, light on a height field, EXIF.

Shapes are drawn four times as large and reduced, colours are laid in linear arrays, and every
random number comes from a seed, so that the same picture is the same bytes.
"""

from __future__ import annotations

import datetime as dt
import io
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from PIL import ExifTags, Image, ImageDraw

__all__ = [
    "Colour",
    "Points",
    "Sheet",
    "as_jpeg",
    "blend",
    "blob",
    "dome",
    "light",
    "mix",
    "soften",
]

Array = np.ndarray
Colour = Sequence[float]
Points = Sequence[tuple[float, float]]

_FINE = 4


@dataclass
class Sheet:
    """A sheet to draw on: its size, its own stream of random numbers, its pixels (0 to 1)."""

    width: int
    height: int
    seed: int

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)
        self.pixels = np.zeros((self.height, self.width, 3))
        self.y, self.x = np.mgrid[0.0 : self.height, 0.0 : self.width]

    # --- masks -----------------------------------------------------------------------

    def mask(self, draw: Callable[[ImageDraw.ImageDraw, float], None]) -> Array:
        """Draw in white on a sheet four times as fine; returns 0 to 1."""
        fine = Image.new("L", (self.width * _FINE, self.height * _FINE), 0)
        draw(ImageDraw.Draw(fine), _FINE)
        return np.asarray(fine.reduce(_FINE), dtype=float) / 255

    def area(self, points: Points) -> Array:
        """Mask of a polygon."""
        return self.mask(lambda pen, s: pen.polygon([(x * s, y * s) for x, y in points], fill=255))

    def disc(self, x: float, y: float, rx: float, ry: float | None = None) -> Array:
        """Mask of an ellipse."""
        high = rx if ry is None else ry
        return self.mask(
            lambda pen, s: pen.ellipse(
                ((x - rx) * s, (y - high) * s, (x + rx) * s, (y + high) * s), fill=255
            )
        )

    def card(self, box: tuple[float, float, float, float], radius: float) -> Array:
        """Mask of a rectangle with round corners."""
        return self.mask(
            lambda pen, s: pen.rounded_rectangle([v * s for v in box], radius * s, fill=255)
        )

    def strokes(self, lines: Sequence[tuple[Points, float, float]]) -> Array:
        """Mask of brush strokes: each a run of points, a width at its start and at its end."""

        def draw(pen: ImageDraw.ImageDraw, s: float) -> None:
            for points, first, last in lines:
                at = np.asarray(points, dtype=float)
                far = np.r_[0, np.cumsum(np.hypot(*np.diff(at, axis=0).T))]
                way = np.linspace(0, far[-1], max(2, int(far[-1] / 3)))
                for d, x, y in zip(
                    way, np.interp(way, far, at[:, 0]), np.interp(way, far, at[:, 1]), strict=True
                ):
                    r = (first + (last - first) * d / far[-1]) / 2
                    pen.ellipse(((x - r) * s, (y - r) * s, (x + r) * s, (y + r) * s), fill=255)

        return self.mask(draw)

    def specks(self, where: Array, count: int, sizes: tuple[float, float], flat: float) -> Array:
        """Mask of crumbs strewn where `where` (0 to 1) allows: little uneven pieces."""
        rng = self.rng
        rows, columns = np.nonzero(where > 0.01)
        top, low, left, right = rows.min(), rows.max(), columns.min(), columns.max()

        def draw(pen: ImageDraw.ImageDraw, s: float) -> None:
            laid = 0
            for x, y, roll in rng.random((count * 12, 3)):
                px, py = left + x * (right - left), top + y * (low - top)
                if roll > where[int(py), int(px)]:
                    continue
                size, turn = rng.uniform(*sizes), rng.uniform(0, math.tau)
                corners = []
                for k in range(5):
                    angle = math.tau * k / 5 + rng.uniform(-0.4, 0.4)
                    a, b = size * math.cos(angle), size * flat * math.sin(angle)
                    corners.append(
                        (
                            (px + a * math.cos(turn) - b * math.sin(turn)) * s,
                            (py + a * math.sin(turn) + b * math.cos(turn)) * s,
                        )
                    )
                pen.polygon(corners, fill=255)
                laid += 1
                if laid == count:
                    return

        return self.mask(draw)

    # --- textures --------------------------------------------------------------------

    def noise(
        self, cell: float, stretch: float = 1.0, octaves: int = 4, fade: float = 0.5
    ) -> Array:
        """Clouds of 0 to 1: `cell` pixels high and `stretch` times as wide."""
        total = np.zeros((self.height, self.width))
        weight = 1.0
        for _ in range(octaves):
            rows = max(2, round(self.height / cell) + 2)
            columns = max(2, round(self.width / (cell * stretch)) + 2)
            small = Image.fromarray(self.rng.random((rows, columns)).astype(np.float32))
            grown = small.resize((self.width, self.height), Image.Resampling.BICUBIC)
            total += weight * (np.asarray(grown, dtype=float) - 0.5)
            weight *= fade
            cell = max(cell / 2, 1.5)
        return np.asarray(0.5 + 0.5 * np.tanh(total / total.std() / 1.9))

    def folds(self, count: int) -> Array:
        """Height of paper that was folded and smoothed out: straight creases between planes."""
        total = np.zeros((self.height, self.width))
        for turn, px, py, much in self.rng.random((count, 4)):
            far = (self.x - px * self.width) * math.cos(turn * math.pi)
            far = far + (self.y - py * self.height) * math.sin(turn * math.pi)
            total += (much - 0.35) * np.sqrt(far**2 + 9)
        return total

    # --- paint -----------------------------------------------------------------------

    def paint(self, mask: Array, colour: Colour | Array, strength: float = 1.0) -> None:
        """Lay a colour, or a whole field of colours, where the mask is."""
        box = _extent(mask)
        cover = (np.clip(mask[box], 0, 1) * strength)[..., None]
        field = np.asarray(colour, dtype=float)
        here = self.pixels[box]
        here += ((field if field.ndim == 1 else field[box]) - here) * cover

    def shade(self, mask: Array, dx: float, dy: float, soft: float, strength: float) -> None:
        """Let a mask throw a shadow."""
        thrown = soften(_moved(mask, round(dx), round(dy)), soft)
        self.pixels *= (1 - strength * thrown)[..., None]

    def glow(self, mask: Array, colour: Colour, strength: float) -> None:
        """Add light."""
        box = _extent(mask)
        self.pixels[box] += (mask[box] * strength)[..., None] * np.asarray(colour, dtype=float)

    def finish(self, dark_corner: float = 0.25, grain: float = 0.012) -> Image.Image:
        """Darken the corners, add a grain, and hand out the picture."""
        far = np.hypot(self.x / self.width - 0.5, self.y / self.height - 0.5) / 0.707
        done = self.pixels * (1 - dark_corner * np.clip(far - 0.35, 0, 1) ** 1.6)[..., None]
        done = done + grain * (2 * self.noise(3.0, octaves=2) - 1)[..., None]
        return Image.fromarray((np.clip(done, 0, 1) * 255 + 0.5).astype(np.uint8), "RGB")


def _extent(mask: Array) -> tuple[slice, slice]:
    """Find the rows and columns in which there is anything."""
    rows, columns = np.flatnonzero(mask.any(1)), np.flatnonzero(mask.any(0))
    if not len(rows):
        return slice(0), slice(0)
    return slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1)


def _moved(field: Array, dx: int, dy: int) -> Array:
    out = np.zeros_like(field)
    high, wide = field.shape
    out[max(dy, 0) : high + min(dy, 0), max(dx, 0) : wide + min(dx, 0)] = field[
        max(-dy, 0) : high - max(dy, 0), max(-dx, 0) : wide - max(dx, 0)
    ]
    return out


def blob(points: Points, steps: int = 24) -> list[tuple[float, float]]:
    """Close a smooth curve through points."""
    at = np.asarray(points, dtype=float)
    t = np.linspace(0, 1, steps, endpoint=False)[:, None]
    out = []
    for i in range(len(at)):
        a, b, c, d = (at[(i + k) % len(at)] for k in (-1, 0, 1, 2))
        curve = 2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2
        curve = (curve + (3 * b - a - 3 * c + d) * t**3) / 2
        out += [(float(x), float(y)) for x, y in curve]
    return out


def run(points: Points, steps: int = 24) -> list[tuple[float, float]]:
    """Smooth an open run of points."""
    mirrored = [*points, *reversed(points)]
    return blob(mirrored, steps)[: steps * (len(points) - 1) + 1]


def soften(field: Array, radius: float) -> Array:
    """Blur by three running means."""
    width = max(1, int(radius))
    out = field
    for _ in range(3):
        for axis in (0, 1):
            pad = [(0, 0), (0, 0)]
            pad[axis] = (width + 1, width)
            total = np.cumsum(np.pad(out, pad, mode="edge"), axis=axis)
            high = np.take(total, np.arange(2 * width + 1, total.shape[axis]), axis=axis)
            low = np.take(total, np.arange(total.shape[axis] - 2 * width - 1), axis=axis)
            out = (high - low) / (2 * width + 1)
    return out


def mix(first: Colour, second: Colour, share: Array) -> Array:
    """Field of colours between two, by a share of 0 to 1."""
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    return a + (b - a) * np.clip(share, 0, 1)[..., None]


def blend(colours: Array, second: Colour, share: Array) -> Array:
    """Lay a second colour into a field of colours."""
    return colours + (np.asarray(second, dtype=float) - colours) * np.clip(share, 0, 1)[..., None]


def dome(mask: Array, edge: float) -> Array:
    """Height of a shape that is round towards its outline."""
    inside = np.clip(soften(mask, edge) * 2 - 1, 0, 1)
    # A root with a round shoulder: no seam where the blur has reached the middle.
    return soften(np.sin(inside * math.pi / 2) ** 0.75, max(1, edge / 8)) * mask


def light(
    colours: Array,
    height: Array,
    *,
    relief: float,
    gloss: float = 0.0,
    sharp: float = 24.0,
    shade: Colour = (0.30, 0.22, 0.26),
    sun: tuple[float, float, float] = (-0.50, -0.58, 0.64),
) -> Array:
    """Light a field of colours by its height from the upper left; shadows keep some colour."""
    dy, dx = np.gradient(height * relief)
    length = np.sqrt(dx**2 + dy**2 + 1)
    facing = (-dx * sun[0] - dy * sun[1] + sun[2]) / length
    share = np.clip(facing / sun[2], 0, 1.55)
    dark = np.asarray(shade, dtype=float)
    out = colours * (dark + (1 - dark) * share[..., None])
    if gloss:
        half = np.asarray(sun) + np.asarray((0.0, 0.0, 1.0))
        half /= np.linalg.norm(half)
        seen = np.clip((-dx * half[0] - dy * half[1] + half[2]) / length, 0, 1)
        out = out + gloss * (seen**sharp)[..., None] * np.asarray((1.0, 0.94, 0.84))
    return out


# --- files --------------------------------------------------------------------------


def as_jpeg(
    picture: Image.Image, taken: dt.datetime, *, limit: int, sideways: bool = False
) -> bytes:
    """Write a JPEG below a size, with the data that a telephone would leave in it.

    The location is a point of open ocean, so that stripping it can be tested and it is nobody's
    place. With `sideways` the pixels are stored lying and the orientation says to turn them.
    """
    exif = Image.Exif()
    exif[ExifTags.Base.ImageDescription] = "Drawn for the sample cookbook"
    exif[ExifTags.Base.Orientation] = 6 if sideways else 1
    stamp = f"{taken:%Y:%m:%d %H:%M:%S}"
    exif[ExifTags.Base.DateTime] = stamp
    photo = exif.get_ifd(ExifTags.IFD.Exif)
    photo[ExifTags.Base.DateTimeOriginal] = stamp
    photo[ExifTags.Base.OffsetTimeOriginal] = f"{taken:%z}"[:3] + ":" + f"{taken:%z}"[3:]
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", (0.0, 6.0, 0.0)
    place[ExifTags.GPS.GPSLongitudeRef], place[ExifTags.GPS.GPSLongitude] = "W", (0.0, 12.0, 0.0)
    place[ExifTags.GPS.GPSAltitude] = 0.0
    stored = picture.transpose(Image.Transpose.ROTATE_90) if sideways else picture
    for quality in range(90, 40, -2):
        held = io.BytesIO()
        stored.save(held, "JPEG", quality=quality, optimize=True, progressive=True, exif=exif)
        if held.tell() < limit:
            return held.getvalue()
    raise ValueError(f"the picture does not fit into {limit} bytes")
