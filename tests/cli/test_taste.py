"""`taste` from the plan to the paragraph."""

from __future__ import annotations

import csv
import json
import re

import pytest

from stallwise.cli.main import main
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample

COOK = "2026-05-16-ribs"
PLAN = ["plan", "glaze", "--like", "--factor", "glaze", "--arms", "stock", "sharp", "--bones", "A=12",
        "--tasters", "6", "--also", "sweet", "--plated-by", "someone else"]  # fmt: skip


def taste(*words):
    return main(["taste", COOK, *words])


def key(book):
    return list(csv.DictReader((book / "trials" / "glaze.key.csv").read_text().splitlines()))


def test_a_trial_is_planned_locked_answered_and_read(book, capsys):
    assert taste() == 0
    assert "no trial yet" in capsys.readouterr().out
    assert taste(*PLAN) == 0
    said = capsys.readouterr().out
    assert "With 6 tasters you would see a liking that" in said
    assert "There and back" in said
    assert taste("enter", "glaze", "T1 111", "--accept") == 2
    assert "lock glaze" in capsys.readouterr().err
    assert taste("lock", "glaze") == 0
    assert "12 plates for 6 tasters" in capsys.readouterr().out
    assert taste("cards", "glaze", "--print", "plates.html") == 0
    assert "notch" in (book / "plates.html").read_text()
    slips = [f"{row['taster']} {row['code']}" for row in key(book) if row["arm"] == "sharp"]
    assert taste("enter", "glaze", *slips) == 0
    assert "Nothing written yet" in capsys.readouterr().out
    (book / "slips.txt").write_text(
        "\n".join([*slips, f"T1 {key(book)[0]['code']} sweetness too much"])
    )
    assert taste("enter", "glaze", "--lines", "slips.txt", "--accept") == 0
    assert "7 written." in capsys.readouterr().out
    assert taste() == 0
    said = capsys.readouterr().out
    assert "6 of 6 sets are answered" in said
    assert "sharp" not in said.split("\n", 1)[1]
    assert taste("count", "glaze", "--what", "bones bare", "--arm", "stock", "--count", "3/12") == 0
    assert taste("close", "glaze") == 0
    said = capsys.readouterr().out
    assert "Shown here: sharp was liked better." in said
    assert "All 6 tasters liked sharp better." in said
    assert "Seen by eye: Bones bare: 3 of 12 with stock." in said
    assert "Also asked, and only told: Sweetness:" in said
    assert taste("enter", "glaze", slips[0], "--accept") == 2
    assert "closed" in capsys.readouterr().err
    assert taste("read", "glaze", "--json") == 0
    (result,) = json.loads(capsys.readouterr().out)["trials"]
    assert (result["verdict"], result["leader"], result["figures"]["p_value"]) == (
        "shown",
        "sharp",
        0.03125,
    )


def test_a_doubtful_slip_is_asked_about_and_the_rest_written(book, capsys):
    assert taste(*PLAN) == taste("lock", "glaze") == 0
    good = key(book)[0]
    assert (
        taste("enter", "glaze", f"{good['taster']} {good['code']}", "T1 999", "--accept", "--json")
        == 2
    )
    found = json.loads(capsys.readouterr().out.partition("\n{")[2].join(["{", ""]))
    assert found["written"] == 1
    assert "Nobody had a plate of that code" in found["questions"][0]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["plan", "x", "--like"], "--factor, --arms, --tasters"),
        ([*PLAN[:-1], "me"], "invalid choice"),
        (["plan", "x", "--like", "--factor", "glaze", "--arms", "a", "b", "--tasters", "5"], "6 tasters or more"),
        (["plan", "x", "--like", "--factor", "membrane", "--arms", "a", "b", "--tasters", "8", "--bones", "A=12"],
         "Cook 1 more"),
        (["plan", "x", "--like", "--factor", "glaze", "--arms", "a", "b", "--tasters", "8", "--bones", "Z=3"],
         "no piece Z"),
        (["lock"], "which trial"),
        (["lock", "nothing"], "no trial is called"),
        (["munch"], "invalid choice"),
    ],
)  # fmt: skip
def test_a_wrong_request_is_refused_in_words(book, capsys, words, said):
    assert taste(*words) == 2
    assert said in capsys.readouterr().err
    assert not (book / "trials" / "x.toml").exists()


def test_another_cook_joins_a_trial(book, capsys):
    new = ["new", "--cut", "pork-spare-ribs-trimmed", "--title", "More ribs", "--on", "2026-05-23"]
    assert main([*new, "--set", "serve=16:00", "--set", "mass=3 lb"]) == 0
    assert taste(*PLAN) == taste("lock", "glaze") == 0
    other = ["taste", "2026-05-23-more-ribs"]
    assert main([*other, "again", "glaze"]) == 2
    before = (book / "trials" / "glaze.toml").read_bytes()
    capsys.readouterr()
    assert main([*other, "again", "glaze", "--bones", "A=5"]) == 2
    assert "one bone for each bite" in capsys.readouterr().err
    assert (book / "trials" / "glaze.toml").read_bytes() == before
    assert main([*other, "again", "glaze", "--bones", "A=12"]) == 0
    rows = key(book)
    assert len(rows) == 24
    assert len({row["code"] for row in rows if row["taster"] == "T1"}) == 4
    assert main([*other, "again", "glaze", "--bones", "A=12"]) == 2
    capsys.readouterr()
    assert main([*other, "read", "--json"]) == 0
    (result,) = json.loads(capsys.readouterr().out)["trials"]
    assert result["cooks"] == [COOK, "2026-05-23-more-ribs"]
    assert result["changed"] == {}


