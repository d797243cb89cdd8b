"""The cook's notebook in a real JupyterLab: narrow and dark, nothing from outside."""

import importlib.util
import re
from pathlib import Path

import pytest

from stallwise.record.sample import bring_sample
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


@pytest.fixture(scope="module")
def artifacts(root):
    folder = root / ".test-artifacts"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture
def sample(tmp_path):
    """The newest of the sample cooks, in a cookbook of its own."""
    book = cooks.start_book(tmp_path)
    folder = book.cook(bring_sample(book)[0])
    if not (folder.path / "cook.ipynb").exists():
        copy_template("cook", folder.path)
    return folder


def _opened(page, server, cook):
    lab.open_notebook(page, server, f"cooks/{cook.name}/cook.ipynb")
    page.evaluate("() => { window.jupyterapp.shell.collapseLeft(); }")
    lab.run_all(page, "Figures written")
    page.locator(".sw-plan").scroll_into_view_if_needed()
    # The page tells how much room there is, and the picture is drawn for it.
    page.wait_for_function("() => document.querySelector('.sw-room input').value > 0")
    lab.rested(page, after=0)


@pytest.mark.parametrize(("theme", "width"), [("dark", 1280), ("light", 460), ("dark", 460)])
def test_the_sample_can_be_read_narrow_and_at_night(
    sample, axe_js, tmp_path, chromium, artifacts, theme, width
):
    with (
        lab.jupyterlab(sample.home.path, tmp_path / "lab", theme=theme) as server,
        lab.page_of(chromium, width=width, height=1400) as (page, outside),
    ):
        _opened(page, server, sample)
        page.screenshot(path=artifacts / f"notebook-{theme}-{width}.png")
        page.locator(".sw-whatif .jupyter-widget-Collapse-header").click()
        page.wait_for_selector(".sw-whatif svg[role=img]", state="attached")
        page.locator(".sw-rare .jupyter-widget-Collapse-header").first.press("Enter")
        page.wait_for_selector(".sw-ambient .noUi-handle[aria-label]")
        page.locator(".sw-rare").screenshot(path=artifacts / f"weather-{theme}-{width}.png")
        page.locator(".sw-rare .jupyter-widget-Collapse-header").nth(1).click()
        page.wait_for_selector(".sw-size-drawing svg[role=img]", state="attached")
        page.locator(".sw-rare").screenshot(path=artifacts / f"fold-{theme}-{width}.png")
        box = page.locator(".sw-mass input")
        box.fill("lots")
        box.press("Enter")
        page.wait_for_selector(".sw-mass.sw-refused")
        # Nothing sticks out of the panel, and the words can be told from the ground.
        over = page.evaluate(
            """() => { const panel = document.querySelector('.sw-plan').getBoundingClientRect();
            return [...document.querySelectorAll('.sw-plan input, .sw-plan svg, .sw-plan button')]
              .filter(e => e.getClientRects().length && e.getBoundingClientRect().right > panel.right + 2)
              .map(e => e.outerHTML.slice(0, 80)); }"""
        )
        assert over == []
        for place in (".sw-headline", ".sw-soft", ".sw-stages td", ".sw-mass .widget-label"):
            assert _contrast(page, place) >= 4.5, place
        assert _faults(page, axe_js) == []
        assert outside == []


def _faults(page, axe_js):
    """Accessibility faults in our own panels, each with where it is."""
    page.add_script_tag(path=axe_js)
    return page.evaluate(
        """() => axe.run({include: [['.sw']]}).then(r => r.violations.map(v =>
        [v.id, v.nodes.length, v.nodes[0].html.slice(0, 160)]))"""
    )


def _contrast(page, place):
    """Contrast of text and the notebook's ground, by WCAG 2.2's definition."""
    text, ground = page.evaluate(
        """place => [getComputedStyle(document.querySelector(place)).color,
        getComputedStyle(document.querySelector('.jp-Notebook')).backgroundColor]""",
        place,
    )

    ink, paper = (_channels(colour) for colour in (text, ground))
    share = ink[3] if len(ink) > 3 else 1.0
    seen = [share * i + (1 - share) * p for i, p in zip(ink[:3], paper[:3], strict=True)]
    high, low = sorted((_luminance(seen), _luminance(paper[:3])), reverse=True)
    return (high + 0.05) / (low + 0.05)


def _channels(colour):
    return [float(number) for number in re.findall(r"[\d.]+", colour)]


def _luminance(channels):
    parts = [channel / 255 for channel in channels]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
