"""Mix files: what is read, what is asked, and the shipped ones."""

from __future__ import annotations

import copy
import tomllib

import pytest

from stallwise.ground.errors import InputError
from stallwise.tables.mix import KINDS
from stallwise.tables.mixbook import mix_from_mapping, mixbook, pantry
from stallwise.tables.serves import parse_serves, parse_target

GLAZE = """
schema = 1
name = "Glaze"
kind = "glaze"
per = "4 pieces"
sticks = "50 %"

[[lines]]
mix = "bone-stock"
amount = "1/2 cup"

[[lines]]
ingredient = "honey"
amount = "2 T"

[[lines]]
ingredient = "salt_fine_table"
amount = "1/4 t"
when = "after reducing"

[reduce]
to = "1/4 cup"
power = "1 kW"
"""


def test_a_mix_is_read_whole():
    glaze = mix_from_mapping(tomllib.loads(GLAZE), "mixes/glaze.toml", key="glaze")
    assert (glaze.key, glaze.kind, glaze.sticks) == ("glaze", "glaze", 0.5)
    assert (glaze.per.kind, glaze.per.count) == ("piece", 4.0)
    assert [line.ingredient or line.mix for line in glaze.lines] == [
        "bone-stock",
        "honey",
        "salt_fine_table",
    ]
    assert [line.after for line in glaze.lines] == [False, False, True]
    assert glaze.reduce.power_w == 1000.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kind": "rubb"}, "Nearest: rub"),
        ({"kind": ""}, "no kind"),
        ({"name": ""}, "without a name"),
        ({"per": "5"}, "'1 kg meat', '1 kg edible meat'"),
        ({"per": "0 pieces"}, "nothing"),
        ({"lines": []}, "without lines"),
        ({"lines": ["honey"]}, "line 1"),
        (
            {"lines": [{"ingredient": "honey", "amount": "2-3 T"}]},
            "line 1 (honey), amount: '2-3 T'",
        ),
        ({"lines": [{"ingredient": "honey", "amount": 2}]}, "'2 g', '2 tsp' or '2 tbsp'?"),
        ({"lines": [{"ingredient": "honey", "amount": "1 batch"}]}, "a weight or a volume"),
        ({"lines": [{"amount": "2 T"}]}, "neither an ingredient nor a mix"),
        ({"lines": [{"ingredient": "honey", "mix": "x", "amount": "2 T"}]}, "both an ingredient"),
        ({"lines": [{"ingredient": "honey", "amont": "2 T"}]}, "Did you mean 'amount'?"),
        (
            {"lines": [{"ingredient": "honey", "amount": "2 T", "when": "later"}]},
            "after reducing",
        ),
        ({"reduce": {"to": "1/4 cup", "by": 4}}, "one of the two"),
        ({"reduce": {"by": 0.5}}, "4 leaves a quarter"),
        ({"reduce": {"to": "1/4 cup", "power": "1"}}, "reduce.power"),
        ({"reduce": {"to": "1/4 cup", "ring": "wood"}}, "ring"),
        ({"simmer": {"time": "2 h"}}, "makes"),
        ({"use": "15 g per 1 kg meat"}, 'per = "batch"'),
        ({"sticks": "120 %"}, "more than the whole"),
        ({"region": "moon"}, "metric-20"),
        ({"schema": 2}, "another version"),
        ({"order": "first"}, "whole number"),
        ({"kindd": "rub"}, "Did you mean 'kind'?"),
    ],
)
def test_a_wrong_mix_names_file_key_and_what_is_allowed(change, words):
    mapping = copy.deepcopy(tomllib.loads(GLAZE)) | change
    with pytest.raises(InputError) as caught:
        mix_from_mapping(mapping, "mixes/glaze.toml")
    said = str(caught.value)
    assert words in said
    assert said.startswith("mixes/glaze.toml")


def test_unknown_keys_are_left_alone():
    mix_from_mapping(tomllib.loads(GLAZE) | {"remembered_from": "a friend"})


def test_the_cooks_own_mix_lies_over_the_shipped_one():
    shipped = mixbook()
    own = mixbook({"plain-rub": tomllib.loads(GLAZE)})
    assert set(own) == set(shipped)
    assert own["plain-rub"].kind == "glaze"
    assert shipped["plain-rub"].kind == "rub"


def test_the_cooks_own_measure_serves_in_a_mix():
    mapping = tomllib.loads(GLAZE)
    mapping["lines"][1]["amount"] = "2 ladles"
    book = pantry({"g": mapping}, measures={"ladles": "118 g"})
    assert book.mix("g").lines[1].amount.si == pytest.approx(0.236)


