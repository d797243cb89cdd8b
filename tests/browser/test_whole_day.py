"""A whole day in a real JupyterLab: planned, kept, typed in, found again, imported, tasted, published.

It waits on what the panels tell (``data-asked``, ``data-shown``, ``data-state``), never on time.
"""

import base64
import importlib.util
from pathlib import Path

import pytest

from stallwise.cli.main import main
from stallwise.record.folder import Cookbook
from stallwise.record.log import effective

pytestmark = [pytest.mark.browser, pytest.mark.slow]

HERE = Path(__file__).parent


def _load(path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


cooks = _load(HERE.parent / "surfaces" / "cooks.py")
snapshots = _load(HERE.parent / "surfaces" / "test_snapshots.py")
lab = _load(HERE / "jupyterlab.py")

TYPE_IN, TYPED = ".sw-type-in", ".sw-typing .sw-message"
PIT, PHOTOS = ".sw-pit-side .sw-message", ".sw-snapshots .sw-message"

SHEET = "0130 fire lit\n0200 on\n+6:00 wrapped foil\n1400 probe not yet\n1440 probe tender\n"
MORE = "1450 off\n1455 rest\n1600 served\nhm"

READINGS = "time,core A (F)\n" + "".join(
    f"2025-09-27 {2 + n // 6:02d}:{n % 6 * 10:02d},{40 + 2.1 * n:.1f}\n" for n in range(74)
)

#: A file let go over a panel, as a hand does.
_DROP = """([zone, name, type, data]) => {
  const bytes = Uint8Array.from(atob(data), letter => letter.charCodeAt(0));
  const files = new DataTransfer();
  files.items.add(new File([bytes], name, {type}));
  const at = document.querySelector(zone);
  for (const kind of ['dragover', 'drop']) {
    at.dispatchEvent(new DragEvent(kind, {dataTransfer: files, bubbles: true, cancelable: true}));
  }
}"""

#: Each panel's picture is saved; what sticks out of one, or is hard for somebody to use, fails.
PANELS = {
    "plan": ".sw-plan", "sheet": ".sw-sheet", "type-in": TYPE_IN, "taste": ".sw-taste",
    "publish": ".sw-publishing",
}  # fmt: skip


@pytest.fixture
def cook(tmp_path):
    """A cook of last year from the template, by the commands that a cook has."""
    book = tmp_path / "book"
    assert main(["init", str(book), "--timezone", "Etc/UTC"]) == 0
    new = ["new", "--cookbook", str(book), "--cut", "pork-shoulder-bone-in", "--on", "2025-09-27"]
    assert main([*new, "--set", "serve=16:00", "--set", "mass=8 lb"]) == 0
    return Cookbook.open(book).cooks()[0]


def _drop(page, zone, name, kind, data):
    page.evaluate(_DROP, [f"{zone} .sw-drop p", name, kind, base64.b64encode(data).decode()])


def _run(page):
    lab.run_all(page, "Figures written")
    # What is out of sight has no width, and the plan waits to be told how wide it may be.
    page.locator(".sw-plan").scroll_into_view_if_needed()
    lab.rested(page, after=0)
    page.locator(TYPE_IN).scroll_into_view_if_needed()
    lab.rested(page, panel=TYPE_IN)


def _held(cook):
    return [(f"{line.at:%H%M}", line.what) for line in effective(cook.log().lines)]


def _plan_and_keep(page, cook):
    before, first = page.locator(".sw-stages").inner_text(), lab.told(page)["asked"]
    handle = page.locator(".sw-pit-start .noUi-handle")
    assert handle.get_attribute("aria-label") == "Pit held at, °F"
    handle.focus()
    for _ in range(5):
        handle.press("ArrowRight")
    page.wait_for_function("() => document.querySelector('.sw-pit-start input').value === '275 F'")
    lab.rested(page, after=first)
    assert page.locator(".sw-stages").inner_text() != before
    # Typed text works as well; what cannot be is told, stays in its box, and keeps the last answer.
    box = page.locator(".sw-mass input")
    box.fill("lots")
    box.press("Enter")
    page.wait_for_selector(".sw-plan .sw-wrong")
    assert (box.input_value(), lab.told(page)["state"]) == ("lots", "refused")
    asked = lab.told(page)["asked"]
    box.fill("3.9 kg")
    box.press("Enter")
    lab.rested(page, after=asked)
    # By keyboard alone: a copy, its card, its fields, and back.
    asked = lab.told(page)["asked"]
    page.locator(".sw-copy").press("Enter")
    page.wait_for_selector(".sw-card:nth-child(2).sw-open .sw-mass")
    lab.rested(page, after=asked)
    page.locator(".sw-card:nth-child(2) .sw-card-name").focus()
    page.keyboard.press("Tab")
    assert page.evaluate(
        "() => document.activeElement.closest('.sw-field')?.classList.contains('sw-mass')"
    )
    asked = lab.told(page)["asked"]
    page.locator(".sw-undo").press("Space")
    lab.rested(page, after=asked)
    assert page.locator(".sw-card").count() == 1
    assert "start" not in cook.text()
    page.locator(".sw-keep").press("Enter")
    page.wait_for_selector(".sw-plan .sw-said")
    assert 'start = "275 F"' in cook.text()
    assert 'mass = "3.9 kg"' in cook.text()


def _type(page, text):
    page.locator(".sw-lines textarea").focus()
    page.keyboard.press("Control+End")
    page.keyboard.type(text)
    _read(page, text.strip().splitlines()[-1])


def _read(page, last):
    """Wait until the last line is read back, and the day is drawn with that reading."""
    page.wait_for_function(
        """last => { const read = document.querySelector('.sw-understood');
        return read.innerText.includes(last) && read.querySelector('[data-asked]').dataset.asked
          === document.querySelector('.sw-typed-day [data-shown]').dataset.shown; }""",
        arg=last,
        timeout=60_000,
    )


def _type_in(page, cook):
    _type(page, SHEET)
    picture = page.locator(".sw-typed-day svg").first.text_content()
    for words in ("meat on", "wrapped, foil", "tender"):
        assert words in picture
    assert not cook.log().lines
    with lab.answered(page, TYPED) as said:
        page.locator(".sw-write").press("Enter")
    assert "5 written" in said["words"]
    assert [what for _, what in _held(cook)] == [
        "fire_lit", "meat_on", "wrapped", "feel_check", "feel_check"
    ]  # fmt: skip
    lab.rested(page, panel=TYPE_IN)


def _press_buttons(page, cook):
    page.locator(".sw-pit-side .jupyter-widget-Collapse-header").press("Enter")
    page.locator(".sw-when input").fill("05:00")
    page.locator(".sw-when input").press("Enter")
    with lab.answered(page, PIT) as said:
        page.locator(".sw-bark-step button", has_text="tan").press("Space")
    assert "05:00" in said["words"], said
    assert "bark tan" in said["words"], said
    assert ("0500", "bark") in _held(cook)
    with lab.answered(page, PIT) as said:
        page.locator(".sw-undo-line").press("Enter")
    assert "Taken back" in said["words"]
    assert ("0500", "bark") not in _held(cook)


def _all_is_found_again(page, cook, server, path):
    """A kernel that is new, a page that is new, and a second tab: what was typed is there."""
    _type(page, MORE)
    written = _held(cook)
    lab.restart(page)
    _run(page)
    box = page.locator(".sw-lines textarea")
    assert box.input_value() == MORE
    assert "5 lines" in page.locator(".sw-logged").inner_text()
    assert page.locator(".sw-pit-start input").input_value() == "275 F"
    # A page that is opened anew, beside the first: the same kernel, the same words in the box.
    page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")
    other = page.context.new_page()
    lab.open_notebook(other, server, path)
    again = other.locator(".sw-lines textarea")
    again.wait_for(state="visible", timeout=60_000)
    assert again.input_value() == MORE
    again.fill(MORE.removesuffix("\nhm"))
    page.wait_for_function(
        "() => { const read = document.querySelector('.sw-understood').innerText;"
        " return read.includes('1600 served') && !read.includes('hm'); }"
    )
    assert box.input_value() == MORE.removesuffix("\nhm")
    with lab.answered(other, TYPED) as said:
        other.locator(".sw-write").press("Enter")
    assert "3 written" in said["words"]
    other.close()
    page.wait_for_function("() => document.querySelector('.sw-lines textarea').value === ''")
    assert _held(cook) == [*written, ("1450", "off"), ("1455", "rest_start"), ("1600", "served")]
    lab.rested(page, panel=TYPE_IN)


def _pictures(page, cook):
    page.locator(".sw-snapshots .jupyter-widget-Collapse-header").press("Enter")
    shot = snapshots.picture("2025:09:27 08:04:00")
    _drop(page, ".sw-snapshots", "wrap.jpg", "image/jpeg", shot)
    page.wait_for_selector(".sw-snapshot-said strong")
    assert "4 min after 08:00" in page.locator(".sw-snapshot-said").inner_text()
    with lab.answered(page, PHOTOS) as said:
        page.locator(".sw-attach-all").press("Enter")
    assert "Attached 1" in said["words"], said
    assert [photo.caption for photo in cook.read().photos] == ["Wrapped in foil"]


def _import(page, cook):
    _drop(page, ".sw-readings", "probe.csv", "text/csv", READINGS.encode())
    page.wait_for_selector(".sw-bring:not([disabled])")
    asked = lab.told(page)["asked"]
    page.locator(".sw-bring").press("Enter")
    lab.rested(page, after=asked)
    assert sum(len(one.at) for one in cook.readings()) == 74


def _taste(page, cook):
    line = page.locator(".sw-next-line input")
    line.fill("wrap half an hour later")
    with lab.answered(page, ".sw-last .sw-message") as said:
        line.press("Enter")
    assert "Kept" in said["words"]
    page.locator(".sw-tasting textarea").fill("Good bark, a little dry")
    with lab.answered(page, ".sw-taste .sw-message") as said:
        page.locator(".sw-keep-notes").press("Enter")
    assert "Kept" in said["words"]
    kept = cook.read()
    # What the panel above had kept is not taken away by this one's empty field.
    assert (kept.tasting, kept.next_time) == ("Good bark, a little dry", "wrap half an hour later")


def _publish(page, cook):
    with lab.answered(page, ".sw-publishing .sw-message") as said:
        page.locator(".sw-publish").press("Enter")
    assert f"journal/cooks/{cook.name}.html" in said["words"]
    shown = page.context.new_page()
    shown.goto((cook.home.path / "journal" / "cooks" / f"{cook.name}.html").as_uri())
    text = shown.locator("main").inner_text()
    for words in ("wrap half an hour later", "Good bark, a little dry"):
        assert words in text
    assert shown.locator("img[alt='Wrapped in foil']").count() == 1
    shown.close()


@pytest.mark.parametrize(
    "day", [1, *(pytest.param(n, marks=pytest.mark.audit) for n in range(2, 11))]
)
def test_a_whole_day(cook, tmp_path, chromium, axe_js, root, day):
    artifacts = root / ".test-artifacts"
    artifacts.mkdir(exist_ok=True)
    path = f"cooks/{cook.name}/cook.ipynb"
    with (
        lab.jupyterlab(cook.home.path, tmp_path / "lab") as server,
        lab.page_of(chromium, width=1280) as (page, outside),
    ):
        lab.open_notebook(page, server, path)
        page.evaluate("() => { window.jupyterapp.shell.collapseLeft(); }")
        _run(page)
        _plan_and_keep(page, cook)
        _type_in(page, cook)
        _press_buttons(page, cook)
        _all_is_found_again(page, cook, server, path)
        _pictures(page, cook)
        if day == 1:
            _type(page, "1500 bark dark\nhm\n1620 note: all happy")
            lab.look(page, artifacts, "day-typing", TYPE_IN, axe_js, all_ways=True)
        _import(page, cook)
        _taste(page, cook)
        _publish(page, cook)
        page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")
        assert (cook.path / "cook.ipynb").stat().st_size < 1_000_000
        if day == 1:
            for name, panel in PANELS.items():
                lab.look(page, artifacts, f"day-{name}", panel, axe_js)
        assert outside == []
