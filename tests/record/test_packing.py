"""One file of a cook: the same bytes each time, and nothing taken on trust when it is opened."""

import io
import json
import stat
import zipfile

import pytest

from stallwise.ground.errors import InputError
from stallwise.record import packing

FILES = {
    "cookbook.toml": b'title = "Ours"\n',
    "cooks/2026-05-16-ribs/cook.toml": b'title = "Ribs"\n',
    "cooks/2026-05-16-ribs/photos/bark set.jpg": b"picture",
}
TOLD = {"cook": "2026-05-16-ribs", "title": "Ours", "author": ""}


def entries(data):
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {entry.filename: archive.read(entry) for entry in archive.infolist()}


def rewritten(change, **how):
    """The zip with its entries changed, listed anew or not."""
    held = entries(packing.pack(FILES, TOLD))
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in change(held):
            archive.writestr(name, content)
    return made.getvalue()


def listed(held, **more):
    """Entries with a list of files that names what is added too."""
    import hashlib

    told = json.loads(held[packing.MANIFEST])
    told["files"] |= {name: hashlib.sha256(content).hexdigest() for name, content in more.items()}
    return {**held, **more, packing.MANIFEST: json.dumps(told).encode()}


def test_what_goes_in_comes_out_and_its_bytes_are_the_same():
    data = packing.pack(FILES, TOLD)
    assert packing.unpack(data, "x.zip") == (FILES, TOLD)
    assert data == packing.pack(dict(reversed(FILES.items())), TOLD)


@pytest.mark.parametrize(
    "path",
    [
        "../outside.toml", "/etc/passwd", "cooks/../../x.toml", "C:\\x.toml", "cooks\\a\\cook.toml",
        "cooks/a/run.py", "cooks/a/cook.toml/", "cooks/a/photos/..jpg", "cooks/a/photos/x.svg",
        "altair.py", "cooks/a/readings/x.raw.csv", ".git/config", "pits/CON.toml.exe",
        "cooks/a/photos/a\nb.jpg", "received/x/cookbook.toml", "received.json",
    ],
)  # fmt: skip
def test_what_is_no_part_of_a_cook_is_refused_by_name(path):
    with pytest.raises(InputError, match=r"no part of a cook|link or a folder"):
        packing.unpack(rewritten(lambda held: listed(held, **{path: b"x"}).items()), "x.zip")
    with pytest.raises(InputError, match="no part of a cook"):
        packing.pack({path: b"x"}, TOLD)


def test_a_link_is_refused():
    def change(held):
        link = zipfile.ZipInfo("pits/mine.toml")
        link.create_system = 3
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        kept = listed(held, **{"pits/mine.toml": b"/etc"})
        return [*((name, kept[name]) for name in kept if name != "pits/mine.toml"), (link, b"/etc")]

    with pytest.raises(InputError, match="a link or a folder"):
        packing.unpack(rewritten(change), "x.zip")


def test_two_of_one_name_are_refused_whatever_their_capitals():
    def change(held):
        return listed(held, **{"pits/a.toml": b"", "pits/A.toml": b""}).items()

    with pytest.raises(InputError, match="two files called"):
        packing.unpack(rewritten(change), "x.zip")


def test_a_bomb_is_stopped_before_it_is_whole(monkeypatch):
    monkeypatch.setattr(packing, "PACKED_BYTES", 50_000)
    bomb = rewritten(lambda held: listed(held, **{"pits/a.toml": b" " * 60_000}).items())
    assert len(bomb) < 5_000
    with pytest.raises(InputError, match="up to 2,000 files"):
        packing.unpack(bomb, "x.zip")
    # One that lies about its size: what is read counts.
    at = bomb.rindex(b"PK\x01\x02")
    while bomb[at + 46 :].startswith(b"pits/a.toml") is False:
        at = bomb.rindex(b"PK\x01\x02", 0, at)
    lying = bomb[: at + 24] + (10).to_bytes(4, "little") + bomb[at + 28 :]
    with pytest.raises(InputError):
        packing.unpack(lying, "x.zip")


def test_too_many_files_are_refused(monkeypatch):
    monkeypatch.setattr(packing, "FILES", 2)
    with pytest.raises(InputError, match="up to 2 files"):
        packing.pack(FILES, TOLD)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda held: {**held, "cookbook.toml": b"other"}.items(), "otherwise than it was put in"),
        (lambda held: [row for row in held.items() if row[0] != "cookbook.toml"], "disagree about"),
        (lambda held: {**held, "pits/a.toml": b""}.items(), "disagree about"),
        (lambda held: [row for row in held.items() if row[0] != packing.MANIFEST], "has no shared"),
        (lambda held: {**held, packing.MANIFEST: b"[" * 90_000}.items(), "has no shared.json"),
        (lambda held: {**held, packing.MANIFEST: b'{"layout": 2, "files": {}}'}.items(), "newer"),
    ],
)
def test_a_file_that_was_changed_is_refused(change, why):
    with pytest.raises(InputError, match=why):
        packing.unpack(rewritten(change), "x.zip")


def test_what_is_no_zip_is_refused_at_every_cut():
    data = packing.pack(FILES, TOLD)
    for end in range(0, len(data), 7):
        with pytest.raises(InputError):
            packing.unpack(data[:end], "x.zip")
