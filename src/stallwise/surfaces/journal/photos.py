"""Photos of a page: each developed once, kept by its content, shown in three sizes."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from stallwise.record.bare import jpeg
from stallwise.surfaces.journal.darkroom import SIZES, PhotoError, kind_of, look
from stallwise.surfaces.journal.public import PublicPhoto

__all__ = ["Photo", "Size", "develop_all", "stem_of"]

#: Wall clock that one photo may take [s].
SECONDS = 45

#: Largest file that is opened [bytes].
MAX_BYTES = 100_000_000

#: Part of each made photo's name; changes when the same photo would come out differently.
_RECIPE = b"webp-80-4-1600-800-400-1"

_NO_CAPTION = "photo without a caption"


@dataclass(frozen=True)
class Size:
    """One size of a photo: its file, and its width and height [px]."""

    file: str
    width: int
    height: int


@dataclass(frozen=True)
class Photo:
    """A photo as it stands on a page.

    Attributes
    ----------
    sizes : tuple of Size
        Largest first.
    caption : str
        As the cook wrote it; may be empty.
    alt : str
        What is said instead of the photo.
    lead : bool
        Shown large, before the rest.
    source : str
        Name among the cook's photos, by which it is found; it does not reach the page.
    """

    sizes: tuple[Size, ...]
    caption: str
    alt: str
    lead: bool
    source: str = ""

    @property
    def anchor(self) -> str:
        """Where it stands on its page."""
        return f"photo-{self.sizes[0].file.partition('-')[0]}"

    def nearest(self, width: int) -> Size:
        """Smallest size at least so wide, or else the largest."""
        wide = [size for size in self.sizes if size.width >= width]
        return wide[-1] if wide else self.sizes[0]


def develop_all(
    wanted: Sequence[PublicPhoto], source: Path, staging: Path, kept: Path
) -> tuple[list[Photo], list[str]]:
    """Make the photos of one page.

    Parameters
    ----------
    wanted : sequence of PublicPhoto
        Photos that may be shown.
    source : Path
        The cook's ``photos`` folder.
    staging : Path
        Where new ones go.
    kept : Path
        Where those of an earlier run are; one that is there and clean is not made again.

    Returns
    -------
    photos, troubles : list of Photo, list of str
        What can be shown, and a sentence about each that cannot.
    """
    listing = _listing(source)
    with ThreadPoolExecutor(max_workers=2) as pool:
        found = list(pool.map(lambda one: _develop(one, listing, staging, kept), wanted))
    photos = [one for one in found if isinstance(one, Photo)]
    troubles = [one for one in found if isinstance(one, str)]
    notes = [_odd_name(one, listing) for one in wanted]
    return _led(photos), troubles + [note for note in notes if note]


def stem_of(data: bytes) -> str:
    """Name that the sizes of a photo go by, made of all that is in it.

    Of a JPEG only what is picture counts: as its cook has it and as it was given away, it is one photo.
    """
    with suppress(ValueError):
        data = jpeg(data)
    return hashlib.blake2b(data + _RECIPE, digest_size=6).hexdigest()


def _listing(source: Path) -> dict[str, Path]:
    """Plain files by name; a link that leads elsewhere is not among them."""
    if not source.is_dir() or source.is_symlink():
        return {}
    with os.scandir(source) as entries:
        return {e.name: Path(e.path) for e in entries if e.is_file(follow_symlinks=False)}


def _develop(
    wanted: PublicPhoto, listing: dict[str, Path], staging: Path, kept: Path
) -> Photo | str:
    path = listing.get(wanted.file)
    if path is None:
        return f"photo {wanted.file!r} is not among the files of the photos folder"
    if path.stat().st_size > MAX_BYTES:
        return f"photo {wanted.file!r} is left out: over {MAX_BYTES // 1_000_000} MB"
    stem = stem_of(path.read_bytes())
    try:
        sizes = _kept(kept, stem) or _made(path, staging, stem)
    except PhotoError as error:
        return f"photo {wanted.file!r} is left out: {error}"
    alt = wanted.caption or _NO_CAPTION
    return Photo(sizes, wanted.caption, alt, wanted.lead, wanted.file)


def _kept(folder: Path, stem: str) -> tuple[Size, ...]:
    """Sizes of an earlier run, if all of them still are what was made."""
    found = [path for name, path in _listing(folder).items() if name.startswith(f"{stem}-")]
    try:
        sizes = [Size(**look(path)) for path in found]
    except (OSError, PhotoError):
        return ()
    edges = {max(size.width, size.height) for size in sizes}
    # The largest is put in place first, so a run that was cut short lacks the small ones.
    whole = bool(edges) and edges == {min(max(edges), size) for size in SIZES}
    return tuple(sorted(sizes, key=lambda size: -size.width)) if whole else ()


def _made(path: Path, staging: Path, stem: str) -> tuple[Size, ...]:
    """Develop one photo in a process of its own, under a clock."""
    staging.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-P", "-m", "stallwise.surfaces.journal.darkroom"]
    command += [str(path.resolve()), str(staging.resolve()), stem]
    try:
        done = subprocess.run(  # noqa: S603 - our own interpreter and module
            command,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=SECONDS,
            check=False,
            cwd=os.sep,
        )
    except subprocess.TimeoutExpired:
        raise PhotoError(f"it took longer than {SECONDS} s to read") from None
    try:
        answer = json.loads(done.stdout)
    except ValueError:
        raise PhotoError("reading it took more memory or time than a photo may") from None
    if "said" in answer:
        raise PhotoError(answer["said"])
    return tuple(Size(**size) for size in answer["sizes"])


def _odd_name(wanted: PublicPhoto, listing: dict[str, Path]) -> str:
    """Name a HEIC picture under another ending: other programs will stumble over it."""
    path = listing.get(wanted.file)
    if path is None or path.suffix.lower() in {".heic", ".heif"}:
        return ""
    with path.open("rb") as file:
        heic = kind_of(file.read(16)) == "heic"
    return f"photo {wanted.file!r} is a HEIC picture under a {path.suffix} name" if heic else ""


def _led(photos: Iterable[Photo]) -> list[Photo]:
    """Lead photo first; without one, the order of the cook."""
    return sorted(photos, key=lambda photo: not photo.lead)
