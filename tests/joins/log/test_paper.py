"""Short lines from paper: each right or asked, none silently wrong, and nothing twice."""

from __future__ import annotations

import csv
import datetime as dt
import json
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from paper_contexts import CONTEXTS, DAY, NIGHT, THREE, at

from stallwise.ground.errors import InputError
from stallwise.joins.log import vocabulary
from stallwise.joins.log.lineidentity import known_lines
from stallwise.joins.log.paper import (
    PaperContext,
    as_words,
    changes_plan,
    entry_words,
    log_lines,
    read_block,
    short_line,
)
from stallwise.record.log import LogLine, effective, withdrawal

with Path(__file__).with_name("paper_lines.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['context']}: {r['line']}" for r in ROWS])
def test_each_line_is_right_or_asked(row):
    block = "\n".join([*filter(None, row["above"].split(" / ")), row["line"]])
    line = read_block(block, context=CONTEXTS[row["context"]]).lines[-1]
    assert line.state == row["state"], as_words(line)
    if row["state"] == "asked":
        assert line.question
        assert not line.entries
        return
    times, whats, datas = (row[name].split("|") for name in ("at", "what", "data"))
    wanted = []
    for index in range(max(len(times), len(whats), len(datas))):
        for piece in row["piece"].split(" "):
            pick = [values[min(index, len(values) - 1)] for values in (times, whats, datas)]
            wanted.append((at(pick[0]), pick[1], piece, json.loads(pick[2])))
    assert len(line.entries) == len(wanted)
    for entry, (when, what, piece, data) in zip(line.entries, wanted, strict=True):
        assert (entry.at, entry.what, entry.piece) == (when, what, piece)
        assert _near(entry.data, data)


def _near(found, wanted):
    return found.keys() == wanted.keys() and all(
        found[name] == (pytest.approx(value, abs=0.03) if isinstance(value, float) else value)
        for name, value in wanted.items()
    )


SHEET = """\
# ribs, Saturday
0730 fire lit
8:40 pit steady 250
10:40 spritz
 "   lid
+2:40 wrapped foil - tight
A 1:40 probe not yet
B  "    "  nearly
14:05 tender
2:40 unwrapped and glazed
2:50 spritz
2:50 spritz
4 pm served
"""


def test_a_sheet_typed_twice_adds_nothing():
    first = read_block(SHEET, context=DAY)
    assert [line.raw for line in first.asked] == []
    ids = [entry.id for entry in first.entries]
    assert len(set(ids)) == len(ids)
    # Typed again with a line more, in other words and other spaces, after the first was kept.
    again = SHEET.replace("10:40 spritz", "10:30 turned\n1040   Sprayed").replace("+2:40", "11:40")
    kept = replace(DAY, known=known_lines(first.entries))
    second = read_block(again, context=kept)
    assert {entry.id for entry in second.entries} - set(ids) == {
        entry.id for entry in second.entries if entry.what == "turned"
    }
    assert all(line.known for line in second.lines if line.entries and "turned" not in line.raw)


def test_a_line_logged_by_command_is_not_doubled_from_paper():
    now = at("2027-09-25 13:10:23")
    (logged,) = log_lines("wrapped foil", context=replace(DAY, now=now, source="command"))
    context = replace(DAY, known=known_lines((logged,)))
    assert read_block("1310 foil on", context=context).entries[0].id == logged.id


def test_what_was_understood_is_said_in_words():
    block = read_block("1310 wrapped foil\nA,B 1320 spritz - wind\nabout 3 pit 250\n", context=DAY)
    assert [line.as_text for line in block.lines] == [
        "13:10 all pieces: wrapped in foil",
        "13:20 A, B: spritzed – wind",
        "about 15:00: pit 250 °F at the grate",
    ]


def test_a_letter_alone_heads_its_own_run_of_times():
    block = read_block("A\n1000 spritz\n1310 wrapped foil\nB:\n1005 spritz\n", context=DAY)
    assert not block.asked
    assert [(e.piece, f"{e.at:%H%M}") for e in block.entries] == [
        ("A", "1400"), ("A", "1710"), ("B", "1405"),
    ]  # fmt: skip


def test_an_odd_time_among_good_ones_is_the_one_asked():
    block = read_block("1310 spritz\n1810 lid\n1420 spritz\n1500 spritz\n", context=DAY)
    assert [line.number for line in block.asked] == [2]


