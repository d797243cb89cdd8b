"""One photo developed in a process of its own: rebuilt from its pixels, upright, in three sizes.

A photo is a stranger's file. It is read here, by named formats only, with limits on pixels,
memory and time, and nothing of it but the picture itself comes out: no place, no date, no
maker. ``python -P -m stallwise.surfaces.journal.darkroom FILE FOLDER STEM`` prints what it
made as JSON; what is wrong with a photo it says in words, with status 2.
"""

from __future__ import annotations

import contextlib
import io
import json
import sys
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["MAX_PIXELS", "SIZES", "PhotoError", "develop", "kind_of", "look"]

#: Longest edges that are made [px].
SIZES = (1600, 800, 400)

#: Largest picture that is opened [px]; a few bytes may claim any size.
MAX_PIXELS = 60_000_000

#: Memory and processor time that one photo may take [bytes, s].
_MEMORY = 3 << 30
_SECONDS = 60

#: A JPEG of several pictures, as some phones write, is read as its first.
_FORMATS = ("JPEG", "PNG", "WEBP")
_QUALITY = 80
_ALLOWED = "a JPEG, PNG or WebP picture of up to 60 million pixels"

#: Brands of the box at the start of a HEIC or AVIF file (ISO/IEC 23008-12, AV1 image format).
_HEIC = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"})

#: Parts of a WebP file that are picture and nothing else.
_PICTURE_CHUNKS = frozenset({b"VP8 ", b"VP8L"})


class PhotoError(Exception):
    """A photo cannot be used; says why, and what can be."""


def kind_of(head: bytes) -> str:
    """Kind of a picture by its first bytes: ``heic``, ``avif``, ``jpeg``, ``png``, ``webp`` or ``""``."""
    if head[4:8] == b"ftyp":
        return "avif" if head[8:12] in {b"avif", b"avis"} else "heic" if head[8:12] in _HEIC else ""
    starts = ((b"\xff\xd8\xff", "jpeg"), (b"\x89PNG\r\n\x1a\n", "png"))
    found = next((kind for start, kind in starts if head.startswith(start)), "")
    return found or ("webp" if head[:4] == b"RIFF" and head[8:12] == b"WEBP" else "")


def develop(data: bytes, folder: Path, stem: str) -> list[dict[str, Any]]:
    """Make every size of one photo.

    Parameters
    ----------
    data : bytes
        The file as it came.
    folder : Path
        Where the sizes go.
    stem : str
        Their name without size and ending.

    Returns
    -------
    list of dict
        ``file``, ``width`` and ``height`` [px] of each size, largest first.

    Raises
    ------
    PhotoError
        Not a picture, too large, torn, or of a kind that is not read here.
    """
    picture = _opened(data)
    made = []
    edge = max(picture.size)
    # A photo smaller than a step is shown as large as it is, never larger.
    for size in sorted({min(edge, size) for size in SIZES}, reverse=True):
        picture = _within(picture, size)
        path = folder / f"{stem}-{size}.webp"
        picture.save(path, "WEBP", quality=_QUALITY, method=4)
        made.append(look(path))
    return made


def look(path: Path) -> dict[str, Any]:
    """Open a made photo again: its size, and that nothing but the picture is in it.

    Raises
    ------
    PhotoError
        It holds more than a picture.
    """
    from PIL import Image

    data = path.read_bytes()
    strange = _chunks(data) - _PICTURE_CHUNKS
    if strange:
        raise PhotoError(f"more than a picture is left in it ({b', '.join(sorted(strange))!r})")
    with Image.open(io.BytesIO(data), formats=("WEBP",)) as image:
        if image.getexif() or {"exif", "xmp", "icc_profile"} & set(image.info):
            raise PhotoError("its camera's notes are still in it")
        return {"file": path.name, "width": image.width, "height": image.height}


def _chunks(data: bytes) -> set[bytes]:
    """Names of the parts of a WebP file."""
    found, at = set(), 12
    while at + 8 <= len(data):
        found.add(data[at : at + 4])
        size = int.from_bytes(data[at + 4 : at + 8], "little")
        at += 8 + size + size % 2
    return found


