"""Every file a cook can edit, spoilt: commands say what is wrong in words and end with 0, 1 or 2."""

import contextlib
import io
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import writers
from hypothesis import given
from hypothesis import strategies as st
from spoiling import scaled, spoilt_bytes

from stallwise.cli.main import main
from stallwise.ground.errors import StallwiseError
from stallwise.record import trials
from stallwise.record.folder import Cookbook
from stallwise.record.log import effective

ROOT = Path(__file__).resolve().parents[2]
OLD, SAMPLE, SHIPPED = ROOT / "tests" / "books" / "v1", ROOT / "data" / "sample", ROOT / "data"
COOK, NAME = f"cooks/{writers.COOK}", writers.COOK


@dataclass(frozen=True)
class Edited:
    """A file, real ones of its kind, and the commands that rest on it."""

    path: str
    texts: tuple[Path, ...]
    commands: tuple[tuple[str, ...], ...]


def found(*patterns: str, where: Path = SAMPLE) -> tuple[Path, ...]:
    return tuple(path for pattern in patterns for path in sorted(where.glob(pattern)))


ASK = (
    ("forecast", NAME, "--json"),
    ("sheet", NAME),
    ("limits", NAME),
    ("shop", NAME),
    ("mixes", NAME),
)
EDITED: dict[str, Edited] = {
    "cookbook": Edited("cookbook.toml", (OLD / "cookbook.toml",), (("cooks",), *ASK)),
    "pit": Edited("pits/backyard.toml", (*found("pits/*.toml"), *found("pits/*.toml", where=OLD)), ASK),
    "mix": Edited(
        "mixes/house-rub.toml",
        (*found("mixes/*.toml", "cooks/*/mixes/*.toml"), *found("mixes/*.toml", where=OLD)),
        (("mix", "house-rub", "--for", "4 kg"), ("mixes",), ("shop", NAME)),
    ),
    "mix as used": Edited(
        f"{COOK}/mixes/house-rub.toml", found("cooks/*/mixes/*.toml"), (("mixes", NAME), ("shop", NAME))
    ),
    "cut": Edited("cuts/pork-spare-ribs-trimmed.toml", found("cuts/*.toml", where=OLD), (("cuts", "ribs"), *ASK)),
    "ingredient": Edited(
        "ingredients/honey.toml",
        found("ingredients/*.toml", where=OLD),
        (("ingredients", "honey"), ("mix", "house-rub", "--for", "4 kg"), ("shop", NAME)),
    ),
    "trial": Edited(
        "trials/two-glazes.toml", found("trials/*.toml"), (("taste", NAME), ("taste", "--year"), ("forecast", NAME))
    ),
    "key": Edited("trials/two-glazes.key.csv", found("trials/*.csv"), (("taste", NAME), ("taste", "--year"))),
    "tastings": Edited(f"{COOK}/tastings.csv", found("cooks/*/tastings.csv"), (("taste", NAME), ("taste", "--year"))),
    "plan": Edited(f"{COOK}/cook.toml", (*found("cooks/*/cook.toml"), *found("cooks/*/cook.toml", where=OLD)), ASK),
    "log": Edited(f"{COOK}/log.jsonl", found("cooks/*/log.jsonl"), (("log", NAME), ("learn", "--without", "x"), *ASK)),
    "readings": Edited(
        f"{COOK}/readings/probe.csv", found("cooks/*/readings/probe*.csv"), (("readings", NAME), *ASK[:3])
    ),
    "import": Edited(
        f"{COOK}/readings/probe.json", found("cooks/*/readings/probe.json"), (("readings", NAME), ASK[0])
    ),
    "forecasts": Edited(f"{COOK}/results/forecasts.jsonl", found("cooks/*/results/forecasts.jsonl"), (("tally",), ASK[0])),
    "result": Edited(f"{COOK}/results/result.json", (OLD / "cooks" / "2024-06-15-ribs-two-ways" / "results" / "result.json",), (("rerun", NAME, "--numbers"),)),
    "printed": Edited(f"{COOK}/results/printed.json", (), (("sheet", NAME), ASK[0])),
    "calendar": Edited(f"{COOK}/results/calendar.json", (), (("sheet", NAME),)),
    "learned": Edited("learned.json", (), (ASK[0], ("learn", "--without", "x"), ("tally",))),
    "notebook": Edited(f"{COOK}/cook.ipynb", (SHIPPED.parent / "templates" / "notebooks" / "cook.ipynb",), (("rerun", NAME, "--numbers"),)),
    "draft": Edited(f"{COOK}/unwritten.txt", (), (("log", NAME),)),
}  # fmt: skip


@pytest.fixture(scope="module")
def book(tmp_path_factory) -> Path:
    """A day with everything in it; what a spoilt file replaces is put back after each look."""
    root = tmp_path_factory.mktemp("fuzz") / "book"
    writers._probe_file(root)
    for write in (writers._readings, writers._photo, writers._results):
        write(root, str)
    book = Cookbook.open(root)
    trials.new_trial(book, "two-glazes", writers.TRIAL)
    writers._tasting(root, str)
    for name in ("pits", "mixes", "cuts", "ingredients"):
        for path in sorted((OLD / name).glob("*.toml")):
            shutil.copy(path, root / name)
    cook = book.cook(NAME)
    cook.append([writers.line("on", 30)])
    for words in (
        ["sheet", NAME, "--print", str(root / "x.html")],
        ["forecast", NAME, "--keep"],
        ["learn"],
    ):
        assert main(["--cookbook", str(root), *words]) == 0
    assert main(["sheet", NAME, "--ics", str(root / "x.ics"), "--cookbook", str(root)]) == 0
    (root / COOK / "unwritten.txt").write_text("1310 wrapped foil\n")
    return root


@contextlib.contextmanager
def instead(path: Path, data: bytes) -> Iterator[None]:
    was = path.read_bytes() if path.exists() else None
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(data)
    try:
        yield
    finally:
        path.unlink(missing_ok=True)
        if was is not None:
            path.write_bytes(was)


def told(book: Path, words: tuple[str, ...]) -> None:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(["--cookbook", str(book), *words])
    assert status in (0, 1, 2), words
    assert "Traceback" not in out.getvalue() + err.getvalue(), words
    # What was refused is said.
    assert status == 0 or (out.getvalue() + err.getvalue()).strip(), words


def read(book: Path) -> None:
    """What the library itself reads: an answer, or one of our own errors."""
    with contextlib.suppress(StallwiseError):
        opened = Cookbook.open(book)
        for cook in opened.cooks():
            for one in (cook.load, cook.imports, cook.forecasts, cook.result, cook.state):
                with contextlib.suppress(StallwiseError):
                    one()
            with contextlib.suppress(StallwiseError):
                effective(cook.log().lines)
        for kind in ("mixes", "ingredients", "cuts"):
            with contextlib.suppress(StallwiseError):
                opened.overlay(kind)
        with contextlib.suppress(StallwiseError):
            trials.all_answers(opened)
            [trials.read_trial(opened, name) for name in trials.trial_names(opened)]


@pytest.mark.parametrize("name", EDITED)
@scaled(16, 160)
@given(data=st.data())
def test_a_file_that_was_spoilt_is_told_in_words(book, name, data):
    edited = EDITED[name]
    path = book / edited.path
    real = [one.read_text() for one in edited.texts] or [path.read_text()]
    spoilt = data.draw(spoilt_bytes(tuple(real)))
    command = data.draw(st.sampled_from(edited.commands))
    with instead(path, spoilt):
        read(book)
        told(book, ("check",))
        told(book, command)
