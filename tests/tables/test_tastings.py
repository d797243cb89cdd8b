"""Tables of a tasting: whole, and with nothing that a contest's sheet would have."""

from __future__ import annotations

import itertools
from collections import Counter

import pytest

from stallwise.ground.errors import InputError, NotFoundError
from stallwise.models.tasting.layouts import LAYOUTS
from stallwise.models.tasting.psychometric import PROTOCOLS
from stallwise.tables import tastings
from stallwise.tables.rows import rows


def test_every_way_of_asking_leads_somewhere():
    for one in tastings.methods().values():
        assert one.asks in {"like", "more", "tell"}
        assert not one.protocol or one.protocol in PROTOCOLS
        assert (one.reads in {"choice", "correct", "sequential"}) == bool(one.protocol)
        assert 2 <= one.arms_from <= one.arms_to
    fronts = Counter(one.asks for one in tastings.methods().values() if one.front)
    assert set(fronts) == {"like", "more", "tell"}


def test_layouts_in_words_are_those_that_can_be_laid():
    assert set(tastings.layouts()) == set(LAYOUTS)


def test_there_are_38_terms_and_the_cook_can_add():
    assert len(tastings.attributes()) == 38
    mine = [{"key": "maple", "question": "How much maple?", "kind": "line"}]
    assert tastings.attribute("maple", mine).group == "own"
    assert tastings.attribute("Smokiness").key == "smoky"
    with pytest.raises(NotFoundError, match=r"smoky.*\[\[own\]\]"):
        tastings.attribute("smokey")


def test_only_liking_has_nine_steps():
    """No row of look, taste and tenderness on one to nine: everything else is a line or a middle."""
    nine = [one.key for one in tastings.attributes().values() if one.kind == "like"]
    assert nine == ["liking"]
    kinds = {one.kind for one in tastings.attributes().values()}
    assert kinds == {"like", "line", "right", "count", "millimetres", "yes or no"}
    assert len(tastings.scale("like")) == 9
    assert list(tastings.scale("right")) == [-2, -1, 0, 1, 2]
    assert tastings.scale("line") == {}


@pytest.mark.parametrize(
    ("name", "laid"), [("glaze", "bone"), ("finishing salt", "bone"), ("membrane", "rack"),
                       ("wrap", "rack"), ("wood", "rack"), ("moonlight", "rack")],
)  # fmt: skip
def test_what_can_be_laid_on_a_bone(name, laid):
    assert tastings.factor(name).laid == laid


def test_blocks_let_every_two_meet_equally_often():
    for row in rows("tasting_blocks.csv").values():
        arms, each = int(row["arms"]), int(row["each"])
        found = tastings.blocks(arms, each)
        assert all(len(set(block)) == each for block in found)
        met = Counter(pair for block in found for pair in itertools.combinations(sorted(block), 2))
        assert len(met) == arms * (arms - 1) // 2
        assert len(set(met.values())) == 1
    with pytest.raises(InputError, match="2 or 3 or 4 of 5"):
        tastings.blocks(5, 1)
    with pytest.raises(InputError, match="all 8"):
        tastings.blocks(8, 3)


def test_rules_are_looked_up():
    assert tastings.rule("similar.fewest") == 30
    with pytest.raises(NotFoundError, match=r"alpha"):
        tastings.rule("alfa")
    with pytest.raises(NotFoundError, match="which-like"):
        tastings.method("which-likes")
