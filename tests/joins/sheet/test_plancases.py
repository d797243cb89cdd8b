"""What cooks ask of a plan, each in a day of our own: starts, levers, unlike pieces, cold nights, long holds."""

from __future__ import annotations

import datetime as dt

import pytest
from cooks import DATE, NOW, line, record, ribs

from stallwise.joins.answer import answer
from stallwise.joins.ways.whatif import what_if
from stallwise.record.schema import Piece, PitUse, Weather

HOUR = 3600.0


def at(hour, minute=0, day=DATE.day):
    return dt.datetime(DATE.year, DATE.month, day, hour, minute, tzinfo=dt.UTC)


def butt(letter="A", **more):
    return Piece(**{"letter": letter, "cut": "pork-shoulder-bone-in", "mass": "7 lb"} | more)


def plan(*pieces, start="240 F", made_at=NOW, **cook):
    return answer(record(*pieces, pits=[PitUse(letter="P", start=start)], **cook), made_at=made_at)


def by(result):
    return {piece.piece: piece for piece in result.pieces}


def steps(result):
    return {step.id: step for step in result.steps}


def tender_h(result, letter="A", name="p50"):
    return getattr(by(result)[letter].stages["tender"].elapsed_h, name)


def chosen(piece):
    return next(chance for chance in piece.chances if chance.chosen)


# --- starts ------------------------------------------------------------------------------------


def test_each_of_the_odds_has_its_start_and_its_hold():
    (piece,) = plan(butt()).pieces
    assert [chance.probability for chance in piece.chances] == [0.5, 0.8, 0.9, 0.95]
    starts = [chance.on_at for chance in piece.chances]
    holds = [chance.hold_p50_h for chance in piece.chances]
    assert starts == sorted(starts, reverse=True)
    assert holds == sorted(holds)
    assert all(chance.light_at < chance.on_at for chance in piece.chances)


def test_what_surer_odds_cost_on_the_counter_is_said_as_going_cold():
    (piece,) = plan(butt()).pieces
    cold = [chance.colder_share for chance in piece.chances]
    assert cold == sorted(cold)
    assert cold[-1] > 0.5
    (boxed,) = plan(butt(hold="oven", hold_at="170 F")).pieces
    assert chosen(boxed).colder_share < 0.1


def test_a_wrap_is_a_lever_of_the_plan():
    made = record(butt(), pits=[PitUse(letter="P", start="240 F")])
    result = answer(made, made_at=NOW)
    starts = {piece.piece: piece.on_at for piece in result.pieces}
    levers = {one.key: one for one in what_if(made, made_at=NOW, starts=starts)}
    assert levers["wrap.foil"].shift_h.p50 < -0.5
    assert levers["wrap.foil"].odds_change >= 0.0


def test_two_unlike_cuts_for_four_with_an_hour_of_rest():
    result = plan(
        butt("A", rest="1 h"),
        Piece(letter="B", cut="beef-brisket-flat", mass="6 lb", rest="1 h"),
        time_zone="America/Chicago",
    )
    found, sheet = by(result), steps(result)
    assert found["A"].on_at.date() == DATE - dt.timedelta(days=1)
    assert found["B"].on_at.date() == DATE
    assert found["A"].on_at < found["B"].on_at
    assert str(found["A"].on_at.tzinfo) == "America/Chicago"
    for letter in "AB":
        rest, carve = sheet[f"rest-{letter}"], sheet[f"carve-{letter}"]
        assert (carve.at - rest.at).total_seconds() >= HOUR
        assert carve.at < sheet[f"serve-{letter}"].at == at(21)  # 16:00 there


def test_hand_ins_half_an_hour_apart_each_have_their_own_day():
    letters, times = "ABCD", ("12:00", "12:30", "13:00", "13:30")
    cuts = ("chicken-thigh", "pork-back-ribs", "pork-shoulder-bone-in", "beef-brisket-whole")
    pieces = [
        Piece(letter=letter, cut=cut, serve=when)
        for letter, cut, when in zip(letters, cuts, times, strict=True)
    ]
    result = plan(*pieces, start="275 F", people=2, carry="10 min")
    sheet = steps(result)
    for letter, when in zip(letters, times, strict=True):
        assert f"{sheet[f'serve-{letter}'].at:%H:%M}" == when
        assert sheet[f"carry-{letter}"].at == sheet[f"serve-{letter}"].at - dt.timedelta(minutes=10)
    starts = [by(result)[letter].on_at for letter in letters]
    assert starts == sorted(starts, reverse=True)  # the brisket first, the thighs last
    assert result.odds == pytest.approx(0.9, abs=0.03)


