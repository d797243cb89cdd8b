"""Open formats in a page: a Recipe as data, classes that say what is what, times for machines."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import re
import runpy
from pathlib import Path

import jsonschema
import pytest
from bs4 import BeautifulSoup
from PIL import Image

from stallwise.joins.result import FinishSeen
from stallwise.record.schema import Photo

_HERE = Path(__file__)
_MADE = runpy.run_path(str(_HERE.parents[1] / "pictures" / "results.py"))
Shelf = runpy.run_path(str(_HERE.with_name("test_journal.py")))["Shelf"]

#: What schema.org's Recipe says of the properties that a page fills, https://schema.org/Recipe
RECIPE = {
    "type": "object",
    "required": ["@context", "@type", "name", "datePublished", "recipeIngredient"],
    "additionalProperties": False,
    "properties": {
        "@context": {"const": "https://schema.org"},
        "@type": {"const": "Recipe"},
        "name": {"type": "string", "minLength": 1},
        "description": {"type": "string"},
        "datePublished": {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
        "author": {
            "type": "object",
            "required": ["@type", "name"],
            "properties": {"@type": {"enum": ["Person", "Organization"]}},
        },
        "image": {"type": "array", "items": {"type": "string"}},
        "keywords": {"type": "string"},
        "recipeYield": {"type": "string"},
        "cookTime": {"type": "string", "pattern": r"^PT\d+H\d+M$"},
        "recipeIngredient": {"type": "array", "items": {"type": "string"}, "minItems": 1},
        "recipeInstructions": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["@type", "text"],
                "properties": {"@type": {"const": "HowToStep"}, "text": {"type": "string"}},
            },
        },
        "creativeWorkStatus": {"type": "string"},
    },
}


@pytest.fixture
def shoulder():
    return _MADE["shoulder"]()


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


def recipe_of(html):
    (text,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', html, re.DOTALL)
    return json.loads(text)


def test_recipe_is_what_the_vocabulary_says(shelf, shoulder):
    folder = shelf.add(
        shoulder, outcome="It pulled clean.", tags=["oak"], photos=[Photo(file="a.jpg")]
    )
    Image.new("RGB", (900, 600)).save(folder / "a.jpg")
    shelf.publish()
    data = recipe_of(shelf.page(shoulder.cook))
    jsonschema.validate(data, RECIPE)
    assert data["name"] == shoulder.title
    assert data["keywords"] == "oak"
    assert data["author"] == {"@type": "Person", "name": "The supper committee"}
    assert data["creativeWorkStatus"] == "Sample, our own invention"
    assert any("black pepper" in line.lower() for line in data["recipeIngredient"])
    assert len(data["recipeInstructions"]) > 5
    picture = (shelf.path / "journal" / "cooks" / data["image"][0]).resolve()
    assert picture.is_file()


def test_cooking_time_is_the_longest_piece_and_only_what_was_seen(shelf, shoulder):
    seen = FinishSeen(shoulder.as_of + dt.timedelta(hours=13.1), 13.1, "looks")
    piece = dataclasses.replace(shoulder.pieces[0], finish_seen=seen)
    shelf.add(dataclasses.replace(shoulder, pieces=(piece,)))
    shelf.publish()
    assert recipe_of(shelf.page(shoulder.cook))["cookTime"] == "PT13H6M"
    unseen = dataclasses.replace(piece, finish_seen=None)
    shelf.results[shoulder.cook] = dataclasses.replace(shoulder, pieces=(unseen,))
    shelf.publish()
    assert "cookTime" not in recipe_of(shelf.page(shoulder.cook))


def test_no_word_of_a_cook_ends_the_data(shelf, shoulder):
    shelf.add(shoulder, outcome="</script><script>alert(1)</script><!--")
    shelf.publish()
    html = shelf.page(shoulder.cook)
    assert recipe_of(html)["description"] == "</script><script>alert(1)</script><!--"
    assert "<script>alert" not in html


def test_classes_say_what_is_what(shelf, shoulder):
    shelf.add(shoulder, outcome="It pulled clean.", notes="Windy.", tags=["oak"])
    shelf.publish()
    page = BeautifulSoup(shelf.page(shoulder.cook), "html.parser")
    entry = page.select_one(".h-entry")
    assert entry.select_one("h1.p-name").text == shoulder.title
    assert entry.select_one("time.dt-published")["datetime"] == "2027-09-25"
    assert entry.select_one(".p-summary").text == "It pulled clean."
    assert entry.select_one(".e-content").text.strip() == "Windy."
    assert [tag.text for tag in entry.select(".p-category")] == ["oak"]
    recipes = page.select(".h-recipe")
    assert len(recipes) == len(shoulder.mixes)
    for recipe, mix in zip(recipes, shoulder.mixes, strict=True):
        assert mix.name in recipe.select_one(".p-name").text
        assert len(recipe.select(".p-ingredient")) == len(mix.lines)
        assert recipe.select_one(".p-yield")
    feed = BeautifulSoup((shelf.path / "journal/index.html").read_text("utf-8"), "html.parser")
    assert feed.select_one(".h-feed .h-entry .u-url")["href"] == f"cooks/{shoulder.cook}.html"


def test_every_time_of_day_is_one_that_a_machine_reads(shelf, shoulder):
    shelf.add(shoulder)
    shelf.publish()
    page = BeautifulSoup(shelf.page(shoulder.cook), "html.parser")
    times = page.select(".sheet time")
    assert len(times) > 10
    assert all(dt.datetime.fromisoformat(time["datetime"]).tzinfo for time in times)
