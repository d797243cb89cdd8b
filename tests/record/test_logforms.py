"""Logs of every form: one file is read whole, in one way, or something is asked."""

import datetime as dt
import re
from itertools import pairwise

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.record.frame import Answers, Frame
from stallwise.record.intake import understand
from stallwise.record.logtext import text_of

ZERO = dt.datetime(2027, 9, 25, 6, tzinfo=dt.UTC)
FRAME = Frame("Etc/UTC", ZERO.date(), ZERO, ("A",), ("P",))


def read(text, frame=FRAME, **answers):
    return understand(text, frame, Answers(**answers), file="probe.csv")


def clear(text, frame=FRAME, **answers):
    report = read(text, frame, **answers)
    assert report.questions == ()
    return report


def minutes(channel):
    return [(when - ZERO).total_seconds() / 60 for when in channel.at]


ROWS = [("06:00", "225.5", "40.5"), ("06:05", "226.5", "41.5"), ("06:10", "227.5", "42.5")]


@pytest.mark.parametrize("mark", [",", ";", "\t", "|", " "])
@pytest.mark.parametrize("header", [["time", "pit_F", "core_F"], ["Zeit", "pit_F", "core_F"]])
def test_marks_between_columns(mark, header):
    text = "\n".join(mark.join(row) for row in [header, *ROWS])
    pit, core = clear(text).channels
    assert minutes(pit) == [0, 5, 10]
    assert core.temperature_c[0] == pytest.approx((40.5 - 32) / 1.8)


@pytest.mark.parametrize("mark", [";", "\t", "|"])
def test_a_decimal_comma(mark):
    text = "\n".join(
        mark.join(cell.replace(".", ",") for cell in row)
        for row in [["time", "pit_C", "core_C"], *ROWS]
    )
    assert clear(text).channels[1].temperature_c == (40.5, 41.5, 42.5)


def test_a_decimal_comma_between_commas_is_refused_whole():
    with pytest.raises(InputError, match=r"3 rows have more cells.*semicolons"):
        read("time,pit_C,core_C\n06:00,115,5,12,0\n06:05,116,5,12,3\n06:10,117,5,12,6\n")
    quoted = clear('time,core_C\n06:00,"12,5"\n06:05,"12,75"\n').channels[0]
    assert quoted.temperature_c == (12.5, 12.75)


def test_a_point_that_may_stand_for_thousands_is_asked():
    (ask, *_) = read("time;pit_C;core_C\n21:00;115,5;12,0\n21:05;1.155;12,3").questions
    assert "'1.155'" in ask
    (ask, *_) = read('time,pit_F\n21:00,225\n21:05,"1,225"\n21:10,226').questions
    assert "'1,225'" in ask
    assert (
        clear("time;core_C\n21:00;12,125\n21:05;12,5\n21:10;13").channels[0].temperature_c[0]
        == 12.125
    )


@pytest.mark.parametrize(
    ("code", "mark"),
    [
        ("utf-8", b""),
        ("utf-8-sig", b""),
        ("utf-16", b""),
        ("utf-16-le", b""),
        ("utf-16-be", b""),
        ("latin-1", b""),
        ("utf-8", b"\0" * 40),
    ],
)
def test_letters_of_any_kind(code, mark):
    text = "time,grate (°F)\n06:00,225\n06:05,226\n"
    assert clear(text_of(text.encode(code) + mark, "x.csv")).channels[0].unit == "F"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"PK\x03\x04" + b"x" * 50, "spreadsheet.*as CSV"),
        (b"\x89PNG\r\n" + b"x" * 50, "picture"),
        (b"%PDF-1.7 ...", "PDF"),
        (bytes(range(1, 32)) * 30, "not text"),
        (b"<html><body>not found</body></html>\n<p>nothing</p>\n", "no column of times|no rows"),
        (b'{"readings": [1, 2]}\n{"more": 3}\n', "this is JSON"),
        (b"Dear cook,\nall went well.\nGreetings\n", "no column|no rows"),
    ],
)
def test_what_is_no_log_is_refused(data, words):
    with pytest.raises(InputError, match=words):
        read(text_of(data, "x.csv"))