def _opened(data: bytes) -> Image:
    """Read, upright, in the colours of a screen, with everything else left behind."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    kind = kind_of(data[:16])
    formats: tuple[str, ...] = _FORMATS
    if kind == "heic":
        formats = _heif()
    elif not kind:
        raise PhotoError(f"it is not a picture that is read here; {_ALLOWED} is")
    Image.MAX_IMAGE_PIXELS = MAX_PIXELS
    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        # Broken camera notes are thrown away anyhow.
        warnings.filterwarnings("ignore", message=".*EXIF.*|.*Metadata.*|.*truncated.*")
        try:
            with Image.open(io.BytesIO(data), formats=formats) as image:
                # Huge camera pictures are decoded at a smaller scale at once.
                image.draft("RGB", (SIZES[0] * 2, SIZES[0] * 2))
                image.load()
                upright = ImageOps.exif_transpose(image)
                return _pixels(upright)
        except (Image.DecompressionBombError, Image.DecompressionBombWarning):
            raise PhotoError(f"it claims more pixels than are opened; {_ALLOWED} is read") from None
        except UnidentifiedImageError:
            raise PhotoError(
                f"it is {kind} by its first bytes, and then not; {_ALLOWED} is read"
            ) from None
        except (OSError, SyntaxError, ValueError, EOFError, MemoryError) as error:
            raise PhotoError(
                f"it is torn or damaged ({error}); copy it from the camera again"
            ) from None


def _heif() -> tuple[str, ...]:
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        raise PhotoError(
            "it is a HEIC picture whatever its name says; export it as JPEG, or install "
            "stallwise[heic]"
        ) from None
    register_heif_opener(thumbnails=False)
    return ("HEIF",)


def _pixels(image: Image) -> Image:
    """Fresh picture with the same pixels in sRGB, on white where it was transparent."""
    from PIL import Image as Images

    image = _screen_colours(image)
    if image.mode in {"RGBA", "LA", "PA"} or "transparency" in image.info:
        image = image.convert("RGBA")
        ground = Images.new("RGBA", image.size, "white")
        image = Images.alpha_composite(ground, image)
    flat = image.convert("RGB")
    fresh = Images.new("RGB", flat.size)
    fresh.paste(flat)
    return fresh


def _screen_colours(image: Image) -> Image:
    """Phones write wide colours; without their profile they look faded."""
    profile = image.info.get("icc_profile")
    if not profile or image.mode not in {"RGB", "RGBA", "L", "CMYK"}:
        return image
    from PIL import ImageCms

    # A profile that cannot be read is no reason to lose the photo.
    with contextlib.suppress(ImageCms.PyCMSError, OSError, ValueError, TypeError):
        mode = "RGBA" if image.mode == "RGBA" else "RGB"
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        screen = ImageCms.createProfile("sRGB")
        changed = ImageCms.profileToProfile(image, source, screen, outputMode=mode)
        return changed or image
    return image


def _within(image: Image, edge: int) -> Image:
    from PIL import Image as Images

    scale = edge / max(image.size)
    if scale >= 1:
        return image
    size = (max(1, round(image.width * scale)), max(1, round(image.height * scale)))
    return image.resize(size, Images.Resampling.LANCZOS, reducing_gap=3.0)


def _limit() -> None:
    """Let the system end a photo that takes too much."""
    try:
        import resource
    except ImportError:  # a system without limits still has the caller's clock
        return
    for what, most in ((resource.RLIMIT_AS, _MEMORY), (resource.RLIMIT_CPU, _SECONDS)):
        _, hard = resource.getrlimit(what)
        free = hard == resource.RLIM_INFINITY
        resource.setrlimit(what, (most if free else min(most, hard), hard))


def _main(arguments: list[str]) -> int:
    source, folder, stem = arguments
    _limit()
    try:
        made = develop(Path(source).read_bytes(), Path(folder), stem)
    except PhotoError as error:
        sys.stdout.write(json.dumps({"said": str(error)}))
        return 2
    sys.stdout.write(json.dumps({"sizes": made}))
    return 0


if __name__ == "__main__":
    sys.exit(_main(sys.argv[1:]))
