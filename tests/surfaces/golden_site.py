"""A small journal that is compared whole: how it is made, and what of it is held against the golden one.

``python -m tests.surfaces.golden_site`` from the checkout makes ``tests/surfaces/golden`` anew; look at the
difference before you commit it.
"""

from __future__ import annotations

import dataclasses
import json
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path

from PIL import Image

from stallwise.joins.learn.tally import summed
from stallwise.joins.mix.mixresult import SpendingResult
from stallwise.pictures.charts import NARROW, WIDE
from stallwise.pictures.day import day_scene
from stallwise.pictures.scene import Scene
from stallwise.pictures.tallied import tallied_scene
from stallwise.pictures.tasted import tasted_scene
from stallwise.record.schema import Number, Photo
from tests.pictures import results as made
from tests.pictures.test_tasted import result as trial_of
from tests.pictures.test_tasted import votes
from tests.pictures.test_told import window
from tests.surfaces.test_journal import Shelf, camera, picture
from tests.surfaces.test_journal_tally import row, tallied

GOLDEN = Path(__file__).with_name("golden")

#: Text that is compared whole.
_WHOLE = {".html", ".xml", ".js"}
#: Copied from the program as they are.
_PROGRAM = {"search.js", "scale.js"}
_SVG = re.compile(r'<svg [^>]*aria-labelledby="([\w-]+)-title.*?</svg>', re.DOTALL)
_DATA = re.compile(r'(<script type="application/ld\+json">)(.*?)(</script>)', re.DOTALL)
_PHOTO = re.compile(r"[0-9a-f]{12}(?=-\d+\.webp)")
#: Told of the program's version too.
_OF = re.compile(r"<!--of [0-9a-f]+-->")


def results():
    """Two cooks: one with photos, probes and every kind of words, one that was tried side by side."""
    shoulder, ribs = made.shoulder(), made.ribs()
    told = (window(-1.0, 12.7, 14.2, 15.9), window(6.0, 13.0, 14.1, 15.2))
    spent = SpendingResult("$", 21.5, 3.25, None, 24.75, 0.9, 11.8, ("fuel",))
    return (
        dataclasses.replace(shoulder, kept=told, tallied=tallied(shoulder, row())),
        dataclasses.replace(
            ribs,
            tallied=tallied(ribs, row(), row("B", inside=0.0, late=5.5, rule=None)),
            trials=(trial_of(votes(8), doubts=("No answer from T8.",)),),
            spending=spent,
        ),
    )


def publish(place: Path) -> Path:
    """Publish them; gives the journal's folder."""
    shelf = Shelf(place)
    shelf.book = shelf.book.model_copy(update={"base_address": "https://hall.invalid/cooks/"})
    shoulder, ribs = results()
    photos = [Photo(file="slice.png", caption="The slice."), Photo(file="bark.png", lead=True)]
    folder = shelf.add(
        shoulder,
        photos=photos,
        outcome="It pulled clean and stayed moist.",
        next_time="Wrap half an hour later.",
        notes="The wind **turned** at two.\n\n- oak\n- ash",
        tasting="T1 wanted more pepper.",
        number=Number(name="at the door", value=8.5, out_of=10),
        tags=["village hall", "windy"],
    )
    for photo, size in zip(photos, ((1700, 1200), (600, 900)), strict=True):
        picture(size).save(folder / photo.file, exif=camera())
    shelf.add(ribs, public=["costs"], private=["notes"], notes="Kept back.")
    report = shelf.publish()
    assert not report.troubles, report.troubles
    return place / "journal"


def shown(journal: Path) -> Iterator[tuple[str, str]]:
    """Give name and text of all that is compared."""
    names: dict[str, str] = {}

    def photo(found: re.Match[str]) -> str:
        return names.setdefault(found[0], f"photo-{len(names) + 1}")

    for path in sorted(journal.rglob("*")):
        name = path.relative_to(journal).as_posix()
        if path.suffix in _WHOLE and name not in _PROGRAM and not name.startswith("files/"):
            text = _SVG.sub(r'<svg data-picture="\1"></svg>', path.read_text(encoding="utf-8"))
            text = _OF.sub("<!--of-->", text)
            yield name, _DATA.sub(_laid_out, _PHOTO.sub(photo, text))
    yield "files.json", _text(_files(journal, photo))
    for name, scene in pictures():
        yield f"pictures/{name}.json", _text(_specified(scene))


def _laid_out(found: re.Match[str]) -> str:
    data = json.dumps(json.loads(found[2]), ensure_ascii=False, indent=1)
    return f"{found[1]}\n{data}\n{found[3]}"


def _files(journal: Path, photo) -> dict[str, list[int] | None]:
    """Every file of the site; of photos their size in pixels, for their bytes are their encoder's."""
    found: dict[str, list[int] | None] = {}
    for path in sorted(journal.rglob("*")):
        name = path.relative_to(journal).as_posix()
        if path.is_file() and not path.name.startswith("."):
            size = None
            if path.suffix == ".webp":
                with Image.open(path) as image:
                    size = list(image.size)
            found[_PHOTO.sub(photo, name)] = size
    return dict(sorted(found.items()))


def pictures() -> Iterator[tuple[str, Scene]]:
    """Give the pictures before they are drawn: scales, and rows of data."""
    shoulder, ribs = results()
    yield "shoulder-narrow", day_scene(shoulder, NARROW)
    yield "ribs-wide", day_scene(ribs, WIDE)
    yield "side-by-side-wide", tasted_scene(ribs.trials[0], WIDE)
    yield (
        "tally-narrow",
        tallied_scene(summed(one.tallied for one in (ribs, shoulder)).pieces, NARROW),
    )


def _specified(scene: Scene) -> dict[str, object]:
    size = {"width": scene.width, "height": scene.height}
    return size | {"scales": _plain(dict(scene.parameters())), "data": _plain(scene.data)}


def _plain(value):
    """To two places: a picture is no calculator, and neither are two machines alike in the last digit."""
    if isinstance(value, float):
        return round(value, 2) + 0.0
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    return [_plain(item) for item in value] if isinstance(value, list) else value


def _text(data: object) -> str:
    """One row of data a line, so that a difference is read."""
    text = json.dumps(data, ensure_ascii=False, indent=1)
    return re.sub(r"\n {3,}", " ", text) + "\n"


def remake() -> None:
    """Write the golden site anew."""
    for path in sorted(GOLDEN.rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()
    with tempfile.TemporaryDirectory() as place:
        for name, text in shown(publish(Path(place))):
            target = GOLDEN / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    remake()