def test_headers_again_lines_above_units_below_and_a_torn_end():
    text = (
        "Smoke diary\nmade by hand\n\ntime,grate,core\n,°F,°F\n06:00,225,40\n"
        "time,grate,core\n06:05,226,41\n06:10,227"
    )
    report = clear(text)
    assert [len(channel.at) for channel in report.channels] == [2, 2]
    notes = " ".join(report.notes)
    assert "2 lines above" in notes
    assert "stands in the file 2 times" in notes or "header" in notes
    assert "cut short" in notes


def test_lines_above_the_header_may_hold_values():
    text = "Device;3\nStart;2027-09-25 06:00\n\ntime;pit_F;core_F\n06:00;225;40\n06:05;226;41\n"
    assert [channel.name for channel in clear(text).channels] == ["pit_F", "core_F"]


def test_columns_that_change_half_way_are_refused():
    text = "time,pit_F,core_F\n06:00,225,40\ntime,core_F,pit_F\n06:05,41,226\n"
    with pytest.raises(InputError, match="half way down there is another header"):
        read(text)


def test_a_lone_inch_mark_swallows_no_rows():
    text = 'time,core_F,note\n06:00,40,"2 in thick\n06:05,41,\n06:10,42,turned\n'
    assert len(clear(text).channels[0].at) == 3


def test_a_remark_with_commas_is_a_remark():
    text = "time,core_F,note\n06:00,40,on, fat side up\n06:05,41,\n"
    assert len(clear(text).channels[0].at) == 2


def test_a_file_without_a_header_is_asked_about_its_columns():
    text = "2027-09-25 06:00,225,50\n2027-09-25 06:05,226,51\n"
    asked = " ".join(read(text).questions)
    assert "'column 2'" in asked
    assert "'column 3'" in asked
    said = {"column 2": "pit", "column 3": "A"}
    assert [c.pit or c.piece for c in clear(text, unit="F", columns=said).channels] == ["P", "A"]


def test_short_lines():
    text = (
        "13:05 pit 250 meat 145\n13:20 pit 252, meat 147 spritzed 2 times\n"
        "1:35 pm pit: 249 meat at 149.5\nran for wood\n13:50 meat 151 pit 251\n"
    )
    report = clear(text, unit="F")
    pit, meat = report.channels
    assert (pit.name, meat.name, pit.pit, meat.piece) == ("pit", "meat", "P", "A")
    assert minutes(meat) == [425, 440, 455, 470]
    assert meat.temperature_c[-1] == pytest.approx((151 - 32) / 1.8)
    assert any("'spritzed'" in note for note in report.notes)
    assert any("1 of 5 lines" in note for note in report.notes)
    unit = clear("1305 pit 250F meat 145F\n1320 pit 252F meat 147F\n")
    assert [channel.unit for channel in unit.channels] == ["F", "F"]


def test_rows_of_one_reading_each():
    text = (
        "timestamp;probe;value;unit\n"
        "2027-09-25T06:00:00Z;grate;107,5;C\n2027-09-25T06:00:00Z;core;4,0;C\n"
        "2027-09-25T06:05:00Z;core;4,5;C\n2027-09-25T06:06:00Z;grate;108,5;C\n"
    )
    grate, core = clear(text).channels
    assert (minutes(grate), minutes(core)) == ([0, 6], [0, 5])
    assert core.temperature_c == (4.0, 4.5)
    numbered = read("time,channel,temp (F)\n06:00,1,225\n06:00,2,40\n06:05,1,226\n")
    assert [channel.name for channel in numbered.channels] == ["channel 1 (F)", "channel 2 (F)"]


def test_rows_that_fill_one_column_each():
    text = "time,pit_F,core_F\n06:00,225,\n06:00,,40\n06:05,226,\n06:05,,41\n"
    assert [len(channel.at) for channel in clear(text).channels] == [2, 2]