def test_shipped_mixes_are_ours_and_cover_the_kinds_of_a_rack():
    kinds = {mix.kind for mix in mixbook().values()}
    assert {"rub", "stock", "glaze", "wrap liquid", "butter"} <= kinds <= set(KINDS)
    assert all(mix.source for mix in mixbook().values())
    assert mixbook()["plain-rub"].order < mixbook()["low-salt-rub"].order


@pytest.mark.parametrize(
    ("text", "kind", "count"),
    [
        ("1 kg meat", "meat", 1.0),
        ("kg meat", "meat", 1.0),
        ("2 lb of meat", "meat", 0.90718474),
        ("piece", "piece", 1.0),
        ("4 racks", "piece", 4.0),
        ("28 guests", "guest", 28.0),
        ("batch", "batch", 1.0),
    ],
)
def test_what_a_mix_is_for(text, kind, count):
    serves = parse_serves(text)
    assert (serves.kind, serves.count) == (kind, pytest.approx(count))


@pytest.mark.parametrize(
    ("text", "batch", "kind", "count"),
    [
        ("4 kg", False, "meat", 4.0),
        ("6 lb 8 oz", False, "meat", 2.948350405),
        ("3 lb of meat", False, "meat", 1.36077711),
        ("5 pieces", False, "piece", 5.0),
        ("28 guests", False, "guest", 28.0),
        ("2 batches", False, "batch", 2.0),
        ("2½ batches", False, "batch", 2.5),
        ("half a batch", False, "batch", 0.5),
        ("250 g", True, "batch mass", 0.25),
        ("3 cups", True, "batch volume", 7.097647095e-4),
    ],
)
def test_what_to_scale_to(text, batch, kind, count):
    target = parse_target(text, batch=batch)
    assert (target.kind, target.count, target.text) == (kind, pytest.approx(count), text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("4", "'4 kg', '4 pieces', '4 guests' or '4 batches'?"),
        ("3 cups", "meat is weighed"),
        ("0 kg", "nothing"),
        ("4-5 kg", "range"),
        ("some", "no number"),
    ],
)
def test_a_target_is_asked(text, words):
    with pytest.raises(InputError) as caught:
        parse_target(text)
    assert words in str(caught.value)


RATIO = {
    "name": "SP",
    "kind": "rub",
    "per": "batch",
    "ratio": "1:2 by volume",
    "lines": [{"ingredient": "salt_kosher_rolled"}, {"ingredient": "pepper_black_ground"}],
}


def test_a_ratio_stays_a_ratio():
    mix = mix_from_mapping(RATIO, key="sp")
    assert mix.ratio == "1:2 by volume"
    assert [line.amount.text for line in mix.lines] == ["1 tbsp", "2 tbsp"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"ratio": "1:2:1 by volume"}, "3 parts for 2 lines"),
        ({"ratio": "1:2"}, "by volume"),
        ({"ratio": "1:0 by weight"}, "over 0"),
        (
            {"lines": [{"ingredient": "paprika", "amount": "1 T"}, {"ingredient": "cumin_seed"}]},
            "beside ratio",
        ),
    ],
)
def test_a_ratio_that_cannot_be_read_is_asked(change, words):
    with pytest.raises(InputError, match=words):
        mix_from_mapping({**RATIO, **change}, key="sp")


def test_a_weight_of_a_cut_is_meat_and_never_so_many_pieces():
    for said in ("4 kg brisket", "4 kg of brisket", "a 4 kg brisket", "8.8184905 lb butts"):
        target = parse_target(said)
        assert (target.kind, target.count) == ("meat", pytest.approx(4.0)), said
    assert parse_target("4 briskets").kind == "piece"


def test_a_spoilt_mix_or_ingredient_spoils_no_other():
    good = {"name": "Good", "kind": "rub", "lines": [{"ingredient": "paprika", "amount": "1 T"}]}
    bad = {**good, "lines": [{"ingredient": "paprika", "amount": "1"}]}
    shelf = pantry({"good": good, "bad": bad}, {"odd": {"name": "Odd", "density": -1}})
    assert shelf.mix("good").name == "Good"
    with pytest.raises(InputError, match=r"mixes/bad.toml.*no unit"):
        shelf.mix("bad")
    with pytest.raises(InputError, match=r"ingredients/odd.toml"):
        shelf.ingredient("odd")
    assert shelf.ingredient("honey").key == "honey"
