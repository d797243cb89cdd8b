"""The picture that a link to a page without a photo is shown with: its day, as dots."""

from __future__ import annotations

import io

from stallwise.joins.result import Result
from stallwise.pictures.raster import as_png

__all__ = ["PREVIEW", "preview"]

PREVIEW = "picture.png"

#: Wide as previews are, and no higher than a screen shows of one [px].
_WIDE, _HIGH = 1200, 1000
#: As many colours as the picture has, with the shades between them.
_COLOURS = 48


def preview(result: Result) -> bytes:
    """Draw the day on white as a PNG; of many pieces the first ones.

    Parameters
    ----------
    result : Result
        Without what is kept back.
    """
    from PIL import Image

    from stallwise.pictures.charts import WIDE, day_picture

    svg = day_picture(result, dark=False, width=WIDE).svg
    drawn = as_png(svg, _WIDE / WIDE)
    with Image.open(io.BytesIO(drawn)) as image:
        image.load()
        paper = Image.new("RGB", (image.width, min(image.height, _HIGH)), "white")
        paper.paste(image, (0, 0), image if image.mode == "RGBA" else None)
    out = io.BytesIO()
    paper.quantize(_COLOURS).save(out, "PNG", optimize=True)
    return out.getvalue()
