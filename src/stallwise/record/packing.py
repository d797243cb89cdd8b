"""One file that holds a small folder: written the same way each time, read with nothing taken on trust."""

from __future__ import annotations

import hashlib
import io
import json
import re
import stat
import zipfile
from collections.abc import Iterator, Mapping

from stallwise.ground.errors import InputError

__all__ = ["COOK_FILES", "FILES", "MANIFEST", "PACKED_BYTES", "pack", "unpack"]

MANIFEST = "shared.json"
#: Written into the list of files; another number is of another time.
_LAYOUT = 1
#: Most that a shared file holds when it is taken apart [bytes], and how many files; a table of limits says so too.
PACKED_BYTES, FILES = 400_000_000, 2_000
#: A zip has no earlier time; every file has this one, so that the same cook gives the same bytes.
_WHEN = (1980, 1, 1, 0, 0, 0)
_NAME = r"[a-z0-9][a-z0-9-]{0,79}"
#: Photos keep the name that their cook gave them, without what a disk or a shell reads otherwise.
_PHOTO = r"[\w][\w .,()+-]{0,115}"
#: What a cook is made of; nothing else is written or taken.
COOK_FILES = (
    r"cook\.toml|log\.jsonl|cook\.ipynb|tastings\.csv",
    rf"readings/{_NAME}\.(csv|json)",
    rf"photos/{_PHOTO}\.(jpg|jpeg|png|webp)",
    rf"mixes/{_NAME}\.toml",
    r"results/forecasts\.jsonl",
)
_FILES = re.compile(
    rf"cookbook\.toml|learned\.json|lent\.json|(pits|mixes|cuts|ingredients|trials)/{_NAME}\.toml"
    rf"|trials/{_NAME}\.key\.csv|cooks/{_NAME}/({'|'.join(COOK_FILES)})",
    re.IGNORECASE,
)
_CHUNK = 1 << 20


def pack(files: Mapping[str, bytes], told: Mapping[str, str]) -> bytes:
    """Put files into one, the same bytes each time.

    Parameters
    ----------
    files : mapping of str to bytes
        By their path in the small cookbook.
    told : mapping of str to str
        Whose it is, for who opens it.

    Raises
    ------
    InputError
        A path that no cook has, or more than may be shared.
    """
    for name in files:
        _expect(name)
    _fits(sum(map(len, files.values())), len(files), "this cook")
    sums = {name: hashlib.sha256(files[name]).hexdigest() for name in sorted(files)}
    listed = {"layout": _LAYOUT, **told, "files": sums}
    manifest = json.dumps(listed, ensure_ascii=False, indent=1, sort_keys=True) + "\n"
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        for name in (MANIFEST, *sorted(files)):
            entry = zipfile.ZipInfo(name, _WHEN)
            entry.external_attr = (stat.S_IFREG | 0o644) << 16
            entry.create_system = 3  # the same bytes on every system
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, manifest if name == MANIFEST else files[name])
    return made.getvalue()


def unpack(data: bytes, name: str) -> tuple[dict[str, bytes], dict[str, str]]:
    """Take a shared file apart: only what a cook is made of, each as it was put in.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        For messages.

    Returns
    -------
    files : dict of str to bytes
    told : dict of str to str
        Whose it is.

    Raises
    ------
    InputError
        No such file, one that was changed, a path upwards, a link, two of one name, what no cook
        has, or more than is taken.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            held = dict(_read(archive, name))
    except (zipfile.BadZipFile, NotImplementedError, EOFError, ValueError, OSError) as error:
        raise _refused(name, "cannot be taken apart") from error
    except RuntimeError as error:  # how the library calls a file that wants a password
        raise _refused(name, "is locked with a password") from error
    sums, told = _manifest(held.pop(MANIFEST, None), name)
    for path in sorted({*sums, *held}):
        if path not in held or path not in sums:
            raise _refused(name, f"and its list of files disagree about {path}")
        if hashlib.sha256(held[path]).hexdigest() != sums[path]:
            raise _refused(name, f"holds {path} otherwise than it was put in")
    return held, told


def _read(archive: zipfile.ZipFile, name: str) -> Iterator[tuple[str, bytes]]:
    entries, seen, left = archive.infolist(), set(), PACKED_BYTES
    _fits(sum(entry.file_size for entry in entries), len(entries), name)
    for entry in entries:
        path = entry.filename
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if kind not in {0, stat.S_IFREG} or entry.is_dir():
            raise _refused(name, f"holds {path!r}, which is a link or a folder and no file")
        if path != MANIFEST:
            _expect(path, name)
        if path.casefold() in seen:
            raise _refused(name, f"holds two files called {path!r}")
        seen.add(path.casefold())
        with archive.open(entry) as stream:
            # What it says of its size is not believed: a bomb says little.
            parts = []
            while part := stream.read(_CHUNK):
                left -= len(part)
                if left < 0:
                    _fits(PACKED_BYTES + 1, len(entries), name)
                parts.append(part)
        yield path, b"".join(parts)


def _manifest(data: bytes | None, name: str) -> tuple[dict[str, str], dict[str, str]]:
    try:
        found = json.loads(data or b"")
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict) or not isinstance(found.get("files"), dict):
        raise _refused(name, f"has no {MANIFEST} that tells what it holds")
    if found.pop("layout", None) != _LAYOUT:
        raise InputError(
            f"{name} was made by a newer stallwise",
            f"a file of layout {_LAYOUT}",
            "Update stallwise, or have it made anew with the same version",
        )
    sums = {str(path): str(sum_) for path, sum_ in found.pop("files").items()}
    return sums, {key: value for key, value in found.items() if isinstance(value, str)}


def _expect(path: str, name: str = "it") -> None:
    if not _FILES.fullmatch(path) or ".." in path:
        raise _refused(name, f"holds {path!r}, which is no part of a cook")


def _fits(size: int, count: int, name: str) -> None:
    if size > PACKED_BYTES or count > FILES:
        raise InputError(
            f"{name} holds {count:,} files of {size / 1e6:,.0f} MB",
            f"up to {FILES:,} files and {PACKED_BYTES / 1e6:,.0f} MB",
            "Leave pictures or readings out",
        )


def _refused(name: str, why: str) -> InputError:
    return InputError(
        f"{name} {why}",
        "a file made by `stallwise share`, as it was made",
        "Nothing of it was kept. Have it sent again",
    )
