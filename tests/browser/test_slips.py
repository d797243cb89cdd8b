"""A side-by-side in a real JupyterLab: slips by keyboard in a narrow window, by day and at night."""

import importlib.util
from pathlib import Path

import pytest

from stallwise.joins.taste.tastebefore import draft_trial
from stallwise.record.trials import new_trial, read_trial
from stallwise.surfaces.templates import copy_template

pytestmark = [pytest.mark.browser, pytest.mark.slow]

HERE = Path(__file__).parent


def _load(path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


cooks = _load(HERE.parent / "surfaces" / "cooks.py")
lab = _load(HERE / "jupyterlab.py")


def test_slips_are_answered_by_keyboard(tmp_path, chromium, axe_js, root):
    artifacts = root / ".test-artifacts"
    artifacts.mkdir(exist_ok=True)
    cook = cooks.ribs(cooks.start_book(tmp_path))
    copy_template("cook", cook.path)
    plan = {"asks": "like", "factor": "glaze", "arms": ["stock", "sharp"], "tasters": 2,
            "method": "like-score", "also": ["sweet", "smoky"]}  # fmt: skip
    new_trial(cook.home, "glaze", draft_trial(cook.name, sets=4, **plan))
    with (
        lab.jupyterlab(cook.home.path, tmp_path / "lab") as server,
        lab.page_of(chromium, width=460, height=1100) as (page, outside),
    ):
        lab.open_notebook(page, server, f"cooks/{cook.name}/cook.ipynb")
        page.evaluate("() => { window.jupyterapp.shell.collapseLeft(); }")
        lab.run_all(page, "Figures written")
        page.locator(".sw-lock").press("Enter")
        page.wait_for_selector(".sw-slips .sw-codes")
        assert "sharp" not in page.locator(".sw-trial").inner_text()
        page.get_by_role("button", name="like very much", exact=True).press("Enter")
        lab.look(page, artifacts, "slips", ".sw-trial", axe_js)
        page.locator(".sw-answer-it").press("Enter")
        page.wait_for_selector(".sw-trial .sw-said:has-text('like very much')")
        (answer,) = read_trial(cook.home, "glaze").answers
        assert (answer.taster, answer.said) == ("T1", "like very much")
        page.locator(".sw-side-by-sides .jupyter-widget-Collapse-header").last.press("Enter")
        page.wait_for_selector(".sw-plan-it")
        lab.look(page, artifacts, "plan-a-trial", ".sw-side-by-sides", axe_js)
        assert outside == []
