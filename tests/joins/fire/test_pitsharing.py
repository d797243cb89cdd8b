"""The pit as a shared thing: shelves, birds, two heats, boxes; with the nearest plan that can be done."""

from __future__ import annotations

import dataclasses

import pytest
from cooks import NOW, line, record, ribs

from stallwise.ground.errors import InputError
from stallwise.joins.answer import answer
from stallwise.record.schema import Piece, Pit, PitUse, Shelf

SMOKER = PitUse(letter="P", pit="smoker", start="250 F")
SHELVES = [
    Shelf(name="upper", width="45 cm", depth="30 cm"),
    Shelf(name="lower", width="45 cm", depth="30 cm"),
]


def files(**more):
    return {"smoker": Pit(name="smoker", shelves=SHELVES)} | more


def made(*pieces, pits=(SMOKER,), book=None, **cook):
    found = record(*pieces, pits=list(pits), **cook)
    return answer(dataclasses.replace(found, pits=book or files()), made_at=NOW)


def said(result, key):
    return [warning.text for warning in result.warnings if warning.key == key]


def brisket(letter="A", **more):
    return Piece(**{"letter": letter, "cut": "beef-brisket-whole", "mass": "12 lb"} | more)


def chicken(letter="B", **more):
    return Piece(
        **{"letter": letter, "cut": "chicken-whole", "mass": "4 lb", "finish": "skin soft"} | more
    )


def butt(letter="C", **more):
    return Piece(**{"letter": letter, "cut": "pork-shoulder-bone-in", "mass": "8 lb"} | more)


def test_birds_lie_below_and_the_result_says_who_lies_where():
    result = made(brisket(pit_most="300 F"), chicken(count=2))
    both = [
        load
        for load in result.loads
        if {n for s in load.shelves for n, _ in s.pieces} == {"A", "B"}
    ]
    (load,) = both
    upper, lower = load.shelves
    assert [shelf.pieces for shelf in (upper, lower)] == [(("A", 1),), (("B", 2),)]
    assert 0.2 < upper.share < 1.0
    assert load.since == max(piece.on_at for piece in result.pieces)
    assert not said(result, "bird-above")


@pytest.mark.parametrize("book", [files(), {}])
def test_a_bird_that_the_cook_put_above_is_said(book):
    result = made(
        brisket(place="lower shelf", pit_most="300 F"), chicken(place="upper shelf"), book=book
    )
    (text,) = said(result, "bird-above")
    assert "B is a bird and lies above A" in text
    assert "A above and B below" in text


def test_a_pit_that_is_too_full_has_the_nearest_plan():
    result = made(brisket(count=2), butt("B", count=4))
    (text,) = said(result, "pit-full")
    assert "pit smoker is too full" in text
    assert "Nearest that can be done: " in text
    # A second cooker in the book has the room.
    second = Pit(name="drum", kind="closed", shelves=SHELVES)
    (text,) = said(made(brisket(count=2), butt("B", count=4), book=files(drum=second)), "pit-full")
    assert "has a pit to itself in drum (pits/drum.toml)" in text


def test_what_can_go_on_later_is_told_to():
    # Racks need five hours, the butts are off long before.
    result = made(
        butt("A", count=4, serve="10:00"), ribs(letter="D", count=2, serve="22:00"), odds="usual"
    )
    assert not said(result, "pit-full")
    tight = made(butt("A", count=4, serve="10:00"), butt("B", count=4, serve="16:00"))
    (text,) = said(tight, "pit-full")
    assert "B" in text
    assert "when there is room" in text or "first: on at" in text


def test_what_is_off_takes_no_room():
    log = (line("00:10", "meat_on", "A"), line("09:00", "off", "A"))
    pieces = (
        butt("A", count=4, serve="10:00", on="00:10"),
        butt("B", count=4, on="09:30", serve="23:00"),
    )
    full = made(*pieces)
    assert said(full, "pit-full")
    found = record(*pieces, pits=[SMOKER], log=log)
    at_nine = log[-1].at
    later = answer(dataclasses.replace(found, pits=files()), made_at=at_nine)
    assert not said(later, "pit-full")


def test_hung_racks_leave_the_shelf_to_others():
    hooks = [Shelf(name="hooks", width="60 cm", depth="45 cm", takes=8)]
    book = {"smoker": Pit(name="smoker", shelves=hooks)}
    assert not said(made(ribs(count=8), book=book), "pit-full")
    assert said(made(ribs(count=9), book=book), "pit-full")
    assert said(made(ribs(count=8), butt(), book=book), "pit-full")


def test_two_heats_in_one_pit_are_refused_with_what_can_be_done():
    bird = chicken(pit_least="325 F", pit_most="350 F")
    (text,) = said(made(brisket(pit_most="250 F"), bird), "two-heats")
    assert "A wants" in text
    assert "one heat cannot suit both" in text
    kettle = PitUse(letter="Q", pit="kettle", start="325 F", kind="closed")
    (text,) = said(made(brisket(pit_most="250 F"), bird, pits=(SMOKER, kettle)), "two-heats")
    assert "B has room in pit Q (kettle)" in text


