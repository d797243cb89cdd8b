"""Everything that writes into a cookbook, as a made-up day does it; each says what it was told is written."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from stallwise.record import trials
from stallwise.record.check import check
from stallwise.record.folder import Cookbook
from stallwise.record.frame import Answers
from stallwise.record.handouts import keep_handout
from stallwise.record.leftout import leave_out
from stallwise.record.log import LogLine
from stallwise.record.store import write_new
from stallwise.record.trial import Answer, KeyRow
from stallwise.record.unwritten import keep_unwritten, unwritten
from stallwise.surfaces.templates import copy_template

__all__ = ["WRITERS", "Writer", "start"]

Said = Callable[[str], None]
AT = dt.datetime(2027, 9, 25, 10, 0, tzinfo=dt.UTC)
PLAN = """\
schema = 1
title = "Ribs"
date = 2027-09-25
serve = "18:00"

[[pieces]]
letter = "A"
cut = "pork-spare-ribs-trimmed"
mass = "1.2 kg"
on = "12:00"
"""
OLD_PLAN = """\
# from before
schema = 0
title = "Old"
date = 2019-05-01
serving = "18:00"

[[pieces]]
letter = "A"
cut = "pork-spare-ribs-trimmed"
weight = "1.2 kg"
"""
COOK, OLD = "2027-09-25-ribs", "2019-05-01-old"
PROBE = "time,core A (C)\n2027-09-25 12:00,50\n2027-09-25 12:10,55\n2027-09-25 12:20,60\n"
#: The smallest picture: one dot.
DOT = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b55"
    "0000000a49444154789c6360000000020001488f2a1c0000000049454e44ae426082"
)
TRIAL = {
    "question": "Which?", "asks": "like", "factor": "glaze", "arms": ["plain", "sharp"],
    "method": "which-like", "tasters": 2, "racks": [{"cook": COOK, "piece": "A", "bones": 12}],
}  # fmt: skip
TYPED = ("1310 wrapped", "1310 wrapped\n1400 spritz")
KEY = [
    KeyRow(COOK, "T1", 1, 1, "471", "plain", "A", 3),
    KeyRow(COOK, "T1", 1, 2, "208", "sharp", "A", 4),
]


def line(name: str, minute: int = 0, **more) -> LogLine:
    """One line of a log."""
    at = AT + dt.timedelta(minutes=minute)
    return LogLine(id=name, at=at, what="spritz", made=at, **more)


def start(root: Path) -> Cookbook:
    """A book with one cook of two lines and a forecast kept."""
    book = Cookbook.start(root, "b", "metric", "Etc/UTC")
    cook = book.new_cook("Ribs", dt.date(2027, 9, 25), PLAN)
    (cook.path / "photos" / ".keep").touch()
    cook.append([line("one"), line("two", 1)])
    cook.keep_forecast({"id": "f1", "made_at": "2027-09-25T10:00:00Z"})
    return book


@dataclass(frozen=True)
class Writer:
    """One way of writing.

    Attributes
    ----------
    act : callable
        Writes, and says each thing once it was told that it is written.
    there : callable
        How often each of these things is in the book.
    before : callable
        What has to be there first.
    core : bool
        Swept in every run of the tests; the rest by the audit.
    repaired : bool
        The name of what was left is given again only after a repair.
    between : tuple of str
        What a file may hold meanwhile, that is written more than once.
    """

    act: Callable[[Path, Said], None]
    there: Callable[[Path], Counter[str]]
    before: Callable[[Path], object] = start
    core: bool = False
    repaired: bool = False
    between: tuple[str, ...] = ()


def _cook(root: Path):
    return Cookbook.open(root).cook(COOK)


def _held(root: Path) -> Counter[str]:
    """Ids as they stand in the file, not as a reader folds them."""
    found: Counter[str] = Counter()
    for name in ("log.jsonl", "results/forecasts.jsonl"):
        path = root / "cooks" / COOK / name
        for part in path.read_text("utf-8", "replace").split("\n") if path.exists() else ():
            if part.endswith("}"):
                found[part.split('"id": "')[1].split('"')[0]] += 1
    return found


def _files(*words: tuple[str, str, str]) -> Callable[[Path], Counter[str]]:
    """Said thing, the file it is in, and the words that it put there."""

    def there(root: Path) -> Counter[str]:
        found: Counter[str] = Counter()
        for said, name, text in words:
            path = root / name
            found[said] = path.read_bytes().count(text.encode()) if path.exists() else 0
        return found

    return there


def _log(root: Path, said: Said) -> None:
    cook = _cook(root)
    cook.append([line("three", 2, note="ü" * 9), line("four", 3)])
    said("three")
    said("four")
    cook.append([line("five", 4), line("three", 2)])
    said("five")


def _first_line(root: Path) -> None:
    start(root)
    (root / "cooks" / COOK / "log.jsonl").unlink()


def _torn(root: Path) -> None:
    start(root)
    with (root / "cooks" / COOK / "log.jsonl").open("a") as file:
        file.write('{"schema": 1, "id": "torn", "at": "2027-09')


def _forecast(root: Path, said: Said) -> None:
    _cook(root).keep_forecast({"id": "f2", "made_at": "2027-09-25T11:00:00Z"})
    said("f2")


def _no_results(root: Path) -> None:
    start(root)
    (root / "cooks" / COOK / "results" / "forecasts.jsonl").unlink()
    (root / "cooks" / COOK / "results").rmdir()


def _plan(root: Path, said: Said) -> None:
    cook = _cook(root)
    cook.save({"serve": "19:00"})
    said("serve")
    cook.save({"pieces.A.wrap": "foil"})
    said("wrap")


def _with_old(root: Path) -> None:
    old = start(root).path / "cooks" / OLD
    old.mkdir()
    (old / "cook.toml").write_text(OLD_PLAN)


def _old_plan(root: Path, said: Said) -> None:
    Cookbook.open(root).cook(OLD).save({"serve": "19:00"})
    said("serve")


def _settings(root: Path, said: Said) -> None:
    Cookbook.open(root).save({"usual_guests": 9})
    said("guests")


def _results(root: Path, said: Said) -> None:
    cook = _cook(root)
    cook.write_result({"cook": COOK})
    said("result")
    cook.home.write_learned({"pits": {}})
    said("learned")
    keep_handout(cook, "printed", {"a": 1})
    said("printed")


def _put(root: Path, said: Said) -> None:
    book = Cookbook.open(root)
    was = book.text("pits", "oven")
    book.put("pits", "oven", 'schema = 1\nname = "o"\nkind = "oven"\n', expected=was)
    said("pit")
    _cook(root).keep_mix("rub", 'schema = 1\nname = "Rub"\n')
    said("mix")


def _new_cook(root: Path, said: Said) -> None:
    book = Cookbook.open(root)
    # Tried again after it was cut short, it is there already or it is not.
    if not any(cook.name.endswith("birds") for cook in book.cooks()):
        book.new_cook("Birds", dt.date(2027, 9, 26), PLAN.replace("Ribs", "Birds"))
    said("birds")


def _cookbook(root: Path, said: Said) -> None:
    Cookbook.start(root, "b", "metric", "Etc/UTC")
    said("book")


def _probe_file(root: Path) -> None:
    start(root)
    (root.parent / "probe.csv").write_text(PROBE)
    (root.parent / "dot.png").write_bytes(DOT)


def _readings(root: Path, said: Said) -> None:
    _cook(root).add_readings(root.parent / "probe.csv", Answers("C"))
    said("readings")


def _with_readings(root: Path) -> None:
    _probe_file(root)
    _readings(root, str)


def _left_out(root: Path, said: Said) -> None:
    cook = _cook(root)
    begin = dt.datetime(2027, 9, 25, 12, 10, tzinfo=dt.UTC)
    leave_out(cook, "core A (C)", begin, begin)
    said("left out")


def _photo(root: Path, said: Said) -> None:
    _cook(root).add_photo(root.parent / "dot.png", "a dot")
    said("photo")
    said("named")


def _with_trial(root: Path) -> None:
    trials.new_trial(start(root), "two-glazes", TRIAL)


def _tasting(root: Path, said: Said) -> None:
    book = Cookbook.open(root)
    if trials.read_trial(book, "two-glazes").trial.locked is None:
        trials.lock_trial(book, "two-glazes", KEY, at=AT)
    said("key")
    said("locked")
    answer = Answer(0, COOK, "two-glazes", "T1", ("471",), "liking", "")
    if trials.read_trial(book, "two-glazes").trial.closed is None:
        trials.add_answers(book, COOK, [answer])
        said("answer")
        trials.close_trial(book, "two-glazes", at=AT)
    said("closed")


def _damaged(root: Path) -> None:
    """All that writes that were cut short can leave."""
    _with_readings(root)
    cook = root / "cooks" / COOK
    (cook / "readings" / "probe.csv").unlink()
    with (cook / "log.jsonl").open("a") as file:
        file.write('{"schema": 1, "id": "half\n')
        file.write('{"schema": 1, "id": "three", "at": "2027-09-25T11:00:00Z", "what": "spritz", ')
        file.write('"made": "2027-09-25T11:00:00Z"}\n{"schema"')
    for place in (root, root / "pits", cook, cook / "results"):
        (place / ".tmp-0123456789ab").write_text("ha")
    (root / "cooks" / ".tmp-ba9876543210").mkdir()
    (root / "cooks" / ".tmp-ba9876543210" / "cook.toml").write_text("ha")


def _repair(root: Path, said: Said) -> None:
    check(root, repair=True)
    for name in ("one", "two", "three"):
        said(name)


def _draft(root: Path, said: Said) -> None:
    cook = _cook(root)
    kept = next(iter(unwritten(cook)), None)
    for text, thing in ((TYPED[0], "typed"), (TYPED[1], ""), ("", "gone")):
        kept = keep_unwritten(cook, text, kept)
        if thing:
            said(thing)


def _drafts(root: Path) -> Counter[str]:
    """What was typed stands in one file, until it is taken away."""
    texts = [path.read_text() for path in (root / "cooks" / COOK).glob("unwritten*.txt")]
    typed = sum(text in TYPED for text in texts)
    return Counter({"typed": typed or 1, "gone": int(not texts)})


def _notebook(root: Path, said: Said) -> None:
    folder = _cook(root).path
    if not (folder / "cook.ipynb").exists():
        copy_template("cook", folder)
    said("notebook")


def _print(root: Path, said: Said) -> None:
    write_new(root / "sheet.html", "<p>new</p>")
    said("sheet")


WRITERS: dict[str, Writer] = {
    "log": Writer(_log, _held, core=True),
    "first line": Writer(_log, _held, _first_line, core=True),
    "log that is torn": Writer(_log, _held, _torn, core=True),
    "forecast": Writer(_forecast, _held),
    "first forecast": Writer(_forecast, _held, _no_results, core=True),
    "plan": Writer(
        _plan,
        _files(
            ("serve", f"cooks/{COOK}/cook.toml", '"19:00"'),
            ("wrap", f"cooks/{COOK}/cook.toml", 'wrap = "foil"'),
        ),
        core=True,
    ),
    "old plan": Writer(
        _old_plan, _files(("serve", f"cooks/{OLD}/cook.toml", '"19:00"')), _with_old
    ),
    "settings": Writer(_settings, _files(("guests", "cookbook.toml", "usual_guests = 9"))),
    "results": Writer(
        _results,
        _files(
            ("result", f"cooks/{COOK}/results/result.json", f'"cook": "{COOK}"'),
            ("learned", "learned.json", '"pits"'),
            ("printed", f"cooks/{COOK}/results/printed.json", '"given"'),
        ),
    ),
    "pit and mix": Writer(
        _put,
        _files(("pit", "pits/oven.toml", '"oven"'), ("mix", f"cooks/{COOK}/mixes/rub.toml", "Rub")),
    ),
    "new cook": Writer(
        _new_cook, _files(("birds", "cooks/2027-09-26-birds/cook.toml", "Birds")), core=True
    ),
    "cookbook": Writer(_cookbook, _files(("book", "cookbook.toml", 'title = "b"')), Path.mkdir),
    "readings": Writer(
        _readings,
        _files(("readings", f"cooks/{COOK}/readings/probe.csv", "2027-09-25T12:10:00Z")),
        _probe_file,
        core=True,
        repaired=True,
    ),
    "readings left out": Writer(
        _left_out,
        _files(("left out", f"cooks/{COOK}/readings/probe.csv", "left out by hand")),
        _with_readings,
    ),
    "photo": Writer(
        _photo,
        _files(
            ("photo", f"cooks/{COOK}/photos/dot.png", "IEND"),
            ("named", f"cooks/{COOK}/cook.toml", "dot.png"),
        ),
        _probe_file,
    ),
    "tasting": Writer(
        _tasting,
        _files(
            ("key", "trials/two-glazes.key.csv", "471"),
            ("locked", "trials/two-glazes.toml", "[locked]"),
            ("answer", f"cooks/{COOK}/tastings.csv", "471"),
            ("closed", "trials/two-glazes.toml", "[closed]"),
        ),
        _with_trial,
    ),
    "repair": Writer(_repair, _held, _damaged, core=True),
    "draft": Writer(_draft, _drafts, between=TYPED),
    "notebook": Writer(_notebook, _files(("notebook", f"cooks/{COOK}/cook.ipynb", 'nbformat"'))),
    "print": Writer(_print, _files(("sheet", "sheet.html", "new"))),
}
