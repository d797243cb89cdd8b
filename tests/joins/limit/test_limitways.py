"""Ways to cool, tried: shallower and colder is quicker, and it stays a forecast."""

from __future__ import annotations

import json

import pytest

from stallwise.cli.main import main
from stallwise.ground.errors import NotFoundError, OutOfRangeError
from stallwise.joins.limit.limitways import cooling_ways, ice_words, plain_way, way_table


def ways(food="stock", depth=0.2, width=0.25, start_c=93.0, **given):
    found = cooling_ways(food, depth, width, start_c=start_c, members=40, **given)
    return {one.key: one for one in found}


def test_a_big_pot_in_the_fridge_is_slow_and_ice_is_quick():
    found = ways()
    assert found["fridge"].first_h[0] > 2.0
    assert found["fridge"].share == 0.0
    assert found["ice"].first_h[1] < 1.0
    assert found["shallow"].first_h[1] < found["fridge"].first_h[0]
    assert found["parts"].first_h[1] < found["fridge"].first_h[1]
    assert found["ice"].share > 0.5


def test_twice_the_depth_of_thick_food_takes_far_longer():
    thin, thick = ways("beans", depth=0.05)["ice"], ways("beans", depth=0.10)["ice"]
    assert thick.first_h[0] > 2.0 * thin.first_h[0]


@pytest.mark.parametrize("size", [0.1, 0.2, 0.3])
def test_a_pot_as_deep_as_wide_is_a_pot(size):
    assert ways(depth=size, width=size)["fridge"].first_h[0] > 0.0


def test_the_words_are_a_forecast_with_its_rule():
    found = tuple(ways().values())
    table = way_table(found, "stock", "us")
    assert "a forecast" in table.caption
    assert "US FDA Food Code, 3-501.14" in table.caption
    assert [row[0] for row in table.rows][-1] == "as it is in the fridge"
    assert table.header[1:3] == ("135 to 70 °F, 2 h", "to 41 °F, 6 h in all")
    metric = way_table(found, "stock", "metric").header
    assert metric[1] == "57.2 to 21.1 °C (135 to 70 °F), 2 h"
    assert "From 135 to 41 °F it takes at least 0.6 times its weight" in ice_words("stock", "us")
    assert "above 5 °C (41 °F)" in ice_words("beans", "metric")
    assert "weight in ice" not in ice_words("beans", "us")
    assert json.dumps([plain_way(one) for one in found], allow_nan=False)


def test_what_is_not_hot_or_not_known_is_refused():
    with pytest.raises(OutOfRangeError, match="135"):
        ways(start_c=50.0)
    with pytest.raises(NotFoundError, match="stock"):
        ways("soup")


def test_the_command_tries_them(tmp_path, capsys):
    book = tmp_path / "book"
    assert main(["init", str(book), "--sample"]) == 0
    cook = ["--cookbook", str(book), "limits", "2026-05-16-spring-ribs", "--cool", "stock"]
    capsys.readouterr()
    assert main([*cook, "--depth", "20 cm", "--width", "25 cm", "--from", "95 C"]) == 0
    said = capsys.readouterr().out
    assert "a forecast" in said
    assert "Your local code" in said
    assert "From 203 °F, 7 3/4 in deep in a pot 9 3/4 in wide" in said
    assert main(cook) == 0
    assert "From 200 °F, 8 in deep in a pot 10 in wide" in capsys.readouterr().out
    assert main([*cook, "--from", "95"]) == 2
