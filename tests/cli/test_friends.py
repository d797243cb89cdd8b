"""A cook as one file: given away without what is kept back, opened on a fresh machine, never learned from."""

import io
import json
import os
import re
import shutil
import subprocess
import sys
import zipfile

import pytest

from stallwise.cli.main import main
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

RIBS, LAST = "2026-05-16-spring-ribs", "2026-09-26-harvest-supper"
_BESIDE = re.compile(r'<nav class="beside".*?</nav>\s*', re.DOTALL)


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    """The sample cookbook with what it taught, and its journal."""
    path = tmp_path_factory.mktemp("home") / "book"
    bring_sample(Cookbook.start(path, "The village hall"))
    assert main(["learn", "--cookbook", str(path)]) == 0
    assert main(["publish", LAST, "--cookbook", str(path)]) == 0
    return path


@pytest.fixture
def book(home, tmp_path):
    return shutil.copytree(home, tmp_path / "book", ignore=shutil.ignore_patterns("journal"))


@pytest.fixture
def mine(tmp_path):
    return Cookbook.start(tmp_path / "mine", "Mine").path


def page(book, cook):
    text = (book / "journal" / "cooks" / f"{cook}.html").read_text(encoding="utf-8")
    return _BESIDE.sub("", text)


def share(book, cook, out):
    assert main(["share", cook, "--cookbook", str(book), "--out", str(out)]) == 0
    return out


def test_a_cook_opened_on_a_fresh_machine_gives_the_same_page_and_the_same_file(home, tmp_path):
    there, parcel = tmp_path / "there", share(home, LAST, tmp_path / "cook.zip")
    env = {
        "PATH": os.environ["PATH"], "HOME": str(tmp_path / "new-home"), "TZ": "Pacific/Auckland",
        "PYTHONHASHSEED": "7", "PYTHONPATH": os.environ.get("PYTHONPATH", ""),
    }  # fmt: skip
    small = there / "received" / LAST
    for words in (
        ["init", str(there), "--title", "Mine", "--timezone", "Etc/UTC"],
        ["open", str(parcel), "--cookbook", str(there)],
        ["publish", "--cookbook", str(small)],
        ["share", LAST, "--cookbook", str(small), "--out", str(tmp_path / "again.zip")],
    ):
        command = [sys.executable, "-m", "stallwise", *words]
        subprocess.run(command, env=env, check=True, capture_output=True, cwd=tmp_path)
    assert page(small, LAST) == page(home, LAST)
    pictures = {path.name: path.read_bytes() for path in (small / "journal/photos").rglob("*.webp")}
    assert pictures
    for name, data in pictures.items():
        assert (home / "journal" / "photos" / LAST / name).read_bytes() == data
    assert (tmp_path / "again.zip").read_bytes() == parcel.read_bytes()


def test_what_is_kept_back_and_what_is_nobody_s_business_stays_at_home(book, tmp_path, capsys):
    place, folder = book / "cooks" / RIBS, Cookbook.open(book).cook(RIBS)
    folder.save(
        {"tasting": "CANARY-TASTING", "notes": "CANARY-NOTES", "private": ["tasting", "notes"]}
    )
    with (place / "cook.toml").open("a", encoding="utf-8") as file:
        file.write("# CANARY-COMMENT\n")
    (place / "own-list.txt").write_text("CANARY-FILE")
    settings = book / "cookbook.toml"
    settings.write_text(
        settings.read_text(encoding="utf-8")
        + '\n[prices]\nhoney = "24 oz for $9.50"  # CANARY-PRICE\n', encoding="utf-8"
    )  # fmt: skip
    (book / "mixes" / "not-in-it.toml").write_text('kind = "rub"\n# CANARY-MIX\n')
    parcel = share(book, RIBS, tmp_path / "cook.zip")
    said = capsys.readouterr().out
    assert "Left out: notes: kept back." in said
    with zipfile.ZipFile(parcel) as archive:
        for name in archive.namelist():
            data = archive.read(name)
            assert b"CANARY" not in data, name
            assert b"9.50" not in data, name
            assert not name.endswith(".raw.csv")
        # Other cooks are figures without a name.
        held = b"".join(archive.read(name) for name in archive.namelist())
        assert b"late-brisket" not in held
        assert b"turkey-halves" not in held