@pytest.mark.parametrize(
    "text",
    [
        "time,Temp (C),Temp (F)\n06:00,27.25,81.05\n06:05,29.5,85.10\n06:10,29.0,84.20\n",
        "time,c,f\n06:00,60,140\n06:05,70,158\n06:10,80,176\n",
    ],
)
def test_one_probe_in_two_units_is_one(text):
    (channel,) = clear(text, columns={text.split(",")[1]: "A"}).channels
    assert channel.unit == "C"


def test_two_probes_of_one_name_that_disagree_are_asked():
    asked = read("time,core (C),core (F)\n06:00,60,150\n06:05,61,152\n").questions
    assert any("do not agree" in ask for ask in asked)


@pytest.mark.parametrize(
    ("cells", "guess"),
    [("225,40 240,60 250,203", "F"), ("107,4 115,20 120,92", "C"), ("70,60 71,61 72,62", None)],
)
def test_a_unit_is_guessed_from_all_probes_and_asked(cells, guess):
    rows = "".join(f"06:0{n},{row}\n" for n, row in enumerate(cells.split()))
    report = read(f"time,pit,core\n{rows}")
    (ask,) = report.questions
    assert "in C or F" in ask
    assert (f"--unit {guess} if so" in ask) == (guess is not None)
    assert {channel.guess for channel in report.channels} == {guess}
    assert {channel.unit for channel in report.channels} == {None}
    assert clear(f"time,pit,core\n{rows}", unit="F").channels[0].unit == "F"


def test_a_unit_that_contradicts_the_pit_s_setting_is_asked():
    frame = Frame("Etc/UTC", ZERO.date(), ZERO, ("A",), ("P",), {"P": (121.0, 135.0)})
    text = "time,pit (F)\n06:00,118\n06:05,121\n06:10,124\n"
    (ask,) = read(text, frame).questions
    assert re.search(r"set to 121 °C \(250 °F\).*--column 'pit \(F\)=P C'", ask)
    assert clear(text, frame, columns={"pit": "P C"}).channels[0].temperature_c[0] == 118.0
    assert clear(text, frame, columns={"pit": "P F"}).channels[0].unit == "F"
    (open_ask,) = read(text.replace(" (F)", ""), frame).questions
    assert "--unit C if so" in open_ask


def test_meat_as_hot_as_no_meat_gets_is_asked():
    (ask,) = read("time,core (C)\n06:00,150\n06:05,160\n06:10,203\n").questions
    assert "--column 'core (C)=A F'" in ask


def test_a_header_and_the_cook_that_disagree_are_asked():
    (ask,) = read("time,core (F)\n06:00,50\n06:05,51\n", unit="C").questions
    assert "by --unit" in ask


# --- times ----------------------------------------------------------------------------


def test_day_or_month_first_is_one_for_the_file():
    frame = Frame("Etc/UTC", dt.date(2018, 6, 12), None, ("A",))
    text = "time,core_F\n12/06/2018 23:50,125\n13/06/2018 00:05,126"
    at = clear(text, frame).channels[0].at
    assert at[1] - at[0] == dt.timedelta(minutes=15)
    far = Frame("Etc/UTC", dt.date(2018, 9, 1), None, ("A",))
    both = "time,core_F\n05/06/2018 23:50,125\n06/06/2018 00:05,126"
    asked = read(both, far).questions
    assert any("--day-first or --month-first" in ask for ask in asked)
    (core,) = read(both, far, day_first=False).channels
    assert core.at[1] - core.at[0] > dt.timedelta(days=30)
    with pytest.raises(InputError, match="leave the option out"):
        read(text, frame, day_first=False)
    mixed = "time,core_F\n13/06/2018 23:50,125\n06/14/2018 00:05,126"
    assert any("two logs" in ask for ask in read(mixed, frame).questions)


@pytest.mark.parametrize("day", ["25.09.2027", "2027/9/25", "25 Sep 2027", "Sep 25, 2027"])
def test_a_day_beside_its_clock_whatever_they_are_called(day):
    text = f"Datum;Uhrzeit;core_C\n{day};06:00;50\n{day};06:05:30;51\n"
    assert minutes(clear(text).channels[0]) == [0, 5.5]