def test_small_pieces_of_one_load_are_forecast_one_by_one():
    one = plan(butt(mass="4.5 lb"))
    two = plan(butt(mass="4.5 lb", count=2))
    whole = plan(butt(mass="9 lb"))
    assert tender_h(two) == pytest.approx(tender_h(one), rel=0.02)
    assert tender_h(whole) > 1.15 * tender_h(two)


def test_unequal_butts_go_by_the_largest_and_the_small_ones_go_on_later():
    result = plan(
        butt("A", mass="10 lb"), butt("B", mass="7 lb"), butt("C", mass="6 lb"), start="250 F"
    )
    starts = [by(result)[letter].on_at for letter in "ABC"]
    assert starts == sorted(starts)
    assert starts[0] < starts[2]
    assert next(line.text for line in result.gear if line.key == "probes") == "3 and 1 for the pit"


def test_half_the_brisket_at_the_same_thickness_saves_little():
    def flat(mass, thickness):
        piece = Piece(letter="A", cut="beef-brisket-whole", mass=mass, thickness=thickness)
        return tender_h(plan(piece, serve="15:00", start="250 F"))

    whole, halved = flat("12 lb", "84 mm"), flat("6 lb", "84 mm")
    thinner = flat("12 lb", "60 mm")
    assert 0.8 < halved / whole < 1.0  # half the mass is far from half the time
    assert thinner < halved


def test_a_second_piece_hardly_lengthens_the_first():
    alone = plan(butt("A"))
    both = plan(butt("A"), butt("B"))
    assert tender_h(both) == pytest.approx(tender_h(alone), rel=0.05)


def test_it_is_as_quick_in_the_cold_where_the_pit_is_held_and_takes_more_wood():
    pieces = [butt(letter, mass="6 lb") for letter in "ABC"]
    mild = plan(*pieces, start="250 F", weather=Weather(ambient="68 F"))
    cold = plan(*pieces, start="250 F", weather=Weather(ambient="33 F", wind="breeze"))
    assert tender_h(cold) == pytest.approx(tender_h(mild), rel=0.02)
    assert cold.fuel[0].all_kg.p50 > 1.15 * mild.fuel[0].all_kg.p50


def test_a_butt_and_four_birds_for_half_past_eight():
    result = plan(
        butt("A", mass="5 lb"),
        Piece(letter="B", cut="chicken-whole", mass="3.5 lb", count=4, finish="skin soft"),
        start="275 F",
        serve="20:30",
    )
    found, sheet = by(result), steps(result)
    assert (found["B"].on_at - found["A"].on_at).total_seconds() > 4 * HOUR
    loading = sheet["meat_on-B"].detail
    assert "below other food or apart from it" in loading
    assert "the pit falls some" in loading
    assert result.odds >= 0.88


# --- on the day --------------------------------------------------------------------------------


def midway(hour, core_c, serve, *more, **cook):
    log = (
        line("10:00", "meat_on", "A"),
        line(f"{hour}:00", "core_reading", "A", temperature_c=core_c),
        *more,
    )
    return plan(butt(), log=log, made_at=log[-1].at, start="250 F", serve=serve, **cook)


def test_five_hours_in_it_is_early_on_time_or_late_with_the_hold_of_each():
    late = midway(15, 71.0, "17:30")
    early = midway(15, 71.0, "2026-05-17 02:00")
    (one,), (other,) = late.pieces, early.pieces
    assert one.odds_in_time < 0.2
    assert late.remedies
    assert other.odds_in_time > 0.9
    assert other.hold_h.p50 > 3.0
    assert not early.remedies
    assert steps(early)["hold-A"].detail.startswith("about ")


def test_at_risk_before_noon_it_says_odds_and_ways_on():
    result = midway(16, 74.0, "19:30")
    (text,) = [warning.text for warning in result.warnings if warning.key == "at-risk"]
    assert "and you asked for 9 times in 10" in text
    offered = {one.key: one.own.odds_in_time for one in result.remedies}
    assert {"now.wrap", "now.pit", "now.serve"} <= offered.keys()
    assert all(odds >= result.odds for odds in offered.values())
    sheet = steps(result)
    assert sheet["serve-A"].odds == result.odds
    assert sheet["tender-A"].due_at == at(19, 30) - (
        sheet["serve-A"].at - sheet["carve-A"].at
    ) - dt.timedelta(minutes=45)


