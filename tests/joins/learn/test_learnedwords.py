"""What was learned, in a cook's words."""

from __future__ import annotations

from stallwise.joins.learn.learnedwords import learned_table
from stallwise.tables.parameters import parameters


def test_every_habit_that_is_learned_has_a_name_in_words():
    known = parameters()
    habits = [key.removeprefix("learn.within.") for key in known if key.startswith("learn.within.")]
    learnt = [
        key
        for key, one in known.items()
        if one.scope in {"pit", "cut"}
        and any(key.startswith(f"{habit}.") or key.endswith(f".{habit}") for habit in habits)
    ]
    assert len(learnt) > len(habits)
    lessons = {key: (known[key].value, 0.1) for key in learnt}
    table = learned_table({"cooks": [{"taught": True, "pits": {}, "cuts": {"a": lessons}}]}, "us")
    assert not [words for _, words, *_ in table.rows if "." in words or "_" in words]
