"""Take ``notebooks/page.webp``: the top of a page of the sample cookbook, for the README.

Run it again after a change in how a page looks; it needs Chromium (``make tools``).
"""

from __future__ import annotations

import datetime as dt
import io
import shutil
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.surfaces.journal import publish

TARGET = Path(__file__).resolve().parents[1] / "notebooks" / "page.webp"
COOK = "2026-09-26-harvest-supper"
WIDTH = 1100
MOST_BYTES = 120_000
#: Where the picture ends: over the name of the second piece, or under the last drawing on the page.
_END = """() => {
  const shown = [...document.querySelectorAll('svg')].find(e => e.getBoundingClientRect().width);
  const second = [...shown.querySelectorAll('text')].find(e => e.textContent.startsWith('B '));
  const box = (second || shown).getBoundingClientRect();
  return Math.floor(second ? box.top - 8 : box.bottom + 16);
}"""


def page_of_sample(folder: Path) -> Path:
    """Start the sample cookbook, publish it, and say where the page is."""
    book = Cookbook.start(folder / "book", title="A cookbook")
    bring_sample(book)
    out = folder / "journal"
    report = publish(book, [book.cook(COOK)], out, made_at=dt.datetime.now(dt.UTC))
    if report.failed:
        raise SystemExit("\n".join(report.troubles))
    return out / "cooks" / f"{COOK}.html"


def taken(page_file: Path) -> Image.Image:
    """Picture of the page by daylight, from its top to the end of the first piece's drawing."""
    program = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
    if program is None:
        raise SystemExit("Chromium is not there: run make tools.")
    with sync_playwright() as player:
        browser = player.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page(viewport={"width": WIDTH, "height": 900}, color_scheme="light")
        page.goto(page_file.as_uri(), wait_until="load")
        end = page.evaluate(_END)
        shot = page.screenshot(full_page=True)
        browser.close()
    return Image.open(io.BytesIO(shot)).convert("RGB").crop((0, 0, WIDTH, end))


def packed(image: Image.Image) -> bytes:
    """Encode at the best quality that is small enough."""
    for quality in range(90, 30, -4):
        out = io.BytesIO()
        image.save(out, "WEBP", quality=quality, method=6)
        if out.tell() <= MOST_BYTES:
            return out.getvalue()
    raise SystemExit(f"The picture does not fit {MOST_BYTES} bytes.")


def main() -> None:
    """Write the picture and say how large it is."""
    with tempfile.TemporaryDirectory() as folder:
        image = taken(page_of_sample(Path(folder)))
    data = packed(image)
    TARGET.write_bytes(data)
    print(f"{TARGET.name}: {image.width} x {image.height}, {len(data) / 1000:.0f} kB")


if __name__ == "__main__":
    main()
