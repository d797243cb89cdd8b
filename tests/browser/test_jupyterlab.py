"""The cook's notebook in a real JupyterLab: run, moved, kept, narrow and dark, nothing from outside."""

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
def cook(tmp_path):
    folder = cooks.shoulder(cooks.start_book(tmp_path))
    copy_template("cook", folder.path)
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


def _stages(page):
    return page.locator(".sw-stages").inner_text()


def test_a_whole_evening_in_jupyterlab(cook, tmp_path, chromium, artifacts):
    before_text = cook.text()
    with (
        lab.jupyterlab(cook.home.path, tmp_path / "lab") as server,
        lab.page_of(chromium, width=1280) as (page, outside),
    ):
        _opened(page, server, cook)
        page.screenshot(path=artifacts / "notebook-light-wide.png")

        # A moved slider changes the times, and says that it is not kept.
        before, first = _stages(page), lab.told(page)["asked"]
        handle = page.locator(".sw-pit-start .noUi-handle")
        assert handle.get_attribute("aria-label") == "Pit held at, °F"
        handle.focus()
        for _ in range(15):
            handle.press("ArrowRight")
        page.wait_for_function(
            "() => document.querySelector('.sw-unkept').innerText.includes('300 F')"
        )
        lab.rested(page, after=first)
        assert page.locator(".sw-pit-start input").input_value() == "300 F"
        assert _stages(page) != before

        # Typed text works as well, a wrong one is told.
        box = page.locator(".sw-mass input")
        box.fill("3.9 kg")
        box.press("Enter")
        page.wait_for_function(
            "() => document.querySelector('.sw-unkept').innerText.includes('3.9\\u00a0kg')"
        )
        box.fill("lots")
        box.press("Enter")
        page.wait_for_selector(".sw-plan .sw-wrong")
        assert box.input_value() == "lots"
        assert lab.told(page)["state"] == "refused"
        box.fill("3.9 kg")
        box.press("Enter")

        assert cook.text() == before_text
        page.locator(".sw-keep").click()
        page.wait_for_selector(".sw-plan .sw-said")
        assert 'mass = "3.9 kg"' in cook.text()
        assert 'start = "300 F"' in cook.text()

        # By keyboard alone: a copy, its card, its fields, and back.
        asked = lab.told(page)["asked"]
        page.locator(".sw-copy").focus()
        page.keyboard.press("Enter")
        page.wait_for_selector(".sw-card:nth-child(2).sw-open .sw-mass")
        lab.rested(page, after=asked)
        page.locator(".sw-card:nth-child(2) .sw-card-name").focus()
        page.keyboard.press("Tab")
        assert page.evaluate(
            "() => document.activeElement.closest('.sw-field')?.classList.contains('sw-mass')"
        )
        asked = lab.told(page)["asked"]
        page.locator(".sw-undo").focus()
        page.keyboard.press("Space")
        lab.rested(page, after=asked)
        assert page.locator(".sw-card").count() == 1

        # Saved, the notebook stays small.
        page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")
        assert (cook.path / "cook.ipynb").stat().st_size < 1_000_000

        # The night: lines are understood before they are written.
        lines = page.locator(".sw-lines textarea")
        lines.click()
        page.keyboard.type("0200 on\n+6:00 wrapped foil\n14:40 probe tender\n", delay=2)
        page.wait_for_selector(".sw-lines-table td:has-text('wrapped')")
        page.wait_for_selector(".sw-write:not([disabled])")
        page.locator(".sw-type-in").scroll_into_view_if_needed()
        page.screenshot(path=artifacts / "notebook-light-type-in.png")
        page.locator(".sw-write").click()
        page.wait_for_selector(".sw-type-in .sw-said")
        assert len(cook.log().lines) == 3

        page.locator(".sw-tasting textarea").fill("Good bark, a little dry")
        page.locator(".sw-keep-notes").click()
        page.wait_for_selector(".sw-taste .sw-said")
        assert cook.read().tasting == "Good bark, a little dry"
        assert outside == []
    assert (cook.path / "results" / "result.json").is_file()


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
        page.locator(".sw-rare .jupyter-widget-Collapse-header").first.click()
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
