"""Importing a probe's file: understood or asked, never guessed; twice adds nothing."""

import datetime as dt
import json
import re

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record.folder import Cookbook
from stallwise.record.frame import Answers, Frame
from stallwise.record.intake import understand
from stallwise.record.problems import RecordError
from stallwise.record.readings import as_csv, from_csv
from stallwise.record.readingsreport import describe

ZERO = dt.datetime(2027, 9, 25, 6, tzinfo=dt.UTC)
FRAME = Frame("Etc/UTC", ZERO.date(), ZERO, ("A",), ("P",))
TWO = Frame("Etc/UTC", ZERO.date(), ZERO, ("A", "B"), ("P", "Q"))
CLEAN = """\
time,grate (F),core_F,battery %,event
2027-09-25 06:00,225,50,99,on
2027-09-25 06:10,226,55,98,
2027-09-25 06:20,227,60,97,
"""


def _read(text, frame=FRAME, **options):
    return understand(text, frame, Answers(**options), file="probe.csv")


def _channel(text, frame=FRAME, **options):
    report = _read(text, frame, **options)
    assert report.questions == ()
    return report.channels[0]


def test_a_clean_file_is_understood_whole():
    report = _read(CLEAN)
    assert report.questions == ()
    grate, core = report.channels
    assert (grate.piece, grate.pit, grate.place, grate.unit) == ("", "P", "grate", "F")
    assert (core.piece, core.pit, core.place) == ("A", "", "core")
    assert core.temperature_c == pytest.approx((10.0, 12.777_78, 15.555_56), abs=1e-5)
    assert core.at[1] == ZERO + dt.timedelta(minutes=10)
    assert len(report.notes) == 2  # the battery and the events are not temperatures


def test_the_answer_for_json_holds_what_the_command_promises():
    plain = _read(CLEAN).plain()
    assert set(plain) >= {"channels", "zone", "questions"}
    assert set(plain["channels"][0]) >= {
        "name",
        "unit",
        "count",
        "first",
        "last",
        "gaps",
        "dropped",
    }
    assert plain["channels"][0]["first"] == "2027-09-25T06:00:00+00:00"
    assert json.dumps(plain)


def test_a_file_without_times_names_its_columns():
    with pytest.raises(InputError, match=r"no column of times among 'pit', 'meat'.*--column"):
        _read("pit,meat\n225,50\n226,51\n")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("time,note\n06:00,on\n", "no column of temperatures"),
        ("time,pit (F)\nnoon,225\nlater,226\n", "times in column 'time' cannot be read: 'noon'"),
        ("time\n", "header line and rows"),
        ("", "header line and rows"),
    ],
)
def test_a_file_that_cannot_be_readings_is_refused(text, words):
    with pytest.raises(InputError, match=words):
        _read(text)


@pytest.mark.parametrize(
    ("text", "frame", "options", "words"),
    [
        ("time,pit\n06:00,225\n06:05,226\n", FRAME, {}, r"'pit' \(225\) in C or F"),
        ("time,probe 1 (F)\n06:00,225\n", FRAME, {}, "What does 'probe 1 .F.' measure"),
        ("time,core (F)\n06:00,50\n", TWO, {}, "What does 'core .F.' measure.*A, B, P, Q"),
        ("time,pit (F)\n06:00,50\n", TWO, {}, "What does 'pit .F.' measure"),
        ("elapsed,core (F)\n5,50\n", FRAME, {}, "minutes or hours"),
        (
            "minutes,core (F)\n5,50\n",
            Frame("Etc/UTC", ZERO.date(), None, ("A",)),
            {},
            "When was minutes 0",
        ),
        (
            "time,core (F)\n12/06/2027 06:00,50\n12/06/2027 06:05,51\n",
            FRAME,
            {},
            "day/month/year.*--day-first",
        ),
        ("time,core (F)\n11:00,50\n2:25,51\n", FRAME, {}, "morning or afternoon"),
        ("time;core (F)\n06:00;115,5\n06:05;1.155\n", FRAME, {}, "'1.155'"),
    ],
)
def test_what_is_not_clear_is_asked(text, frame, options, words):
    (question,) = _read(text, frame, **options).questions
    assert re.search(words, question)


def test_the_cook_s_word_wins_over_the_header():
    channel = _channel("t,Probe1\n06:00,225\n", unit="F", columns={"t": "time", "probe1": "grate"})
    assert (channel.pit, channel.place, channel.unit) == ("P", "grate", "F")
    assert _channel(CLEAN, columns={"grate": "skip"}).name == "core_F"
    with pytest.raises(NotFoundError, match="Nearest: core_F"):
        _read(CLEAN, columns={"cor_F": "A"})
    with pytest.raises(NotFoundError, match="no piece or pit is called 'Z'"):
        _read(CLEAN, columns={"core": "Z"})