def test_two_lines_that_contend_are_both_asked():
    block = read_block("1500 spritz\n1400 lid\n", context=DAY)
    assert [line.number for line in block.asked] == [1, 2]


def test_what_has_not_come_yet_is_asked():
    running = replace(DAY, now=at("2027-09-25 13:00"))
    block = read_block("1250 spritz\n1310 wrapped foil\n1:20 lid\n10:40 pm lid\n", context=running)
    assert [line.number for line in block.asked] == [3, 4]


def test_meat_goes_on_once():
    block = read_block("0915 meat on\n0930 B on\n", context=CONTEXTS["unlogged"])
    assert [line.state for line in block.lines] == ["clear", "asked"]


def test_lines_of_two_pieces_stand_between_each_other():
    block = read_block("A 1330 wrapped foil\nB 1300 wrapped foil\nA 2:00 spritz\n", context=DAY)
    assert not block.asked
    block = read_block("A 1330 wrapped foil\n1300 lid\n", context=DAY)
    assert [line.number for line in block.asked] == [1, 2]
    assert "below 1330" in block.lines[1].question


def test_two_pieces_in_one_line_are_two_things():
    for text in ("A 14:00 probe nearly, B not yet", "14:00 probe nearly, B not yet",
                 "14:00 A probe nearly and B not yet"):  # fmt: skip
        line = read_block(text, context=DAY).lines[0]
        assert [(e.piece, e.data["verdict"]) for e in line.entries] == [
            ("A", "nearly"), ("B", "not yet"),
        ], as_words(line)  # fmt: skip
    off = read_block("A 1310 off, B 1320 off\nA, B 1330 rest\n", context=DAY)
    assert [(e.piece, f"{e.at:%M}") for e in off.entries] == [
        ("A", "10"), ("B", "20"), ("A", "30"), ("B", "30"),
    ]  # fmt: skip
    three = replace(THREE, cuts=dict.fromkeys("ABC", "pork-spareribs"))
    assert "A, C" in read_block("14:00 nearly, B not yet", context=three).lines[0].question
    assert len(read_block("14:00 spritz A, B", context=DAY).lines[0].entries) == 2


def test_a_misspelt_word_is_shown_as_it_was_read():
    block = read_block("1310 A wraped paper - tight\n1320 spritz\n", context=DAY)
    assert block.lines[0].as_text == "13:10 A: wrapped in paper – tight (read as 'wrapped paper')"
    assert block.entries[0].text == "wraped paper"
    assert "read as" not in block.lines[1].as_text


@pytest.mark.parametrize(
    ("line", "says", "never"),
    [
        ("1310 the dog ate it", "note:", "words such as"),
        ("1310 wrapt foyl", "'foil'", "'fell'"),
        ("1310 drizzle", "note: drizzle", "words such as"),
        ("1310 brisket looks good", "--words", "words such as"),
        ("the dog ate it", "note:", "words such as"),
    ],
)
def test_a_hint_is_a_real_word_that_is_near_or_none(line, says, never):
    question = read_block(line, context=DAY).lines[0].question
    assert says in question
    assert never not in question


def test_the_question_on_meat_that_is_on_names_the_command():
    (logged,) = log_lines("on", at="9:00", context=CONTEXTS["unlogged"])
    context = replace(DAY, log=(logged,), cook="ribs")
    assert (
        "stallwise log ribs --take-back 1"
        in read_block("945 on", context=context).lines[0].question
    )


def test_a_time_that_came_twice_is_asked_for_that_reason():
    line = read_block("02:15 spritz", context=CONTEXTS["CET back"]).lines[0]
    assert "came twice" in line.question
    assert "02:15 CEST" in line.question
    assert "02:15 CET'" in line.question


def test_a_line_taken_back_can_be_logged_again_and_still_only_once():
    first = read_block("1310 spritz\n1310 spritz\n", context=DAY).entries
    log = [*first]
    for _ in range(3):
        log.append(withdrawal(first[0] if len(log) == 2 else log[-1], made=at("2027-09-26")))
        held = replace(DAY, known=known_lines(effective(log)), log=tuple(log))
        block = read_block("1310 sprayed\n1310 spritz\n", context=held)
        assert [line.known for line in block.lines] == [True, False]
        assert "taken back once" in block.lines[1].doubts[0]
        again = block.entries[1]
        assert again.id not in {line.id for line in log}
        log.append(again)
    held = replace(DAY, known=known_lines(effective(log)), log=tuple(log))
    assert all(line.known for line in read_block("1310 spritz\n1310 spritz", context=held).lines)