def test_am_and_pm_after_a_date():
    frame = Frame("Etc/UTC", dt.date(2019, 11, 1), None, ("A",))
    text = "Date,Meat (F)\n11/01/2019 11:55:00 PM,150\n11/02/2019 12:05:00 AM,151"
    first, second = clear(text, frame).channels[0].at
    assert second - first == dt.timedelta(minutes=10)
    assert (second.hour, second.minute) == (0, 5)


@pytest.mark.parametrize(
    ("cell", "hour"),
    [
        ("25 Sep 2027 7:05", 7),
        ("Sep 25, 2027 7:05 PM", 19),
        ("25-Sep-27, 07:05:00", 7),
        ("1821855900", 7),
        ("1821855900000", 7),
        ("2027.09.25 7:05:00,5", 7),
        ("2027/9/25 7:5:0", 7),
        ("25.09.2027 07:05", 7),
    ],
)
def test_other_ways_to_write_a_moment(cell, hour):
    at = clear(f"time;core_C\n{cell};50\n").channels[0].at
    assert (at[0].date(), at[0].hour, at[0].minute) == (ZERO.date(), hour, 5)


def test_a_clock_of_twelve_hours_marked_only_where_it_turns():
    times = ["9:45 PM", "10:00", "11:28", "5:25 AM", "8:00", "12:22", "2:15"]
    rows = "".join(f"{time},150\n" for time in times)
    report = clear(f"time,core_F\n{rows}", Frame("Etc/UTC", ZERO.date(), None, ("A",)))
    at = report.channels[0].at
    assert [(when - at[0]).total_seconds() / 60 for when in at] == [0, 15, 103, 460, 615, 877, 990]
    assert any("without am or pm" in note for note in report.notes)


def test_a_clock_of_twelve_hours_without_am_or_pm_is_asked():
    text = "time,core_F\n11:00,150\n12:30,160\n2:15,170\n"
    (ask,) = read(text).questions
    assert "--clock 12" in ask
    assert minutes(clear(text, hours=12).channels[0]) == [300, 390, 495]
    assert minutes(clear(text, hours=24).channels[0]) == [300, 390, 20 * 60 + 15]
    (morning,) = read(text, Frame("Etc/UTC", ZERO.date(), None, ("A",)), hours=12).questions
    assert "morning or evening" in morning
    night = clear(text, hours=12, start=ZERO.replace(hour=23))
    assert minutes(night.channels[0])[0] == 17 * 60
    evening = Frame("Etc/UTC", ZERO.date(), ZERO.replace(hour=21, minute=30), ("A",))
    (half,) = read("time,core_F\n9:45,40\n10:00,41\n", evening).questions
    assert "09:45 or 21:45" in half


def test_several_rows_a_minute_stay_in_their_order():
    rows = "".join(f"06:0{n // 3},{40 + n}\n" for n in range(9))
    assert list(clear(f"time,core_C\n{rows}").channels[0].temperature_c) == list(range(40, 49))
    newest = "time,core_C\n" + "".join(f"06:0{n // 3},{40 + n}\n" for n in range(8, -1, -1))
    assert list(clear(newest).channels[0].temperature_c) == list(range(40, 49))


NIGHT = Frame("EST5EDT", dt.date(2020, 10, 31), None, ("A",))


def test_newest_first_over_the_night_the_clock_goes_back():
    hour = ["01:45", "01:30", "01:15", "01:00"]
    times = ["02:00", *hour, *hour, "00:45"]
    dated = "".join(f"2020-11-01 {time},50\n" for time in times)
    at = clear(f"time,core_C\n{dated}", NIGHT).channels[0].at
    assert [(b - a).total_seconds() / 60 for a, b in pairwise(at)] == [15] * 9
    # The same without dates.
    bare = "".join(f"{time},50\n" for time in ["23:30", *reversed(times)])
    at = clear(f"time,core_C\n{bare}", NIGHT).channels[0].at
    assert [(b - a).total_seconds() / 60 for a, b in pairwise(at)] == [75] + [15] * 9


