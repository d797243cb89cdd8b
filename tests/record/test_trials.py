"""A trial on the disk: locked before it is answered, its key apart, nothing lost on the way."""

import datetime as dt
import tomllib

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record import disk, toml, trials
from stallwise.record.check import check
from stallwise.record.problems import RecordError
from stallwise.record.store import ChangedError
from stallwise.record.trial import PLANNED, Answer, KeyRow, Trial, plan_of

AT = dt.datetime(2026, 7, 18, 19, 0, tzinfo=dt.UTC)
VALUES = {
    "question": "Which glaze do we like?",
    "asks": "like",
    "factor": "glaze",
    "arms": ["stock", "sharp"],
    "method": "which-like",
    "tasters": 2,
}


@pytest.fixture
def book(v1):
    cook = v1.cooks()[0].name
    racks = [{"cook": cook, "piece": "A", "bones": 12}]
    trials.new_trial(v1, "two-glazes", {**VALUES, "racks": racks})
    return v1


def key(book, cook=None):
    cook = cook or book.cooks()[0].name
    return [
        KeyRow(cook, "T1", 1, 1, "471", "stock", "A", 3),
        KeyRow(cook, "T1", 1, 2, "208", "sharp", "A", 4),
    ]


def said(book, code="471", said=""):
    return Answer(0, book.cooks()[0].name, "two-glazes", "T1", (code,), "liking", said)


def test_a_trial_goes_its_way(book):
    cook = book.cooks()[0]
    assert trials.read_trial(book, "two-glazes").state == "planned"
    locked = trials.lock_trial(book, "two-glazes", key(book), at=AT)
    assert (locked.state, locked.changed, locked.key) == ("locked", {}, tuple(key(book)))
    assert trials.add_answers(book, cook.name, [said(book)]) == [said(book)]
    assert trials.add_answers(book, cook.name, [said(book)]) == []  # typed twice doubles nothing
    (record,) = cook.load().trials
    assert [(one.codes, one.line) for one in record.answers] == [(("471",), 2)]
    closed = trials.close_trial(book, "two-glazes", at=AT)
    assert closed.state == "closed"
    with pytest.raises(InputError, match="key may have been seen"):
        trials.add_answers(book, cook.name, [said(book, "208")])
    with pytest.raises(InputError, match="closed"):
        trials.lock_trial(book, "two-glazes", key(book), at=AT)


def test_what_is_changed_after_the_lock_is_shown(book):
    trials.lock_trial(book, "two-glazes", key(book), at=AT)
    changed = trials.save_trial(book, "two-glazes", {"arms": ["stock", "sharper"], "note": "oh"})
    assert changed.changed == {"arms": (["stock", "sharp"], ["stock", "sharper"])}
    assert changed.trial.locked.at == AT


def test_a_second_key_is_refused_and_one_without_a_lock_is_not(book, monkeypatch):
    def stopped(*_args, **_kwargs):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(trials, "save_trial", stopped)
        with pytest.raises(KeyboardInterrupt):
            trials.lock_trial(book, "two-glazes", key(book), at=AT)
    assert trials.read_trial(book, "two-glazes").state == "planned"
    trials.lock_trial(book, "two-glazes", key(book), at=AT)
    assert len(trials.read_trial(book, "two-glazes").key) == 2
    with pytest.raises(InputError, match="already"):
        trials.lock_trial(book, "two-glazes", key(book), at=AT)
    other = book.cooks()[-1].name + "-x"
    more = trials.lock_trial(book, "two-glazes", key(book, other), at=AT)
    assert len(more.key) == 4


def test_a_trial_is_written_once(book):
    with pytest.raises(ChangedError):
        trials.new_trial(book, "two-glazes", VALUES)
    with pytest.raises(NotFoundError, match="two-glazes"):
        trials.read_trial(book, "two-glaze")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"arms": ["stock", "stock "]}, "comes twice"),
        ({"expect": "shapr"}, "no arm of this trial"),
        ({"tasters": 0}, "1 or more"),
        ({"asks": "love"}, "'like', 'more' or 'tell'"),
        ({"question_": "x"}, "no key 'question_'"),
        ({"counts+": {"what": "bones bare", "arm": "x", "count": 1, "out_of": 12}}, "no arm"),
    ],
)  # fmt: skip
def test_a_wrong_value_is_told_and_not_written(book, changes, words):
    path = book.path / "trials" / "two-glazes.toml"
    before = path.read_bytes()
    with pytest.raises(RecordError, match=words):
        trials.save_trial(book, "two-glazes", changes)
    assert path.read_bytes() == before