def test_a_closed_trial_takes_no_other_cook(book, capsys):
    new = ["new", "--cut", "pork-spare-ribs-trimmed", "--title", "More ribs", "--on", "2026-05-23"]
    assert main([*new, "--set", "serve=16:00", "--set", "mass=3 lb"]) == 0
    assert taste(*PLAN) == taste("lock", "glaze") == taste("close", "glaze") == 0
    before = (book / "trials" / "glaze.toml").read_bytes()
    assert main(["taste", "2026-05-23-more-ribs", "again", "glaze", "--bones", "A=12"]) == 2
    assert "closed" in capsys.readouterr().err
    assert (book / "trials" / "glaze.toml").read_bytes() == before


def test_what_was_noticed_is_entered_by_arm(book, capsys):
    plan = [
        "plan",
        "wrap",
        "--like",
        "--factor",
        "wrap",
        "--arms",
        "foil",
        "paper",
        "--tasters",
        "3",
    ]
    assert taste(*plan, "--noticed") == 0
    assert taste("enter", "wrap", "T1 paper", "T2 paper", "T3 foil", "--accept") == 0
    capsys.readouterr()
    assert taste() == 0
    said = capsys.readouterr().out
    assert "2 of 3 tasters liked paper better, 1 foil." in said
    assert "noticed afterwards" in said


def test_ways_are_listed_for_teachers(book, capsys):
    assert taste("ways") == 0
    said = capsys.readouterr().out
    assert "For teachers" in said
    assert "same-or-different" in said
    assert "hot                    heat       How is the heat of the pepper? (hottest last," in said
    assert taste("ways", "--json") == 0
    assert len(json.loads(capsys.readouterr().out)["ask"]) == 38


def published(book):
    assert main(["publish", COOK]) == 0
    return (book / "journal" / "cooks" / f"{COOK}.html").read_text()


def test_a_page_tells_a_trial_once_its_key_is_open(book, capsys):
    plan = [word for word in PLAN if word not in {"--plated-by", "someone else"}]
    assert taste(*plan) == taste("lock", "glaze") == 0
    slips = [f"{row['taster']} {row['code']}" for row in key(book) if row["arm"] == "sharp"]
    assert taste("enter", "glaze", *slips, "--accept") == 0
    assert "Side by side" not in published(book)
    assert taste("close", "glaze") == 0
    html = published(book)
    assert "It leans clearly, but not blind: sharp was liked better." in html
    assert "nobody wrote down who plated" in html
    assert html.count('class="dots"') == 1
    assert 'href="#from-trials"' in html
    section = re.sub(r"<svg.*?</svg>", "", html.split("Side by side")[1].split("</section>")[0])
    codes = "|".join(row["code"] for row in key(book))
    assert not re.search(rf"(?<![\d.])({codes})\b", section)
    cook = book / "cooks" / COOK / "cook.toml"
    cook.write_text(cook.read_text().replace("schema = 1", 'schema = 1\nprivate = ["trials"]', 1))
    assert "Side by side" not in published(book)
    cook.write_text(cook.read_text().replace('"trials"', '"tasting"'))
    assert "Side by side" not in published(book)
    cook.write_text(cook.read_text().replace('private = ["tasting"]', ""))
    trial = book / "trials" / "glaze.toml"
    trial.write_text(trial.read_text().replace("schema = 1", "schema = 1\nprivate = true", 1))
    assert "Side by side" not in published(book)


def test_a_year_keeps_two_lists(book, capsys):
    assert taste(*PLAN) == taste("lock", "glaze") == 0
    slips = [f"{row['taster']} {row['code']}" for row in key(book) if row["arm"] == "sharp"]
    assert taste("enter", "glaze", *slips, "--accept") == taste("close", "glaze") == 0
    assert taste("score", "T1 7", "T2 like slightly") == 0
    assert taste("score", "T3 12") == 2
    capsys.readouterr()
    assert main(["taste", "--year"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Tested:\n  Glaze: sharp ahead with about")
    assert "Noticed, and not tested:" in said
    assert "Next: repeat sharp against stock" in said
    assert main(["taste", "--year", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["tested"][0]["units"] == 6
    assert main(["taste"]) == 2


def test_a_made_up_trial_stands_in_no_year_of_ones_own(book, capsys):
    assert main(["init", "made-up", "--sample"]) == 0
    capsys.readouterr()
    assert main(["taste", "--year", "--json", "--cookbook", "made-up"]) == 0
    assert [one["trials"] for one in json.loads(capsys.readouterr().out)["tested"]] == [
        ["which-glaze"]
    ]
    bring_sample(Cookbook.open(book))
    assert main(["taste", "--year", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["tested"] == []