def test_one_heat_that_suits_both_is_offered():
    result = made(butt("A", pit_least="265 F"), brisket("B", pit_most="280 F"))
    (text,) = said(result, "wrong-heat")
    assert "265 °F suits A and B" in text
    assert not said(result, "two-heats")


def test_a_range_upside_down_is_refused():
    with pytest.raises(InputError, match="pit_least below pit_most"):
        made(brisket(pit_least="300 F", pit_most="250 F"))


BOX = PitUse(letter="H", pit="hotbox", kind="box", start="150 F")


def held(*counts, pans=6, **book):
    letters = "ABCDE"
    pieces = [
        butt(letter, count=many, hold="box", hold_in="H")
        for letter, many in zip(letters, counts, strict=False)
    ]
    hot = {"hotbox": Pit(name="hotbox", kind="box", pans=pans)} | book
    return record(*pieces, pits=[SMOKER, BOX]), hot


def test_seven_pans_in_a_box_for_six_are_refused():
    plan, book = held(4, 3)
    with pytest.raises(InputError) as caught:
        answer(dataclasses.replace(plan, pits=book), made_at=NOW)
    assert "7 pans in hotbox (H)" in caught.value.came
    assert "4 of A and 3 of B" in caught.value.came
    assert "6 pans" in caught.value.allowed
    assert "Leave" in caught.value.todo


def test_six_pans_are_fine_and_a_second_box_is_offered():
    plan, book = held(4, 2)
    answer(dataclasses.replace(plan, pits=book), made_at=NOW)
    plan, book = held(4, 3, spare=Pit(name="spare", kind="box", pans=4))
    more = plan.cook.model_copy(
        update={"pits": [*plan.cook.pits, PitUse(letter="K", pit="spare", kind="box")]}
    )
    with pytest.raises(InputError) as caught:
        answer(dataclasses.replace(plan, pits=book, cook=more), made_at=NOW)
    assert "into spare (K), which has room" in caught.value.todo


def test_a_cook_under_way_is_told_and_not_refused():
    plan, book = held(4, 3)
    log = (line("00:10", "meat_on", "A"),)
    result = answer(dataclasses.replace(plan, pits=book, log=log), made_at=log[0].at)
    assert said(result, "box-full")


def test_cold_meat_takes_the_pit_down_and_the_step_says_how_far():
    result = made(butt(count=3), chicken(count=2, serve="18:00"))
    details = {step.id: step.detail for step in result.steps if step.id.startswith("meat_on")}
    assert "the pit falls some" in details["meat_on-C"]
    assert "feed the fire before" in details["meat_on-C"]
    assert "below other food or apart from it" in details["meat_on-B"]


def test_shelves_are_ordered_by_their_names_where_they_say_it():
    upside_down = {
        "smoker": files()["smoker"].model_copy(update={"shelves": files()["smoker"].shelves[::-1]})
    }
    loads = [
        made(brisket(pit_most="300 F"), chicken(count=2), book=book).loads
        for book in (files(), upside_down)
    ]
    assert loads[0] == loads[1]


def test_a_piece_that_names_its_box_is_held_there_without_another_word():
    plan, book = held(4, 2)
    bare = [piece.model_copy(update={"hold": None}) for piece in plan.cook.pieces]
    cold = [SMOKER, BOX.model_copy(update={"start": None})]
    plan = dataclasses.replace(plan, pits=book, cook=plan.cook.model_copy(update={"pits": cold}))
    quiet = dataclasses.replace(plan, cook=plan.cook.model_copy(update={"pieces": bare}))
    said_so, named = (answer(one, made_at=NOW).pieces for one in (plan, quiet))
    assert [piece.serving for piece in named] == [piece.serving for piece in said_so]
    assert named[0].serving.place == "box"


def test_a_box_with_a_heat_of_its_own_holds_like_an_oven_at_that_heat():
    plan, book = held(4, 2)
    pits = [SMOKER, BOX.model_copy(update={"start": "150 F"})]
    warm = dataclasses.replace(plan, pits=book, cook=plan.cook.model_copy(update={"pits": pits}))
    (one, *_) = answer(warm, made_at=NOW).pieces
    assert (one.serving.place, one.serving.place_c) == ("oven", pytest.approx(65.6, abs=0.1))


def test_what_came_off_is_looked_at_wrapped_and_chased_no_more():
    log = (line("00:10", "meat_on"), line("08:00", "off", "A"))
    cook = record(brisket(serve="17:00"), pits=[SMOKER], log=log)
    later = log[-1].at.replace(minute=30)
    result = answer(cook, made_at=later, as_of=later)
    open_steps = {step.id.partition("-")[0] for step in result.steps if step.done_at is None}
    assert not open_steps & {"look", "spritz", "wrap", "unwrap", "check"}
    assert {"carve", "serve"} <= open_steps
    assert not result.remedies
    assert not any(warning.key == "at-risk" for warning in result.warnings)


def test_what_is_chilled_anyway_can_be_cooked_first_however_long_it_waits():
    first = butt("A", count=4, on="12:00", serve="2026-05-17 02:00")
    cold = butt("B", count=4, on="13:00", reheat="90 min", serve="2026-05-17 18:00")
    (text,) = said(made(first, cold), "pit-full")
    assert text.endswith("then chilled.")
