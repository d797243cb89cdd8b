"""The text of a file that a probe, a phone or a person wrote, whatever its letters are coded in."""

from __future__ import annotations

from stallwise.ground.errors import InputError

__all__ = ["text_of"]

#: First bytes of what is often handed over by mistake, and what to do instead.
_NO_TEXT = {
    b"PK\x03\x04": ("a spreadsheet or another packed file", "Save the sheet as CSV"),
    b"\xd0\xcf\x11\xe0": ("a spreadsheet of an old kind", "Save the sheet as CSV"),
    b"%PDF": ("a PDF", "Export the readings as CSV"),
    b"\x89PNG": ("a picture", "Export the readings as CSV"),
    b"\xff\xd8\xff": ("a picture", "Export the readings as CSV"),
    b"GIF8": ("a picture", "Export the readings as CSV"),
    b"\x1f\x8b": ("a packed file", "Unpack it first"),
    b"SQLite format 3": ("a database", "Export the readings as CSV"),
}
_ALLOWED = "a text file with a line for each reading"
#: Control signs that no text holds.
_CONTROLS = bytes(byte for byte in range(1, 32) if byte not in b"\t\n\v\f\r\x1a\x1c\x1d\x1e\x1f")


def text_of(data: bytes, file: str) -> str:
    """Decode a log: UTF-8 or UTF-16 with or without its mark, or the one-byte letters of old probes.

    Parameters
    ----------
    data : bytes
        All of the file.
    file : str
        Name for messages.

    Raises
    ------
    InputError
        A picture, a spreadsheet or another file that is no text.
    """
    for start, (what, todo) in _NO_TEXT.items():
        if data.startswith(start):
            raise InputError(f"this is {what}", _ALLOWED, todo, where=file)
    if data.lstrip()[:2] in {b'{"', b"[{", b"[["}:
        raise InputError("this is JSON", _ALLOWED, "Export the readings as CSV", where=file)
    code = _wide(data)
    if code:
        return data.decode(code, "replace").removeprefix("\ufeff")
    # A probe that lost its current leaves blocks of zeros in its file.
    plain = data.replace(b"\0", b"") if b"\0" in data else data
    controls = len(plain) - len(plain.translate(None, _CONTROLS))
    if controls * 100 > len(plain) or len(plain) * 20 < len(data):
        raise InputError("this is not text", _ALLOWED, where=file)
    try:
        return plain.decode("utf-8-sig")
    except UnicodeDecodeError:
        # The degree sign in one byte.
        return plain.decode("latin-1")


def _wide(data: bytes) -> str:
    """Name of a two-byte code, told by its mark or by every other byte being zero."""
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        return "utf-16"
    start = data[:2000]
    half = len(start) // 2
    if not half:
        return ""
    if start[1::2].count(0) * 10 > half * 9 and start[::2].count(0) * 10 < half:
        return "utf-16-le"
    if start[::2].count(0) * 10 > half * 9 and start[1::2].count(0) * 10 < half:
        return "utf-16-be"
    return ""