@pytest.mark.parametrize(
    ("header", "first", "second", "minutes"),
    [
        ("time", "2027-09-25T06:00:00+02:00", "2027-09-25T06:10:00+02:00", -120),
        ("time (UTC)", "2027-09-25 06:00", "2027-09-25 06:10", 0),
        ("timestamp", "2027-09-25T06:00:00.5Z", "2027-09-25T06:10:00.5Z", 0.5 / 60),
        ("clock", "9:45 PM", "10:00 PM", -495),
        ("time", "23:50", "00:05", -370),
        ("minutes", "0", "12,5", 0),
        ("elapsed_h", "0:00", "0.25", 0),
        ("time_s", "90", "100", 1.5),
        ("date", "25/09/2027 06:00", "25/09/2027 06:10", 0),
        ("time", "2027/9/25 6:00", "2027/9/25 6:10", 0),
    ],
)
def test_every_form_of_time(header, first, second, minutes):
    channel = _channel(f"{header};core_C\n{first};50\n{second};51\n")
    assert channel.at[0] == ZERO + dt.timedelta(minutes=minutes)
    assert channel.at[1] > channel.at[0]


def test_date_and_time_in_two_columns_are_one():
    channel = _channel("Date,Time,core (C)\n2027-09-25,0:41:36,27.25\n")
    assert channel.at == (dt.datetime(2027, 9, 25, 0, 41, 36, tzinfo=dt.UTC),)


def test_newest_first_is_turned_round():
    channel = _channel("time,core_C\n2027-09-25 06:10,51\n2027-09-25 06:00,50\n")
    assert channel.temperature_c == (50.0, 51.0)


@pytest.mark.parametrize(
    ("times", "hours", "note"),
    [
        # Five rows in the night the clock goes back, none of them twice: taken as before it.
        (["00:55", "01:05", "01:20", "01:50", "02:10"], 2.25, "taken as the first time"),
        (["00:55", "01:10", "01:50", "01:10", "01:50", "02:10"], 2.25, "told apart by order"),
        (["02:10", "01:50", "01:10", "01:50", "01:10", "00:55"], 2.25, "told apart by order"),
    ],
)
def test_the_night_the_clock_goes_back(times, hours, note):
    rows = "".join(f"2023-11-05 {time},50\n" for time in times)
    report = _read(f"time,core_C\n{rows}", Frame("EST5EDT", dt.date(2023, 11, 5), None, ("A",)))
    at = report.channels[0].at
    assert list(at) == sorted(at)
    assert (at[-1] - at[0]).total_seconds() / 3600 == pytest.approx(hours)
    assert any(note in said for said in report.notes)


def test_midnight_is_that_midnight():
    frame = Frame("Etc/GMT-13", dt.date(2021, 9, 1), None, ("A",))
    channel = _channel("time,core_C\n2021-09-01 00:10,50\n", frame)
    assert channel.at[0] == dt.datetime(2021, 8, 31, 11, 10, tzinfo=dt.UTC)


def test_what_cannot_be_is_left_out_with_its_reason():
    values = ["63.1", "85.0", "63.2", "-127", "n/a", "wet", "63.4", "-0.06", "63.9"]
    rows = "".join(f"06:{row:02d},{value}\n" for row, value in enumerate(values))
    channel = _channel(f"time,core_C\n{rows}")
    assert channel.temperature_c == (63.1, 63.2, 63.4, 63.9)
    assert [one.value for one in channel.dropped] == ["85.0", "-127", "wet", "-0.06"]
    assert [one.reason.split()[0] for one in channel.dropped] == ["a", "no", "not", "a"]


def test_a_true_85_and_a_freezer_start_are_kept():
    assert len(_channel("time,core_C\n06:00,84.6\n06:01,84.8\n06:02,85.0\n06:03,85.1\n").at) == 4
    assert len(_channel("time,core_C\n06:00,-0.06\n06:01,0.1\n").at) == 2


def test_a_gap_is_counted_in_minutes_and_never_filled():
    channel = _channel("time,core (F)\n23:28,128\n05:25,150\n05:40,151\n")
    ((start, end),) = channel.gaps
    assert (end - start) == dt.timedelta(hours=5, minutes=57)
    assert len(channel.at) == 3
    assert "nothing for 357 min from 23:28" in describe(
        _read("time,core (F)\n23:28,128\n05:25,150\n")
    )


