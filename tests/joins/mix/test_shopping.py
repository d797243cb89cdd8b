"""One list over cooks: each gram once, what is at hand taken off, what is trimmed not bought."""

from __future__ import annotations

import dataclasses

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins.answer import answer
from stallwise.joins.mix.shopping import shopping
from stallwise.joins.mix.shoptables import shop_tables
from stallwise.joins.mix.yields import own_yields
from stallwise.joins.tables import as_text
from stallwise.record.schema import Cook, Piece, PitUse
from stallwise.record.weighins import weigh_in
from tests.joins.cooks import NOW, record, ribs


def bought(found, key):
    (item,) = [item for item in found.items if item.key == key]
    return item


def named(cook, name):
    return dataclasses.replace(cook, name=name, cook=cook.cook.model_copy(update={"title": name}))


def test_cooks_of_a_day_make_one_list():
    one = named(record(mixes=("plain-rub",)), "lunch")
    two = named(record(ribs(letter="B"), mixes=("plain-rub", "stock-glaze")), "supper")
    alone, both = shopping([one]), shopping([one, two])
    salt = bought(both, "salt_kosher_rolled")
    assert salt.buy_g == pytest.approx(2 * bought(alone, "salt_kosher_rolled").buy_g)
    racks = bought(both, "pork-spare-ribs-trimmed")
    assert (racks.pieces, racks.users) == (2, ("lunch", "supper"))
    assert [item.section for item in both.items][:2] == ["meat", "meat"]
    assert both.items[-1].section == "from the tap"


def test_a_stock_that_is_made_is_not_bought_again_for_the_glaze():
    glaze = shopping([record(mixes=("stock-glaze",))])
    both = shopping([record(mixes=("bone-stock", "wrap-liquid", "stock-glaze"))])
    # The glaze of one rack alone boils down just the stock it takes; one batch is 800 g of bones.
    assert bought(glaze, "bones_meaty").buy_g < 800
    assert bought(both, "bones_meaty").buy_g == pytest.approx(800)
    assert bought(both, "honey").buy_g == pytest.approx(bought(glaze, "honey").buy_g)


def test_what_is_at_hand_is_taken_off_and_never_more():
    cook = record(mixes=("stock-glaze",))
    full = bought(shopping([cook]), "honey").needed_g
    some = bought(shopping([cook], at_hand={"honey": "5 g"}), "honey")
    assert (some.buy_g, some.at_hand_g) == (pytest.approx(full - 5), 5)
    lots = bought(shopping([cook], at_hand={"honey": "2 lb"}), "honey")
    assert (lots.buy_g, lots.at_hand_g) == (0.0, pytest.approx(full))


def test_a_jar_of_stock_saves_the_bones():
    cook = record(mixes=("stock-glaze",))
    found = shopping([cook], at_hand={"bone-stock": "3/4 cup"})
    assert "bones_meaty" not in [item.key for item in found.items]
    assert found.ready["Bone stock, reduced"] == pytest.approx(29.5, rel=0.01)
    assert "At hand" in [table.caption for table in shop_tables(found)]


def test_trimmings_of_the_day_are_not_bought():
    saved = record(ribs(mass_bought="4 lb", mass_saved="500 g"), mixes=("bone-stock",))
    bones = bought(shopping([saved]), "bones_meaty")
    assert (bones.at_hand_g, bones.buy_g) == (pytest.approx(500), pytest.approx(300))
    assert "trimmed off" in bones.note


def test_a_rack_is_bought_before_it_is_trimmed():
    (piece,) = [i for i in shopping([record()]).items if i.pieces]
    assert piece.buy_g == pytest.approx(1360.777 / 0.67, rel=1e-3)  # practice: 0.58 to 0.76 kept
    weighed = [
        Cook(
            title="t",
            date="2026-01-01",
            pieces=[
                Piece(letter="A", cut="pork-spare-ribs-trimmed", mass_bought="2 kg", mass=f"{on} g")
            ],
        )
        for on in (1500, 1600, 1700)
    ]
    (own,) = [
        i for i in shopping([record()], own=own_yields(map(weigh_in, weighed))).items if i.pieces
    ]
    assert own.buy_g == pytest.approx(1360.777 / 0.8, rel=1e-3)