def test_a_day_on_a_row_of_its_own():
    block = read_block("Fri\n10:40 pm spritz\nSat\n4:30 am spritz\n", context=NIGHT)
    assert not block.asked
    assert [entry.at for entry in block.entries] == [at("2027-09-24 22:40"), at("2027-09-25 04:30")]


def test_a_command_is_read_like_a_line():
    (line,) = log_lines("wrapped foil", at="+2:40", piece="A", note="tight", context=DAY)
    assert (line.what, line.piece, line.note) == ("wrapped", "A", "tight")
    assert line.at == at("2027-09-25 11:40")
    assert changes_plan(line)
    assert entry_words(line, DAY) == "11:40 A: wrapped in foil – tight"
    assert len(log_lines("probe 203 tender", at="14:00", piece="A", context=THREE)) == 2
    assert log_lines("wrapped", at="13:10", settings={"kind": "paper"}, context=DAY)[0].data == {
        "kind": "paper"
    }


def test_a_command_may_say_two_things():
    found = log_lines("probe 203 tender", at="13:10", piece="A", context=DAY)
    assert sorted(line.what for line in found) == ["core_reading", "feel_check"]
    assert len({line.id for line in found}) == 2


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("wrapt foyl", {"at": "13:10"}),
        ("spritz", {"at": "1:10 or so"}),
        ("spritz", {"at": "13:10", "piece": "Z"}),
        ("spritz", {}),
        ("spritz", {"at": "13:10", "settings": {"kind": "foil"}}),
    ],
)
def test_a_command_that_is_not_clear_is_refused(what, said):
    with pytest.raises(InputError) as error:
        log_lines(what, context=DAY, **said)
    assert error.value.allowed


def test_endless_input_is_refused_in_words():
    with pytest.raises(InputError, match="one sheet at a time"):
        read_block("1310 spritz\n" * 501, context=DAY)
    long = read_block(f"13:10 note: {'9 ' * 3000}", context=DAY).lines[0]
    assert "up to 1000" in long.question


def test_a_note_is_kept_whole():
    entry = read_block("14:00 note: wind got up, 20 mph - from the west\n", context=DAY).entries[0]
    assert entry.note == "wind got up, 20 mph - from the west"


def test_every_phrase_of_the_vocabulary_means_its_own_word():
    for word in vocabulary.words().values():
        for phrase in word.phrases:
            if "{" not in phrase:
                plain = phrase.partition("[")[0]
                meant = {event.what for event in vocabulary.events(vocabulary.tokens(plain))}
                assert word.key in meant, phrase
                # "in the box" is the one that a cook's pits decide.
                assert meant - {word.key} <= {"moved"}, (phrase, meant)


_DATA = st.one_of(
    st.tuples(
        st.sampled_from(["spritz", "turned", "off", "served", "glazed", "unwrapped"]), st.just({})
    ),
    st.tuples(
        st.just("wrapped"),
        st.fixed_dictionaries({"kind": st.sampled_from(["foil", "paper", "boat", "pan"])}),
    ),
    st.tuples(
        st.just("core_reading"),
        st.fixed_dictionaries(
            {"temperature_c": st.integers(-10, 1000).map(lambda tenths: tenths / 10)},
            optional={"spot": st.sampled_from(["flat", "point", "thick end", "by the bone"])},
        ),
    ),
    st.tuples(
        st.just("feel_check"),
        st.fixed_dictionaries(
            {"verdict": st.sampled_from(["not yet", "nearly", "tender", "past it"])},
            optional={
                "check": st.sampled_from(["poke", "probe", "bend", "twist"]),
                "spot": st.sampled_from(["flat", "thin end", "middle", "thigh"]),
            },
        ),
    ),
    st.tuples(st.just("wood"), st.fixed_dictionaries({"count": st.integers(1, 99)})),
    st.tuples(st.just("moved"), st.fixed_dictionaries({"to": st.sampled_from(["P", "Q"])})),
    st.tuples(
        st.just("pit_set"),
        st.fixed_dictionaries({"temperature_c": st.integers(60, 300).map(float)}),
    ),
)
_NOTES = st.text(st.sampled_from("abc defg 123 äé°,;:'\"()-"), max_size=20).map(str.strip)