def test_a_kept_file_reads_back():
    report = _read(CLEAN.replace("226,55", "-400,wet"))
    (grate, core) = from_csv(as_csv(report.channels), file="x.csv")
    assert grate.temperature_c[1] is None
    assert grate.gaps == ()
    assert core.at == (ZERO, ZERO + dt.timedelta(minutes=10), ZERO + dt.timedelta(minutes=20))
    assert core.temperature_c == (10.0, None, 15.556)


@pytest.mark.parametrize(
    "row",
    [
        "2027-09-25T06:00:00,A,,,x,5,",
        "2027-09-25T06:00:00Z,A,,,x,hot,",
        "a,b",
        "2027-09-25T06:00:00Z,A,,,x,nan,",
    ],
)
def test_a_kept_file_that_was_spoilt_is_told_with_its_line(row):
    with pytest.raises(RecordError, match=r"readings/x\.csv, line 2"):
        from_csv(f"time,piece,pit,place,channel,celsius,dropped\n{row}\n", file="readings/x.csv")


@pytest.fixture
def ribs(tmp_path):
    book = Cookbook.start(tmp_path / "book", "x")
    text = 'schema = 1\ntitle = "r"\ndate = 2027-09-25\n[[pieces]]\nletter = "A"\ncut = "c"\non = "06:00"\n'
    return book.new_cook("r", ZERO.date(), text)


@pytest.fixture
def probe(tmp_path):
    path = tmp_path / "Probe: 1.CSV"
    path.write_text(CLEAN)
    return path


def test_an_import_keeps_the_raw_file_and_says_how_it_was_read(ribs, probe):
    report = ribs.add_readings(probe)
    assert report.written == ("probe-1.raw.csv", "probe-1.json", "probe-1.csv")
    assert (ribs.path / "readings" / "probe-1.raw.csv").read_bytes() == probe.read_bytes()
    told = json.loads((ribs.path / "readings" / "probe-1.json").read_text())
    assert (
        told["channels"][0] | {"name": "grate (F)", "unit": "F", "converted_to": "celsius"}
        == told["channels"][0]
    )
    readings = ribs.load().readings
    assert [(one.piece, one.pit, len(one.at)) for one in readings] == [("", "P", 3), ("A", "", 3)]


def test_the_same_file_twice_adds_nothing_and_a_longer_one_only_its_end(ribs, probe):
    ribs.add_readings(probe)
    before = {path: path.read_bytes() for path in (ribs.path / "readings").iterdir()}
    again = ribs.add_readings(probe)
    assert again.written == ()
    assert again.already == "probe-1"
    assert {path: path.read_bytes() for path in (ribs.path / "readings").iterdir()} == before
    probe.write_text(f"{CLEAN}2027-09-25 06:30,228,65,96,\n")
    assert ribs.add_readings(probe).written[2] == "probe-1-2.csv"
    assert [len(one.at) for one in ribs.readings()] == [1, 1, 3, 3]
    assert ribs.add_readings(probe).already == "probe-1-2"


def test_the_same_file_read_in_another_way_is_refused(ribs, probe):
    ribs.add_readings(probe)
    with pytest.raises(InputError, match="read in another way"):
        ribs.add_readings(probe, Answers(columns={"core_F": "skip"}))


def test_a_dry_run_and_an_open_question_write_nothing(ribs, probe):
    assert ribs.add_readings(probe, dry_run=True).written == ()
    probe.write_text("time,pit\n06:00,225\n06:05,226\n")
    assert ribs.add_readings(probe).questions
    assert list((ribs.path / "readings").iterdir()) == []


def test_a_raw_file_put_there_by_hand_is_told(ribs):
    (ribs.path / "readings" / "x.csv").write_text(CLEAN)
    with pytest.raises(RecordError, match=r"readings/x\.csv, line 1.*Import the file"):
        ribs.load()


def test_files_of_older_probes_are_text_all_the_same(ribs, probe):
    for number, code in enumerate(("latin-1", "utf-16", "utf-8-sig")):
        text = f"time,pit (°F)\n06:0{number},225\n"
        probe.write_bytes(text.encode(code))
        assert ribs.add_readings(probe).channels[0].unit == "F"


def test_a_cook_can_be_loaded_without_its_readings(v1):
    folder = v1.cook("shoulder-for-the-fair")
    assert folder.load().readings
    assert folder.load(readings=False).readings == ()
