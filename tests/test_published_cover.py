"""Every public function that names a published source is held to three published values, or says why not."""

from __future__ import annotations

import csv
import importlib
import inspect
import pkgutil
import re
from collections import Counter
from pathlib import Path

import stallwise.models
import stallwise.tables
from stallwise.ground.references import reference

FOLDER = Path(__file__).parent / "published"
LEAST = 3

#: Functions whose source prints no value of theirs: why, and what holds them instead.
NONE_PRINTED = {
    "models.growth.growth_span_log10": "two models over readings; their rates have rows",
    "models.limits.kept_hot": "a rule over readings: test_limits.py",
    "models.limits.least_temperature": "a rule over readings: test_limits.py",
    "models.limits.left_out": "a rule over readings: test_limits.py",
    "models.pitload.loading": "a heat balance by hand in test_pitload.py; its coefficient has rows",
    "models.probecheck.boiling_at_c": "its two parts have rows; one printed rule of thumb",
    "models.probecheck.probe_check": "a rule over a reading: test_probecheck.py",
    "models.body.equivalent_body_from_volume": "R A / V; slab, cylinder and sphere are derived rows",
    "models.assimilate.assimilate": "the paper prints a method: its properties in test_assimilate.py",
    "models.conformal.widening": "the papers print a method: coverage in test_conformal.py",
    "models.conduction.relaxation": "modes of a body on shells; series in test_conduction.py",
    "models.cooling.cooling_forecast": "a whole day of draws; its parts have rows; test_cooling.py",
    "models.fuel.warm_up_heat_j": "mass times heat times rise; a derived row",
    "models.kernel.march": "a whole cook; series, a fine grid and published cooks in test_kernel.py, "
    "test_literature.py",
    "models.scores.inside_share": "the paper prints a formula: brackets in test_scores.py",
    "models.tasting.criterion.is_it_this_one": "one printed example: its two values have rows",
    "models.tasting.ranking.friedman": "tails of three arms from memory; scipy in test_orders.py",
    "models.tasting.ranking.friedman_statistic": "one printed value, it has a row; scipy in test_orders.py",
    "models.tasting.ranking.page": "one printed statistic; scipy in test_orders.py",
    "models.tasting.ranking.rank_gap": "one printed grouping, it has a row",
    "models.tasting.sequential.running": "its sequences are not at hand: bounds in test_shares.py",
    "models.tasting.serving.williams": "a construction: followers are counted in test_layouts.py",
    "models.tasting.strengths.strengths": "one printed table; its row holds all seven",
    "models.tasting.year.discoveries": "one example, from memory",
    "models.tasting.year.pooled": "two printed values, both have rows",
    "models.tenderness.dose_rate_per_s": "our own fit; the source only bounds where it holds",
}


def sourced():
    """Each public function of models and tables that cites a published work, by its path."""
    for package in (stallwise.models, stallwise.tables):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            name = module.name
            loaded = importlib.import_module(name)
            for public in getattr(loaded, "__all__", ()):
                function = inspect.unwrap(getattr(loaded, public))
                if not inspect.isfunction(function):
                    continue
                _, _, cited = (inspect.getdoc(function) or "").partition("References\n---")
                keys = re.findall(r"\[([a-z0-9.-]+)\]_", cited)
                if any(reference(key).grade == "published" for key in keys):
                    yield f"{name.removeprefix('stallwise.')}.{public}"


def published():
    counts = Counter()
    for path in FOLDER.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                if row["grade"] == "published":
                    counts[row["function"].partition(":")[0]] += 1
    return counts


def test_a_function_with_a_source_is_held_to_three_of_its_values():
    counts = published()
    functions = set(sourced())
    assert len(functions) > 50  # the walk finds them
    few = {name: counts[name] for name in functions if counts[name] < LEAST}
    assert few.keys() - NONE_PRINTED.keys() == set()
    assert NONE_PRINTED.keys() - few.keys() == set()  # an exception ends when its rows come


def test_there_are_enough_published_values_in_all():
    assert published().total() >= 150
