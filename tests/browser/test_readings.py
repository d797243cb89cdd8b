"""Readings in a real JupyterLab: dropped, answered by keyboard, brought in; narrow, wide, by day and night."""

import datetime as dt
import importlib.util
from pathlib import Path

import pytest

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

LOG = "time,pit,probe 2\n" + "".join(
    f"{2 + n // 12:02d}:{n % 12 * 5:02d},{225 + n % 7},{190 if n == 20 else 45.5 + n}\n"
    for n in range(110)
)
#: A file let go over the panel, as a hand does.
_DROP = """([zone, name, text]) => {
  const files = new DataTransfer();
  files.items.add(new File([text], name, {type: 'text/csv'}));
  const at = document.querySelector(zone);
  for (const kind of ['dragover', 'drop']) {
    at.dispatchEvent(new DragEvent(kind, {dataTransfer: files, bubbles: true, cancelable: true}));
  }
}"""


def test_a_log_is_dropped_answered_and_brought_in(tmp_path, chromium, axe_js, root):
    artifacts = root / ".test-artifacts"
    artifacts.mkdir(exist_ok=True)
    # A day that is over: what was read stands in its picture.
    text = cooks.SHOULDER.replace("2027-09-25", "2025-09-27")
    cook = cooks.start_book(tmp_path).new_cook("shoulder", dt.date(2025, 9, 27), text)
    copy_template("cook", cook.path)
    with (
        lab.jupyterlab(cook.home.path, tmp_path / "lab") as server,
        lab.page_of(chromium, width=1280, height=1100) as (page, outside),
    ):
        lab.open_notebook(page, server, f"cooks/{cook.name}/cook.ipynb")
        page.evaluate("() => { window.jupyterapp.shell.collapseLeft(); }")
        lab.run_all(page, "Figures written")
        panel = page.locator(".sw-readings")
        panel.scroll_into_view_if_needed()
        page.evaluate(_DROP, [".sw-readings .sw-drop p", "probe.csv", LOG])
        page.wait_for_selector(".sw-readings .sw-offer")
        lab.look(page, artifacts, "readings-asked", ".sw-readings", axe_js)
        # By keyboard alone: what the question offers, then the button that writes.
        page.get_by_role("button", name="°F", exact=True).press("Enter")
        page.wait_for_function(
            "() => document.querySelectorAll('.sw-readings .sw-offer').length === 1"
        )
        page.locator(".sw-readings .sw-offer").press("Enter")
        page.wait_for_selector(".sw-bring:not([disabled])")
        assert cook.readings() == ()
        asked = lab.told(page)["asked"]
        page.locator(".sw-bring").press("Enter")
        page.wait_for_selector(".sw-readings .sw-said")
        lab.rested(page, after=asked)  # the plan is drawn anew with them
        assert len(cook.readings()) == 2
        lab.look(page, artifacts, "readings-in", ".sw-readings", axe_js)
        # A file that grows: by keyboard, twice, and the second time it goes on.
        live = cook.path / "live.csv"
        live.write_text("time,lid P (F)\n02:00,230\n02:05,231\n02:1")
        page.locator(".sw-readings-path input").fill("live.csv")
        page.locator(".sw-readings-path input").press("Enter")
        page.wait_for_selector(".sw-follow:not([disabled])")
        page.locator(".sw-follow").press("Enter")
        page.wait_for_selector(".sw-followed [data-state=new]", state="attached")
        lab.look(page, artifacts, "readings-followed", ".sw-readings", axe_js)
        page.locator(".sw-follow").press("Enter")
        page.wait_for_function(
            "() => document.querySelector('.sw-follow').innerText === 'Follow this file'"
        )
        live.write_text("time,lid P (F)\n02:00,230\n02:05,231\n02:10,232\n")
        page.locator(".sw-follow").press("Enter")
        page.wait_for_function(
            "() => document.querySelector('.sw-followed').innerText.includes('1 new reading')"
        )
        assert [len(one.at) for one in cook.readings() if one.place == "lid"] == [3]
        assert outside == []