def test_the_night_the_clock_goes_forward():
    frame = Frame("EST5EDT", dt.date(2021, 3, 14), None, ("A",))
    changed = "time,core_C\n2021-03-14 01:50,50\n2021-03-14 03:10,51\n"
    at = clear(changed, frame).channels[0].at
    assert at[1] - at[0] == dt.timedelta(minutes=20)
    kept = "time,core_C\n2021-03-14 01:50,50\n2021-03-14 02:30,51\n2021-03-14 03:10,52\n"
    (ask,) = read(kept, frame).questions
    assert "--zone Etc/GMT+5" in ask
    fixed = Frame("Etc/GMT+5", frame.day, None, ("A",), home="EST5EDT")
    at = clear(kept, fixed).channels[0].at
    assert at[2] - at[0] == dt.timedelta(minutes=80)


def test_utc_stamps_are_shown_on_the_cook_s_clock():
    frame = Frame("Etc/GMT-2", ZERO.date(), None, ("A",))
    report = clear("Time (UTC),core_C\n2027-09-25 06:00,50\n", frame)
    plain = report.plain()
    assert report.channels[0].at[0] == ZERO
    assert (plain["zone"], plain["channels"][0]["first"]) == (
        "Etc/UTC",
        "2027-09-25T08:00:00+02:00",
    )


def test_elapsed_time():
    assert minutes(
        clear("ElapsedTime,core_C\n0,4\n1.5,5\n", columns={"ElapsedTime": "minutes"}).channels[0]
    ) == [0, 1.5]
    late = clear("minutes,core_C\n0,4\n2,5\n", start=ZERO.replace(hour=7))
    assert minutes(late.channels[0]) == [60, 62]
    assert "minutes or hours" in read("Time,core_C\n0,4\n13,5\n22,6\n").questions[0]


def test_two_cooks_in_one_file_are_taken_one_by_one():
    text = "minutes,core_F,Year\n0,55,2015\n50,129,2015\n104,160,2015\n0,49,2016\n59,95,2016\n"
    (ask,) = read(text).questions
    assert "--rows" in ask
    assert minutes(clear(text, rows={"Year": "2016"}).channels[0]) == [0, 59]
    with pytest.raises(NotFoundError, match="2014"):
        read(text, rows={"Year": "2014"})


def test_a_file_without_times():
    text = "Temperature 93, cycle 1\nTemperature 94, cycle 2\nTemperature 95, cycle 3\n"
    with pytest.raises(InputError, match="--every"):
        read(text)
    report = clear(text, every_s=30.0, unit="C", columns={"Temperature": "pit"})
    assert minutes(report.channels[0]) == [0, 0.5, 1]


def test_a_cook_of_another_day_and_a_wrong_clock_are_asked():
    text = "time,core_C\n2021-05-22 12:00,50\n2021-05-22 12:10,51\n"
    (ask,) = read(text).questions
    assert "--start" in ask
    report = clear(text, start=ZERO)
    assert minutes(report.channels[0]) == [0, 10]
    assert any("moved" in note for note in report.notes)


def test_a_clock_that_was_not_set_at_first():
    rows = "".join(f"2027-09-25 06:{n:02d}:00,50\n" for n in range(20))
    (core,) = clear(f"time,core_C\n2000-01-01 00:00:04,49\n{rows}").channels
    assert len(core.at) == 20
    assert core.dropped[0].reason == "the probe's clock was not set yet"


def test_two_clocks_of_a_file_that_drift_apart_are_asked():
    text = "time,elapsed_min,core_C\n06:00,0,50\n06:30,30,51\n07:00,48,52\n"
    (ask,) = read(text).questions
    assert re.search(r"drift apart by 12 min.*--column 'elapsed_min=time'", ask)
    assert len(clear(text, columns={"elapsed_min": "skip"}).channels) == 1
    assert len(clear(text.replace("48", "60")).channels) == 1


def test_running_numbers_and_other_columns_are_not_read():
    rows = "".join(f"{n},06:{n:02d},{40 + n / 7:.1f},{99 - n}\n" for n in range(15))
    report = clear(f",time,core (C),battery\n{rows}")
    assert [channel.name for channel in report.channels] == ["core (C)"]
