"""Notebooks that look back, and the worked ones, in a real JupyterLab; how long the cook's own takes to open."""

import importlib.util
import json
import time
from pathlib import Path

import pytest
import worked_notebooks

from stallwise.cli.main import main
from stallwise.record.folder import Cookbook

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.audit]

HERE = Path(__file__).parent
ROOT = HERE.parents[1]


def _load(path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


lab = _load(HERE / "jupyterlab.py")

#: Words of the last panel: when they stand there, everything has run.
LAST = {"compare": "never the same twice", "year": "No cook has a price"}


@pytest.fixture
def book(tmp_path):
    path = tmp_path / "book"
    assert main(["init", str(path), "--sample", "--timezone", "Etc/GMT+5"]) == 0
    notebook = path / "compare.ipynb"
    text = notebook.read_text(encoding="utf-8")
    assert "cooks = None" in text
    notebook.write_text(
        text.replace("cooks = None", 'cooks = \\"harvest-supper\\"'), encoding="utf-8"
    )
    return Cookbook.open(path)


def shown(page, words):
    page.evaluate("() => { window.jupyterapp.commands.execute('notebook:run-all-cells'); }")
    page.wait_for_function(
        "words => [...document.querySelectorAll('.sw')].some(e => e.innerText.includes(words))",
        arg=words,
        timeout=120_000,
    )
    assert page.locator(lab._ERROR).count() == 0


@pytest.mark.parametrize(
    ("name", "theme", "width"),
    [
        ("compare", "light", 1280),
        ("compare", "dark", 460),
        ("year", "light", 460),
        ("year", "dark", 1280),
    ],
)
def test_it_can_be_read_wide_and_narrow_by_day_and_night(
    book, tmp_path, chromium, axe_js, name, theme, width
):
    with (
        lab.jupyterlab(book.path, tmp_path / "lab", theme=theme) as server,
        lab.page_of(chromium, width=width, height=1400) as (page, outside),
    ):
        lab.open_notebook(page, server, f"{name}.ipynb")
        page.evaluate("() => { window.jupyterapp.shell.collapseLeft(); }")
        shown(page, LAST[name])
        page.screenshot(path=ROOT / ".test-artifacts" / f"{name}-{theme}-{width}.png")
        # A wide table moves inside its panel; nothing else sticks out.
        over = page.evaluate(
            """() => [...document.querySelectorAll('.sw')].flatMap(panel => {
            const edge = panel.getBoundingClientRect().right + 2;
            return [...panel.querySelectorAll('p, svg, .sw-scroll')]
              .filter(e => e.getClientRects().length && e.getBoundingClientRect().right > edge)
              .map(e => e.outerHTML.slice(0, 80)); })"""
        )
        assert over == []
        page.add_script_tag(path=axe_js)
        faults = page.evaluate(
            """() => axe.run({include: [['.sw']]}).then(r => r.violations.map(v =>
            [v.id, v.nodes.length, v.nodes[0].html.slice(0, 160)]))"""
        )
        assert faults == []
        assert outside == []


def test_the_cooks_notebook_is_there_within_fifteen_seconds_and_stays_light(
    book, tmp_path, chromium
):
    cook = book.cook("harvest-supper")
    with (
        lab.jupyterlab(book.path, tmp_path / "lab") as server,
        lab.page_of(chromium, width=1280) as (page, _),
    ):
        begun = time.monotonic()
        lab.open_notebook(page, server, f"cooks/{cook.name}/cook.ipynb")
        lab.run_all(page, "Figures written")
        took_s = time.monotonic() - begun
        page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")
        page.wait_for_function(
            "() => !window.jupyterapp.shell.currentWidget.context.model.dirty", timeout=30_000
        )
        size = (cook.path / "cook.ipynb").stat().st_size
    figures = {"opened and run s": round(took_s, 2), "kept bytes": size}
    (ROOT / ".test-artifacts" / "opening.json").write_text(json.dumps(figures) + "\n")
    assert size < 1_000_000
    assert took_s <= 15.0, figures


@pytest.mark.parametrize("name", sorted(worked_notebooks.WORKED))
def test_a_worked_notebook_opens_as_it_was_written(name, tmp_path, chromium):
    place = tmp_path / "notebooks"
    place.mkdir()
    (place / f"{name}.ipynb").write_bytes((ROOT / "notebooks" / f"{name}.ipynb").read_bytes())
    with (
        lab.jupyterlab(place, tmp_path / "lab") as server,
        lab.page_of(chromium, width=1280, height=1400) as (page, outside),
    ):
        page.goto(server.address(f"{name}.ipynb"))
        page.wait_for_selector(".jp-Notebook h1", timeout=60_000)
        page.screenshot(path=ROOT / ".test-artifacts" / f"{name}.png")
        assert page.locator(lab._ERROR).count() == 0
        assert outside == []