def test_unknown_keys_and_comments_stay(book):
    path = book.path / "trials" / "two-glazes.toml"
    path.write_text(path.read_text() + "\n[grandmother]\nsaid = 'no' # so\n")
    trials.save_trial(book, "two-glazes", {"cleanser": "plain crackers"})
    assert "said = 'no' # so" in path.read_text()
    notes = [one.text for one in check(book.path).findings if "grandmother" in one.text]
    assert len(notes) == 1


def test_an_older_trial_is_read_and_saved_anew(book):
    path = book.path / "trials" / "two-glazes.toml"
    path.write_text(
        path.read_text().replace("schema = 1", "schema = 0").replace("arms", "treatments")
    )
    assert trials.read_trial(book, "two-glazes").trial.arms == ["stock", "sharp"]
    assert "treatments" in path.read_text()
    trials.save_trial(book, "two-glazes", {"note": "x"})
    data = tomllib.loads(path.read_text())
    assert (data["schema"], data["arms"]) == (1, ["stock", "sharp"])


def test_a_broken_trial_does_not_keep_a_cook_from_opening(book):
    path = book.path / "trials" / "two-glazes.toml"
    path.write_text("schema = 1\narms = [\n")
    record = book.cooks()[0].load()
    assert record.trials == ()
    assert any("two-glazes cannot be read" in one.text for one in record.warnings)
    assert check(book.path).wrong


@pytest.mark.parametrize(
    ("text", "words"),
    [("taster,codes\n", "no column cook"), ("cook,taster,set,place,code,arm,piece,bone\nx,T1,one,1,471,a,A,3\n", r"line 2, set: 'one'")],
)  # fmt: skip
def test_a_spoilt_key_is_told_with_its_line(book, text, words):
    (book.path / "trials" / "two-glazes.key.csv").write_text(text)
    with pytest.raises(RecordError, match=words):
        trials.read_trial(book, "two-glazes")


def test_rows_typed_by_hand_are_read(book):
    cook = book.cooks()[0]
    (cook.path / "tastings.csv").write_text(
        "taster,trial,mood,codes,asked,said\nT1,two-glazes,fine,471 208,liking,neither\n"
        "T2,two-glazes,,stock,liking,\nT9,other,,1,,\n"
    )
    answers = trials.read_trial(book, "two-glazes").answers
    assert [(one.taster, one.codes, one.said) for one in answers] == [
        ("T1", ("471", "208"), "neither"),
        ("T2", ("stock",), ""),
    ]
    trials.add_answers(book, cook.name, [said(book)])
    assert "fine" in (cook.path / "tastings.csv").read_text()
    assert trials.read_trial(book, "two-glazes").answers[-1].codes == ("471",)


def test_answers_are_whole_or_not_there(book, monkeypatch):
    cook = book.cooks()[0].name
    trials.add_answers(book, cook, [said(book)])
    path = book.cook(cook).path / "tastings.csv"
    before = path.read_bytes()

    def full(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(disk, "replace", full)
    with pytest.raises(Exception, match="disk is full"):
        trials.add_answers(book, cook, [said(book, "208")])
    assert path.read_bytes() == before


def test_the_lock_is_the_plan_alone():
    text = 'schema = 1\nquestion = "?"\nasks = "tell"\nfactor = "wood"\narms = ["a", "b"]\nmethod = "two-pairs"\ntasters = 3\n'
    trial = toml.parse(text, Trial, file="x")
    assert set(plan_of(trial)) <= set(PLANNED)


def test_check_looks_a_trial_s_cooks_up(book):
    trials.save_trial(book, "two-glazes", {"cooks": ["2020-01-01-nowhere"]})
    assert any("no cook '2020-01-01-nowhere'" in one.text for one in check(book.path).findings)
