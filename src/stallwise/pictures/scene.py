"""A picture before it is drawn: sizes, scales and rows of data, nothing else.

Temperatures and hours are data on scales; words, rows below the curves and axis labels are
placed in pixels here, because only here is known what would cover what.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from stallwise.pictures import ink
from stallwise.pictures.labels import text_width

__all__ = ["SIZE", "Rows", "Scene", "Span", "step_for"]

Rows = list[dict[str, Any]]

#: Type size of words in a picture [px].
SIZE = ink.SIZE


@dataclass(frozen=True)
class Span:
    """A linear scale from values to pixels."""

    low: float
    high: float
    start_px: float
    end_px: float

    def px(self, value: float) -> float:
        """Place of a value [px]."""
        share = (value - self.low) / (self.high - self.low)
        return self.start_px + share * (self.end_px - self.start_px)

    def value(self, px: float) -> float:
        """Value at a place."""
        share = (px - self.start_px) / (self.end_px - self.start_px)
        return self.low + share * (self.high - self.low)


@dataclass
class Scene:
    """What a canvas needs to draw one picture.

    Attributes
    ----------
    width, height : float
        Size [px].
    hours : Span
        The shared axis: elapsed hours.
    panels : list of Span
        Temperature scale of each panel [°C], from the bottom up.
    data : dict
        Rows of every dataset by name.
    """

    width: int
    height: float
    hours: Span
    panels: list[Span] = field(default_factory=list)
    data: dict[str, Rows] = field(default_factory=dict)

    def parameters(self) -> Mapping[str, float]:
        """Values of the specification's parameters."""
        found = {
            "x_low": self.hours.low,
            "x_high": self.hours.high,
            "x_start": self.hours.start_px,
            "x_end": self.hours.end_px,
        }
        for i, panel in enumerate(self.panels):
            found |= {
                f"low_{i}": panel.low,
                f"high_{i}": panel.high,
                f"bottom_{i}": panel.start_px,
                f"top_{i}": panel.end_px,
            }
        return found

    def rows(self, name: str) -> Rows:
        """Rows of a dataset, made when first asked for."""
        return self.data.setdefault(name, [])

    def word(
        self,
        px: float,
        y: float,
        text: str,
        *,
        colour: str = ink.INK,
        align: str = "left",
        size: float = SIZE,
        bold: bool = False,
    ) -> None:
        """Put a word at a place [px], its middle at `y`."""
        self.rows("words").append(
            {
                "h": self.hours.value(px),
                "y": y,
                "text": text,
                "align": align,
                "colour": colour,
                "size": size,
                "weight": 700 if bold else 400,
            }
        )

    def rule(
        self,
        ends: tuple[float, float, float, float],
        *,
        colour: str,
        width: float = 1.0,
        dash: str = "",
    ) -> None:
        """Draw a straight line between two places (x, y, x2, y2) [px]; `dash` names a pattern."""
        x, y, x2, y2 = ends
        self.rows(f"rules{dash}").append(
            {
                "h": self.hours.value(x),
                "y": y,
                "h2": self.hours.value(x2),
                "y2": y2,
                "colour": colour,
                "width": width,
            }
        )

    def grid(self, ends: tuple[float, float, float, float]) -> None:
        """Draw a straight line behind everything (x, y, x2, y2) [px]."""
        x, y, x2, y2 = ends
        self.rows("grid").append(
            {
                "h": self.hours.value(x),
                "y": y,
                "h2": self.hours.value(x2),
                "y2": y2,
                "colour": ink.RULE,
                "width": 1,
            }
        )

    def bar(self, hours: tuple[float, float], y: tuple[float, float], colour: str) -> None:
        """Fill a box from hour to hour and from `y` to `y` [px]."""
        self.rows("bars").append(
            {"h": hours[0], "h2": hours[1], "y": y[0], "y2": y[1], "colour": colour}
        )

    def mark(
        self, px: float, y: float, shape: str, *, fill: str, stroke: str = ink.INK, size: float = 70
    ) -> None:
        """Put a marker at a place [px]."""
        self.rows("marks").append(
            {
                "h": self.hours.value(px),
                "y": y,
                "shape": shape,
                "fill": fill,
                "stroke": stroke,
                "size": size,
            }
        )

    def key(self, px: float, y: float, text: str, *, dash: str, colour: str, width: float) -> float:
        """Name a line where it runs: a short sample of it, then its name; returns where it ends."""
        self.rule((px, y, px + 20, y), colour=colour, width=width, dash=dash)
        self.word(px + 25, y, text, colour=colour)
        return px + key_width(text)


def key_width(text: str) -> float:
    """Room that a sample and its name take [px]."""
    return 25 + text_width(text, SIZE)


def step_for(span: float, room_px: float, steps: Iterable[float], least_px: float) -> float:
    """Smallest step whose ticks stand at least so far apart."""
    steps = list(steps)
    for step in steps:
        if span / step * least_px <= room_px:
            return step
    return steps[-1] * math.ceil(span / steps[-1] * least_px / room_px)
