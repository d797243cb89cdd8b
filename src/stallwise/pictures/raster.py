"""A picture as dots, where a drawing cannot be shown."""

from __future__ import annotations

__all__ = ["as_png"]


def as_png(svg: str, scale: float) -> bytes:
    """Turn a finished SVG in fixed colours into a PNG.

    Parameters
    ----------
    svg : str
        Of a `Picture` that is not left to the page's colours.
    scale : float
        Dots for each pixel of the drawing [-].
    """
    import vl_convert

    return bytes(vl_convert.svg_to_png(svg, scale=scale))
