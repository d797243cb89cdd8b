"""Servings, the cold, pans and boxes, the most that the pits feed, and the cook that is laid out of it."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stallwise.ground.errors import InputError
from stallwise.joins.crowd.crowd import Meat, crowd
from stallwise.joins.crowd.dayplan import PitAt, crowd_cook
from stallwise.joins.crowd.room import Box, Wave
from stallwise.models.crowd import Guests, plate_share, shared_out
from stallwise.models.grate import Grate
from stallwise.record.schema import Cook, Pit
from stallwise.record.toml import parse
from stallwise.tables.catalogue import cut

POUND = 0.45359237
SHOULDER, BRISKET = cut("pork-shoulder-bone-in"), cut("beef-brisket-whole")
MEATS = [Meat(SHOULDER, 8 * POUND), Meat(BRISKET, 13 * POUND)]
NINETY = Guests(90, children=12, no_meat=6)
TRAILER = [Grate(1.2, 0.5), Grate(1.2, 0.5)]
BARREL = [Grate(0.7, 0.52)]
WAVES = [Wave("13:00"), Wave("15:00")]


def test_six_in_ten_take_both_at_two_thirds_the_size():
    # By hand: of 100 guests 60 take 2/3 of a plate of each, 20 a whole plate of one.
    assert 100 * plate_share(2) == pytest.approx(60 * 2 / 3 + 20, rel=1e-3)
    assert 100 * plate_share(2, 0.75) == pytest.approx(60 * 2 / 3 + 30, rel=1e-3)
    assert plate_share(2, 0.75) + plate_share(2, 0.25) == pytest.approx(2 * plate_share(2))
    assert sum(plate_share(3, one) for one in (0.5, 0.3, 0.2)) == pytest.approx(3 * plate_share(3))


@given(st.integers(0, 300), st.lists(st.integers(1, 80), min_size=1, max_size=5))
def test_no_serving_has_less_than_its_part_so_far(pieces, parts):
    shared = shared_out(pieces, parts)
    assert sum(shared) == pieces
    assert min(shared) >= 0
    for at in range(1, len(parts) + 1):
        assert sum(shared[:at]) >= pieces * sum(parts[:at]) / sum(parts) - 1e-6


def test_who_stays_away_is_not_bought_for():
    all_come, some = crowd(NINETY, MEATS), crowd(Guests(90, 12, 0, 0, 6, 0.1), MEATS)
    ratio = some.meats[0].purchase.raw_usual_kg / all_come.meats[0].purchase.raw_usual_kg
    assert ratio == pytest.approx(0.9)
    assert some.meats[0].purchase.need.plates == 76  # 84 who eat meat, less a tenth of them


def test_a_box_for_six_pans_refuses_a_seventh():
    plan = crowd(NINETY, MEATS, pits=[TRAILER, BARREL], waves=WAVES, boxes=[Box("Hot box", 6)])
    assert sum(serving.pans for serving in plan.servings) == 7
    (said,) = [one for one in plan.warnings if one.key == "crowd-boxes"]
    assert "1 is without a place" in said.text
    roomy = crowd(NINETY, MEATS, pits=[TRAILER, BARREL], waves=WAVES, boxes=[Box("Hot box", 7)])
    assert not [one for one in roomy.warnings if one.key == "crowd-boxes"]


def test_more_than_the_pits_feed_names_the_most_they_do_and_what_to_hire():
    plan = crowd(Guests(400), MEATS, pits=[BARREL])
    (said,) = [one for one in plan.warnings if one.key == "crowd-pits"]
    assert f"feed {plan.most_heads} of 400" in said.text
    assert "Hire a pit with" in said.text
    assert crowd(Guests(plan.most_heads), MEATS, pits=[BARREL]).loads == 1
    assert crowd(Guests(plan.most_heads + 1), MEATS, pits=[BARREL]).loads == 2
    rest = plan.grate_m2 - crowd(Guests(plan.most_heads), MEATS, pits=[BARREL]).grate_m2
    assert plan.hire_m2 == pytest.approx(rest)
    with pytest.raises(InputError, match="or invite"):
        crowd_cook(plan, [PitAt("b", Pit(name="B"))], [], title="t", date=dt.date(2027, 6, 12))


def test_servings_are_for_all_guests():
    with pytest.raises(InputError, match="80 of 90"):
        crowd(NINETY, MEATS, waves=[Wave("13:00", 40), Wave("15:00", 40)])
    plan = crowd(NINETY, MEATS, waves=[Wave("13:00", 60), Wave("15:00")])
    assert [serving.heads for serving in plan.servings] == [60, 30]


def test_it_is_laid_out_as_a_cook_with_every_piece_once_and_no_box_over_full():
    plan = crowd(NINETY, MEATS, pits=[TRAILER, BARREL], waves=WAVES, boxes=[Box("Hot box", 6)])
    box = Pit(name="Hot box", kind="box", pans=6)
    text = crowd_cook(
        plan,
        [PitAt("trailer", Pit(name="Trailer")), PitAt("barrel", Pit(name="Barrel"))],
        [PitAt("hot-box", box)],
        title="Fete",
        date=dt.date(2027, 6, 12),
    )
    cook = parse(text, Cook, file="cook.toml")
    for meat in plan.meats:
        laid = sum(piece.count for piece in cook.pieces if piece.cut == meat.cut)
        assert laid == meat.purchase.pieces
    assert sum(piece.pans for piece in cook.pieces if piece.hold_in) <= 6
    assert {piece.serve for piece in cook.pieces} == {"13:00", "15:00"}
    assert (cook.guests, cook.children, cook.no_meat) == (90, 12, 6)