def test_a_cook_of_somebody_else_is_marked_and_teaches_nothing(home, mine, tmp_path, capsys):
    parcel = share(home, LAST, tmp_path / "cook.zip")
    assert main(["open", str(parcel), "--cookbook", str(mine)]) == 0
    assert main(["open", str(parcel), "--cookbook", str(mine)]) == 0
    assert "was opened before" in capsys.readouterr().out
    assert main(["cooks", "--cookbook", str(mine), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["cooks"] == []
    assert [one["from"] for one in told["received"]] == ["The village hall"]
    assert main(["check", str(mine)]) == 0
    capsys.readouterr()
    assert main(["learn", "--cookbook", str(mine), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["cooks"] == []
    small = mine / "received" / LAST
    before = (small / "learned.json").read_bytes()
    assert main(["learn", "--cookbook", str(small)]) == 2
    captured = capsys.readouterr()
    assert "came from somebody else" in captured.err
    assert "from The village hall" in captured.err
    assert (small / "learned.json").read_bytes() == before
    # It can be planned from.
    assert main(["new", "--from", LAST, "--cookbook", str(mine), "--on", "2027-05-01"]) == 0
    (new,) = Cookbook.open(mine).cooks()
    assert new.read().carried_from == LAST
    assert new.read().carried


def test_a_changed_or_hostile_file_leaves_nothing(home, mine, tmp_path, capsys):
    parcel = share(home, LAST, tmp_path / "cook.zip")
    with zipfile.ZipFile(parcel) as archive:
        held = {name: archive.read(name) for name in archive.namelist()}
    for name, change in {
        "script": {"cooks/x/run.py": b"print(1)"},
        "upwards": {"../../cookbook.toml": b""},
        "spoilt": {f"cooks/{LAST}/cook.toml": b"title = 3\n"},
        "newer": {"shared.json": held["shared.json"].replace(b'"layout": 1', b'"layout": 9')},
    }.items():
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            for path, data in {**held, **change}.items():
                archive.writestr(path, data)
        hostile = tmp_path / f"{name}.zip"
        hostile.write_bytes(out.getvalue())
        assert main(["open", str(hostile), "--cookbook", str(mine)]) == 2, name
        assert f"{name}.zip" in capsys.readouterr().err
        left = (
            [path.name for path in (mine / "received").rglob("*")]
            if (mine / "received").exists()
            else []
        )
        assert left == [], name


@pytest.mark.parametrize(
    ("file", "text", "says"),
    [
        ("lent.json", '{"schema": 1, "freezer": {"x/A": "lots"}}', "lent.json is not as it was"),
        ("learned.json", '{"schema": 1, "cooks": [{"cook": 1}]}', "learned.json"),
        ("cook.toml", 'schema = 99\ntitle = "x"\n', "newer stallwise"),
        ("cook.ipynb", "not a notebook", "cook.ipynb"),
    ],
)
def test_a_file_made_to_look_right_is_read_before_it_is_kept(
    home, mine, tmp_path, capsys, monkeypatch, file, text, says
):
    from stallwise.record import packing, sharing

    found = sharing.shared(Cookbook.open(home).cook(LAST))
    name = f"cooks/{LAST}/{file}" if file.startswith("cook.") else file
    parcel = tmp_path / "cook.zip"
    parcel.write_bytes(packing.pack({**found.files, name: text.encode()}, found.told))
    status = main(["open", str(parcel), "--cookbook", str(mine)])
    assert status == 2
    assert says in capsys.readouterr().err
    assert list((mine / "received").iterdir()) == []


@pytest.mark.parametrize(
    ("private", "words"),
    [
        (["notez"], "no key for private is called 'notez'. Nearest: notes"),
        (["pieces.B"], "one file cannot leave out a piece"),
    ],
)
def test_a_slip_or_a_single_piece_in_private_gives_nothing_away(
    book, tmp_path, capsys, private, words
):
    Cookbook.open(book).cook(RIBS).save({"private": private})
    assert main(["share", RIBS, "--cookbook", str(book), "--out", str(tmp_path / "x.zip")]) == 2
    assert words in capsys.readouterr().err
    assert not (tmp_path / "x.zip").exists()
    wrong = private == ["notez"]
    assert main(["check", str(book / "cooks" / RIBS), "--cookbook", str(book)]) == int(wrong)
    assert (words in capsys.readouterr().out) is wrong


def test_a_single_mix_and_a_single_picture_stay_at_home(book, tmp_path):
    Cookbook.open(book).cook(RIBS).save({"private": ["mixes.plain-rub", "photos.bend-test.jpg"]})
    with zipfile.ZipFile(share(book, RIBS, tmp_path / "x.zip")) as archive:
        held = archive.namelist()
        plan = archive.read(f"cooks/{RIBS}/cook.toml").decode()
    assert not [name for name in held if "/mixes/" in name or name.endswith("bend-test.jpg")]
    assert "[[mixes]]" not in plan
    assert any(name.endswith("glazed-ribs.jpg") for name in held)


@pytest.mark.parametrize(("public", "goes"), [([], False), (["costs"], True)])
def test_what_was_paid_goes_along_by_the_word_that_a_page_knows(book, tmp_path, public, goes):
    folder = Cookbook.open(book).cook(RIBS)
    folder.save({"public": public})
    with (folder.path / "cook.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[extras]]\nname = "charcoal"\nmass = "12 lb"\nprice = "$18 per 20 lb"\n')
    with zipfile.ZipFile(share(book, RIBS, tmp_path / "x.zip")) as archive:
        assert (b"$18 per 20 lb" in archive.read(f"cooks/{RIBS}/cook.toml")) is goes


def test_what_came_never_takes_the_name_of_an_own_cook(book, home, tmp_path, capsys):
    parcel = share(home, RIBS, tmp_path / "x.zip")
    for taken in (RIBS, "spring-ribs"):
        assert main(["open", str(parcel), "--cookbook", str(book), "--as", taken]) == 2
        assert f"'{taken}' is taken" in capsys.readouterr().err
    assert main(["open", str(parcel), "--cookbook", str(book)]) == 0
    assert f"stallwise new --from {RIBS}-2" in capsys.readouterr().out
    assert main(["open", str(parcel), "--cookbook", str(book), "--as", "other"]) == 0
    assert f"it keeps its name {RIBS}-2" in capsys.readouterr().err
