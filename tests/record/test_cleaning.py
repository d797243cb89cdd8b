"""What a probe cannot have measured is left out with its reason; what it can have stays."""

import datetime as dt

import pytest

from stallwise.record.cleaning import Series, clean, reads_the_pit
from stallwise.record.frame import Answers, Frame
from stallwise.record.intake import understand

ZERO = dt.datetime(2027, 9, 25, 6, tzinfo=dt.UTC)
FRAME = Frame("Etc/UTC", ZERO.date(), ZERO, ("A",), ("P",))


def left_out(values, kind="piece", step_s=60.0, **more):
    times = [step_s * row for row in range(len(values))]
    return sorted(clean(Series(times, values), kind, **more).reasons)


@pytest.mark.parametrize(
    ("values", "gone"),
    [
        ([84.6, 84.8, 85.0, 85.1], []),  # a climb through it
        ([63.1, 85.0, 63.2], [1]),
        ([63.1, 85.0, 85.0, 85.0, 63.2], [1, 2, 3]),
        ([85.0, 21.0, 21.1], [0]),  # what a sensor says when its current comes
        ([63.1, -0.0625, 63.2], [1]),
        ([60.0, 0.0, 0.0, 61.0], [1, 2]),
        ([60.0, 61.0, 0.0, 0.0, 0.0], [2, 3, 4]),  # the plug is out
        ([-17.8, -17.7778, -17.7, -17.5], []),  # frozen
        ([-0.06, 0.0, 0.1, 0.2], []),
        ([63.0, -127.0, 1832.0, 63.1], [1, 2]),
    ],
)
def test_codes_of_sensors(values, gone):
    assert left_out(values) == gone
    assert left_out(values, "") == gone


def test_185_in_whole_degrees_fahrenheit_is_a_number():
    values = [107.2, 85.0, 98.9]
    assert left_out(values, "pit", fine=False) == []
    assert left_out([60.0, 85.0, 95.0], step_s=3600.0) == []  # an hour apart, nothing tells


def test_a_leap_and_back():
    assert left_out([70.0, 70.1, 140.0, 139.0, 70.2, 70.3]) == [2, 3]
    assert left_out([110.0, 111.0, 300.0, 112.0], "pit") == [2]
    assert left_out([110.0, 111.0, 65.0, 70.0, 90.0, 105.0], "pit") == []  # a lid


def climb(start, end, rows):
    return [start + (end - start) * row / rows for row in range(rows)]


def test_a_probe_out_of_the_meat_and_back():
    cold = [70.0, 45.0, 33.0, 28.0, *[25.0] * 20, 40.0, 62.0, 70.0]
    values = [*climb(20, 80, 60), *cold, *climb(82, 90, 30)]
    gone = left_out(values)
    assert gone
    assert 58 < gone[0] < 62
    assert len(values) - 32 < gone[-1] < len(values) - 26
    after = [*climb(20, 95, 60), 60.0, 40.0, 30.0, *[24.0] * 30]
    assert left_out(after) == list(range(60, len(after)))


def test_a_probe_that_lay_about_before():
    values = [*[24.0] * 10, 15.0, 6.0, 4.0, *climb(4, 60, 90)]
    assert left_out(values) == list(range(12)) or left_out(values) == list(range(13))
    hot = [*[110.0] * 10, 60.0, 20.0, 5.0, *climb(4, 60, 90)]
    assert left_out(hot)[:10] == list(range(10))
    assert len(left_out(hot)) < 15


def test_a_probe_that_fell_out_and_reads_the_pit():
    pit = Series([60.0 * row for row in range(200)], [110.0] * 200)
    values = [*climb(5, 70, 100), 85.5, 100.0, 108.0, *[110.0] * 50]
    assert left_out(values, pit=pit)[0] == 100
    assert left_out(values, pit=pit)[-1] == len(values) - 1
    assert left_out(values) == []


def test_a_probe_that_was_moved_keeps_both_sides_and_is_told():
    values = [*climb(40, 73, 60), 77.0, 81.5, *climb(81.5, 95, 60)]
    found = clean(Series([60.0 * row for row in range(len(values))], values), "piece")
    assert found.reasons == {}
    ((_, before, after),) = found.moved
    assert before == pytest.approx(72.5, abs=0.6)
    assert after == pytest.approx(82, abs=1)


def test_thin_meat_over_a_hot_fire_may_climb_fast():
    found = clean(Series([10.0 * row for row in range(78)], climb(14, 65, 78)), "piece")
    assert found == clean(Series([], []), "piece")


def test_a_probe_that_goes_with_the_pit_is_asked():
    times = [60.0 * row for row in range(120)]
    pit = Series(times, [100 + row % 20 for row in range(120)])
    assert reads_the_pit(Series(times, [102 + row % 20 for row in range(120)]), pit)
    assert not reads_the_pit(Series(times, climb(5, 95, 120)), pit)
    rows = "".join(
        f"{6 + n // 60:02d}:{n % 60:02d},{230 + n % 20},{232 + n % 20}\n" for n in range(120)
    )
    report = understand(f"time,pit (F),meat (F)\n{rows}", FRAME, file="x.csv")
    (ask,) = report.questions
    assert "goes with 'pit (F)'" in ask
    sure = Answers(columns={"meat": "A"})
    assert understand(f"time,pit (F),meat (F)\n{rows}", FRAME, sure, file="x.csv").questions == ()