@pytest.mark.parametrize(
    ("hand", "words"),
    [
        ({"hunny": "200 g"}, "honey"),
        ({"honey": "200"}, "no unit"),
        ({"honey": "-5 g"}, "negative"),
        ({"salt": "1 cup"}, "Which crystal"),
        ({"pepper_black_butcher": "2 T"}, "nobody printed"),
    ],
)
def test_what_is_at_hand_must_be_known_and_weighed(hand, words):
    with pytest.raises(InputError, match=words):
        shopping([record(mixes=("stock-glaze",))], at_hand=hand)


def test_no_cook_is_no_list():
    with pytest.raises(InputError, match="no cook"):
        shopping([])
    with pytest.raises(NotFoundError, match="plain-rub"):
        shopping([record(mixes=("plane-rub",))])


def test_a_batch_at_hand_is_measured_in_the_spoons_of_the_book():
    own = {"name": "Mine", "kind": "rub", "per": "batch",
           "lines": [{"ingredient": "paprika", "amount": "2 T"}]}  # fmt: skip
    cook = record(mixes=("mine",))
    book = cook.book.model_copy(update={"spoons": "australian"})
    cook = dataclasses.replace(cook, mixes={"mine": own}, book=book)
    found = shopping([cook], at_hand={"mine": "1 batch"})
    assert "paprika" not in [item.key for item in found.items if item.buy_g]


def _fire(**more):
    pits = [PitUse(letter="P", start="250 F", kind="offset", fuel="seasoned oak")]
    return record(ribs(), pits=pits, **more)


def test_fuel_is_on_the_list_with_its_margin_in_the_cooks_own_unit():
    found = shopping([_fire()])
    (wood,) = [item for item in found.items if item.section == "fire, foil and the rest"]
    planned = answer(_fire(), made_at=NOW).fuel[0]
    assert wood.name == "seasoned oak"
    assert wood.needed_g == pytest.approx(planned.buy_kg * 1e3, rel=1e-6)
    assert wood.needed_g > planned.all_kg.p50 * 1e3
    assert wood.spoons.endswith(" splits")
    assert "nine days in ten" in wood.note
    text = "\n".join(as_text(table) for table in shop_tables(found))
    assert "seasoned oak" in text
    # Two cooks of a day are one heap of wood.
    both = shopping([_fire(), _fire(title="second")])
    (heap,) = [item for item in both.items if item.section == "fire, foil and the rest"]
    assert heap.needed_g == pytest.approx(2.0 * wood.needed_g)


def test_fuel_at_hand_is_taken_off_by_weight_or_by_count():
    for hand, left in (({"oak": "2 kg"}, 2000.0), ({"wood": "3 splits"}, 2100.0)):
        found = shopping([_fire()], at_hand=hand)
        (wood,) = [item for item in found.items if item.section == "fire, foil and the rest"]
        assert wood.needed_g - wood.buy_g == pytest.approx(left)
    plenty = shopping([_fire()], at_hand={"oak": "200 kg"})
    (wood,) = [item for item in plenty.items if item.section == "fire, foil and the rest"]
    assert not wood.to_buy
    with pytest.raises(InputError, match="a heap"):
        shopping([_fire()], at_hand={"oak": "a heap"})


def test_a_cook_that_lists_its_fuel_itself_is_not_told_twice():
    extras = [{"name": "oak splits", "mass": "20 kg"}]
    found = shopping([_fire(extras=extras)])
    names = [item.name for item in found.items if item.section == "fire, foil and the rest"]
    assert names == ["oak splits"]


@pytest.mark.parametrize("name", ["firewood", "apple wood", "Oak logs"])
def test_wood_by_any_name_is_taken_off(name):
    found = shopping([_fire()], at_hand={name: "2 kg"})
    (wood,) = [item for item in found.items if item.section == "fire, foil and the rest"]
    assert wood.at_hand_g == pytest.approx(2000.0)


def test_what_is_drunk_or_eaten_is_no_firewood():
    found = shopping([_fire()], at_hand={"apple juice": "1 l"})
    assert not any(item.at_hand_g for item in found.items)
    with pytest.raises(NotFoundError, match="syrup_maple"):
        shopping([_fire()], at_hand={"maple syrup": "1 l"})


@pytest.mark.parametrize(
    ("name", "told"), [("briquettes", True), ("firewood", True), ("apple pie", False)]
)
def test_only_a_list_that_names_fuel_keeps_the_fires_own_off(name, told):
    found = shopping([_fire(extras=[{"name": name}])])
    names = [item.name for item in found.items if item.section == "fire, foil and the rest"]
    assert (names == [name]) is told
