"""Labels: a day to use it by only from a published rule, named beside it."""

from __future__ import annotations

import datetime as dt

from cooks import NOW, record, ribs

from stallwise.joins.answer import answer


def labels_of(**more):
    made = record(
        ribs(**more.pop("piece", {})),
        mixes=("bone-stock", "plain-rub", "stock-glaze", "dry-brine"),
        **more,
    )
    return {label.what: label for label in answer(made, made_at=NOW).cards.labels}


def test_leftovers_and_stock_have_the_day_of_the_rule():
    found = labels_of()
    box = found["Pork spare ribs, trimmed"]
    # 96 h of data/limits_clock.csv from 16 May.
    assert box.until == "Wed 20 May 2026 at the latest, at 40 °F or colder"
    assert "Leftovers keep 3 to 4 days in the fridge" in box.rule
    assert "USDA FSIS" in box.rule
    assert found["Bone stock, reduced"].until == box.until


def test_where_no_rule_speaks_there_is_room_to_write():
    rub = labels_of()["Salt and pepper rub"]
    assert (rub.until, rub.rule) == ("", "no rule of ours says how long: your own")
    assert rub.since == "Sat 16 May 2026"


def test_what_is_used_up_has_no_jar():
    assert "Dry brine" not in labels_of()


def test_allergens_always_say_check_the_label_and_go_with_the_meat():
    found = labels_of()
    assert all("check the label" in one.allergens for one in found.values())


def test_meat_served_the_day_after_is_dated_then():
    box = labels_of(piece={"serve": "2026-05-17 12:00"})["Pork spare ribs, trimmed"]
    assert box.since == f"{dt.date(2026, 5, 17):%a} 17 May 2026"


def test_metric_degrees_and_the_european_list():
    import dataclasses

    made = record(ribs(), mixes=("stock-glaze",))
    made = dataclasses.replace(made, book=made.book.model_copy(update={"units": "metric"}))
    found = {label.what: label for label in answer(made, made_at=NOW).cards.labels}
    assert "at 4.4 °C (40 °F) or colder" in found["Pork spare ribs, trimmed"].until
    assert found["Stock and honey glaze"].allergens == "sulphites possible: check the label"
    assert found["Pork spare ribs, trimmed"].allergens == "sulphites possible: check the label"