@given(
    what=_DATA,
    minute=st.integers(0, 18 * 60),
    about=st.booleans(),
    note=_NOTES,
    piece=st.sampled_from(["", "A"]),
    context=st.sampled_from(["night", "clocks back", "clocks forward"]),
    metric=st.booleans(),
)
def test_a_written_line_reads_back_equal(what, minute, about, note, piece, context, metric):
    cook = replace(CONTEXTS[context], units="metric" if metric else "us")
    key, data = what
    concerns_pit = vocabulary.words()[key].whose == "pit"
    line = LogLine(
        id="", at=cook.on["A"] + dt.timedelta(minutes=minute), what=key, data=data, about=about,
        note=note, piece="" if concerns_pit else piece, pit="P" if concerns_pit else "",
        made=at("2027-09-25"), source="paper",
    )  # fmt: skip
    back = read_block(short_line(line, cook), context=cook)
    assert not back.asked, as_words(back.lines[0])
    entry = back.entries[0]
    assert _near(entry.data, data)
    same = replace(entry, id="", text="", made=line.made, data=data)
    assert same == line
    assert read_block(short_line(entry, cook), context=cook).entries[0].id == entry.id


_WORDS = st.sampled_from(
    [word for key in vocabulary.words().values() for word in key.phrases if "{" not in word]
    + ["", '"', "A", "B", "not", "F", "165", "C", "core 165", "in", "all", "and", ",", "-", "note:"]
)
_TIMES = st.sampled_from(
    [
        "1310",
        "13:10",
        "1:10",
        "+2:40",
        "about 3",
        '"',
        "",
        "0040",
        "9",
        "12:40 am",
        "Sun 4:10",
        "24:00",
    ]
)


@given(st.lists(st.tuples(_TIMES, st.lists(_WORDS, max_size=4).map(" ".join)), max_size=8))
def test_whatever_is_typed_is_clear_in_its_hours_or_asked(lines):
    text = "\n".join(f"{time} {words}" for time, words in lines)
    for context in (DAY, NIGHT, CONTEXTS["unlogged"]):
        block = read_block(text, context=context)
        for line in block.lines:
            assert (line.state == "clear") == bool(line.entries)
            assert (line.state == "asked") == bool(line.question)
            for entry in line.entries:
                assert entry.id
                assert abs(entry.at - context.served) < dt.timedelta(hours=48)


@given(st.text(max_size=60))
def test_no_text_breaks_it(text):
    read_block(text, context=THREE)


@pytest.mark.parametrize(
    ("cut", "line", "day"),
    [
        ("pork-spare-ribs-trimmed", "1000", 5),
        ("pork-shoulder-bone-in", "1000", 5),
        ("pork-shoulder-bone-in", "0130", 5),
    ],
)
def test_meat_goes_on_the_cooks_day_where_no_serving_time_is_set(cut, line, day):
    context = PaperContext(dt.date(2026, 12, 5), ZoneInfo("Etc/UTC"), ("A",), cuts={"A": cut})
    block = read_block(f"{line} meat on\n1310 spritz\n", context=context)
    assert [each.state for each in block.lines] == ["clear", "clear"]
    assert block.entries[0].at.day == day


def test_a_bare_hour_is_read_by_its_neighbours_also_among_24_hour_times():
    cuts = {"A": "pork-spare-ribs-trimmed"}
    context = PaperContext(dt.date(2026, 12, 5), ZoneInfo("Etc/UTC"), ("A",), cuts=cuts)
    text = "1000 meat on\n+2:10 spritz\nabout 1 spritz\n1310 wrapped foil\n1450 bend tender\n"
    block = read_block(text, context=context)
    assert {each.state for each in block.lines} == {"clear"}
    assert [(each.at.day, each.at.hour) for each in block.entries] == [
        (5, 10), (5, 12), (5, 13), (5, 13), (5, 14),
    ]  # fmt: skip


def test_an_evening_before_or_after_is_asked_where_no_serving_time_is_set():
    cuts = {"A": "pork-shoulder-bone-in"}
    context = PaperContext(dt.date(2026, 12, 5), ZoneInfo("Etc/UTC"), ("A",), cuts=cuts)
    (line,) = read_block("2200 meat on\n", context=context).lines
    assert line.state == "asked"


def test_what_is_reheated_goes_into_the_cold_in_the_morning():
    block = "A 04:30 off\nA 05:10 in fridge"
    line = read_block(block, context=replace(NIGHT, reheated=frozenset("A"))).lines[-1]
    assert line.state == "clear", as_words(line)
    assert line.entries[0].at == at("2027-09-25 05:10")
    # Leftovers go there after the meal.
    assert read_block(block, context=NIGHT).lines[-1].state == "asked"
