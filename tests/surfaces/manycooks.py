"""A large cookbook for tests: the shipped sample cooks, our own invention, again and again on other days."""

from __future__ import annotations

import datetime as dt
import itertools
import re
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.surfaces.journal.darkroom import develop
from stallwise.surfaces.journal.photos import stem_of

#: The first cook's day, and days from one cook to the next.
FIRST, APART = dt.date(2016, 1, 2), 3
_DATE = re.compile(rb"\d{4}-\d{2}-\d{2}")
#: Files that tell of a day.
_TOLD = frozenset({".toml", ".jsonl", ".csv", ".json"})
_LEFT = frozenset({"photos", "tastings.csv"})
_WORDS = ("oak", "ash", "windy", "rain", "guests", "hall", "garden", "late", "thick", "sweet")


def many_cooks(place: Path, count: int) -> Cookbook:
    """Make a book of so many cooks, each with its log, readings, mixes, kept forecasts and two pictures.

    A sample cook is told again on another day: every date in its files is moved by so many days, its
    title and tags are its own. What the cooks taught is made up too, of the size that `learn` writes.
    """
    book = Cookbook.start(place / "book", title="A long shelf", time_zone="Etc/GMT+5")
    with tempfile.TemporaryDirectory() as other:
        sample = Cookbook.start(Path(other) / "book", title="Sample")
        bring_sample(sample)
        patterns = [_Pattern(cook.path) for cook in sample.cooks()]
        for kind in ("pits", "mixes"):
            for path in (sample.path / kind).iterdir():
                (book.path / kind / path.name).write_bytes(path.read_bytes())
    pictures = [one for pattern in patterns for one in pattern.pictures]
    taught = []
    for n in range(count):
        day = FIRST + dt.timedelta(days=APART * n)
        name = f"{day}-{patterns[n % len(patterns)].name}"
        shown = [pictures[(n + more) % len(pictures)] for more in (0, 1)]
        patterns[n % len(patterns)].told_again(book.path / "cooks" / name, n, day, shown)
        taught.append(_taught(name, day))
    book.write_learned({"library": "made up", "cooks": taught})
    return Cookbook.open(book.path)


def keep_photos(book: Cookbook, out: Path) -> None:
    """Put the photos of all cooks where a publishing would have left them."""
    made: dict[bytes, dict[str, bytes]] = {}
    for path in sorted((book.path / "cooks").glob("*/photos/*")):
        data = path.read_bytes()
        if data not in made:
            with tempfile.TemporaryDirectory() as folder:
                sizes = develop(data, Path(folder), stem_of(data))
                made[data] = {
                    one["file"]: (Path(folder) / one["file"]).read_bytes() for one in sizes
                }
        place = out / "photos" / path.parents[1].name
        place.mkdir(parents=True, exist_ok=True)
        for name, size in made[data].items():
            (place / name).write_bytes(size)


class _Pattern:
    """One sample cook, to be told again."""

    def __init__(self, path: Path) -> None:
        _, self.name = path.name[:10], path.name[11:]
        self.day = dt.date.fromisoformat(path.name[:10])
        files = [
            (file.relative_to(path), file.read_bytes())
            for file in path.rglob("*")
            if file.is_file()
        ]
        self.pictures = [(at.name, data) for at, data in files if at.parts[0] == "photos"]
        self.files = [
            (at, data) for at, data in files if at.parts[0] not in _LEFT and at.suffix in _TOLD
        ]

    def told_again(
        self, folder: Path, n: int, day: dt.date, shown: Sequence[tuple[str, bytes]]
    ) -> None:
        """Write it as another cook."""

        def moved(match: re.Match[bytes]) -> bytes:
            was = dt.date.fromisoformat(match[0].decode())
            return (was + (day - self.day)).isoformat().encode()

        for at, data in self.files:
            text = _DATE.sub(moved, data)
            path = folder / at
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(_own(text, n, shown) if at.name == "cook.toml" else text)
        for name, data in shown:
            path = folder / "photos" / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(data)


def _own(text: bytes, n: int, shown: Sequence[tuple[str, bytes]]) -> bytes:
    """Give a cook its own title, tags and pictures."""
    told = text.decode().partition("[[photos]]")[0]
    tags = ", ".join(
        f'"{word}"' for word in itertools.islice(itertools.cycle(_WORDS), n % 9, n % 9 + 2)
    )
    told = re.sub(r'(?m)^title = "(.*)"$', rf'title = "\1, no. {n + 1}"', told, count=1)
    told = re.sub(r"(?m)^tags = .*$", f"tags = [{tags}]", told, count=1)
    # No two days are alike, so that no forecast serves twice.
    told = re.sub(
        r'(?m)^ambient = "(\d+) F"$', lambda m: f'ambient = "{int(m[1]) + n / 100:.2f} F"', told
    )
    for k, (name, _) in enumerate(shown):
        lead = "\nlead = true" if not k else ""
        told += (
            f'\n[[photos]]\nfile = "{name}"\ncaption = "Drawing {k + 1} of cook {n + 1}."{lead}\n'
        )
    return told.encode()


def _taught(name: str, day: dt.date) -> Mapping[str, Any]:
    lessons = {"pit.offset.grate": [2.8, 3.5], "pit.loss.offset": [25.0, 0.11]}
    cuts = ("beef-brisket-whole", "lamb-shoulder", "pork-spare-ribs-trimmed", "turkey-half")
    return {
        "cook": name,
        "date": day.isoformat(),
        "content": f"{day:%Y%m%d}",
        "sample": True,
        "taught": True,
        "why": "",
        "told": {"pits": [], "cuts": [], "misfit": {}, "refused": ""},
        "missed": {
            "known_on": day.isoformat(),
            "half_widths": [0.3 + (k * 7 + day.day) % 97 / 80 for k in range(160)],
        },
        "knowledge": f"{day:%Y%m%d}0000",
        "pits": {"backyard-offset": lessons},
        "cuts": {
            cut: {"tender.t95": [9645.6, 0.24], "meat.thickness": [1.01, 0.15]} for cut in cuts
        },
    }