def test_wrapping_for_the_last_hour_or_not_is_two_ranges():
    log = (line("10:00", "meat_on", "A"), line("17:00", "core_reading", "A", temperature_c=78.0))
    made = record(
        butt(mass="4 lb"), pits=[PitUse(letter="P", start="240 F")], log=log, serve="20:00"
    )
    result = answer(made, made_at=log[1].at)
    starts = {"A": result.pieces[0].on_at}
    levers = {one.key: one for one in what_if(made, made_at=log[1].at, starts=starts)}
    foil = levers["wrap.foil"].shift_h
    assert foil.p10 < foil.p90
    assert foil.p50 < 0.0


def test_steps_move_with_the_forecast_and_what_is_done_stays_as_logged():
    ahead = plan(ribs(), start="250 F")
    log = (
        line("09:00", "meat_on", "A"),
        line("12:20", "wrapped", "A", kind="foil"),
        line("12:40", "pit_set", temperature_c=105.0),
    )
    later = plan(ribs(), start="250 F", log=log, made_at=log[-1].at)
    sheet, before = steps(later), steps(ahead)
    assert sheet["wrap-A"].done_at == log[1].at
    assert sheet["meat_on-A"].done_at == log[0].at
    assert sheet["wrap-A"].odds is None
    gap = (sheet["tender-A"].at - log[0].at) - (before["tender-A"].at - before["meat_on-A"].at)
    assert gap > dt.timedelta(minutes=20)  # a cooler pit, a later finish
    assert sheet["rest-A"].at >= sheet["tender-A"].at


def test_a_glaze_follows_the_finish_when_the_finish_moves():
    def glaze(start):
        found = steps(plan(butt(), start=start, mixes=("stock-glaze",)))
        return found["glaze-A"].at - found["meat_on-A"].at, found["tender-A"].at - found[
            "glaze-A"
        ].at

    (cool_on, cool_before), (hot_on, hot_before) = glaze("240 F"), glaze("290 F")
    assert hot_on < cool_on
    assert hot_before == cool_before == dt.timedelta(minutes=10)


# --- holds and nights ----------------------------------------------------------------------------


def test_a_hold_that_may_go_cold_has_a_look_in_the_sheet():
    log = (line("00:30", "meat_on", "A"), line("11:00", "feel_check", "A", verdict="tender"))
    result = plan(butt(hold="box"), log=log, made_at=log[1].at, serve="20:30")
    sheet, (piece,) = steps(result), result.pieces
    look = sheet["measure-A"]
    assert at(11, 45) < look.at < sheet["carve-A"].at
    assert "may fall below 140 °F" in look.detail
    assert piece.serving.below_line_h.p10 < piece.serving.below_line_h.p90
    assert any(warning.key == "hold-cold" for warning in result.warnings)
    short = steps(plan(butt(hold="box"), log=log, made_at=log[1].at, serve="13:00"))
    assert "measure-A" not in short


def test_a_night_cook_crosses_midnight_and_says_its_days():
    result = plan(butt(mass="8 lb"), start="107 C", serve="13:00")
    sheet = steps(result)
    assert sheet["fire_lit-P"].at.date() == DATE - dt.timedelta(days=1)
    assert sheet["serve-A"].at.date() == DATE
    on, serve = sheet["meat_on-A"].at, sheet["serve-A"].at
    assert 10 * HOUR < (serve - on).total_seconds() < 24 * HOUR


def test_done_hours_early_a_hold_is_offered_with_its_end():
    log = (line("00:00", "meat_on", "A"), line("07:00", "feel_check", "A", verdict="tender"))
    result = plan(butt(hold="oven", hold_at="150 F"), log=log, made_at=log[1].at, serve="13:00")
    (piece,) = result.pieces
    sheet = steps(result)
    assert sheet["hold-A"].detail.startswith("about 5 h")
    assert piece.hold_h.p50 == pytest.approx(5.1, abs=0.3)
    assert piece.odds_in_time == 1.0


def test_a_bird_opened_flat_is_early_where_the_rule_of_thumb_is_late():
    bird = Piece(letter="A", cut="turkey-opened-flat", mass="15 lb")
    result = plan(bird, start="325 F", serve="14:00")
    (piece,) = result.pieces
    assert piece.stages["tender"].elapsed_h.p10 < 2.0
    assert piece.hold_h.p90 > 0.5


def test_below_and_above_is_kept_to_through_the_night():
    result = plan(
        Piece(letter="A", cut="beef-brisket-whole", mass="10 lb", place="lower"),
        butt("B", place="upper", count=2),
        start="265 F",
        serve="14:30",
    )
    sheet = steps(result)
    assert sheet["meat_on-A"].detail.startswith("lower")
    assert "upper" in sheet["meat_on-B"].detail
    assert not [warning for warning in result.warnings if warning.key == "bird-above"]
