"""The slider loop in a real JupyterLab: how soon a move is seen, and that no older one follows it."""

import importlib.util
import statistics
from pathlib import Path

import pytest
from figures import keep

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

MOVES = 30

#: Notes each press of a key, each frame after the picture changed, and what the panel said then.
_WATCH = """() => {
  const find = selector => document.querySelector('.sw-plan ' + selector);
  const said = () => ({
    box: find('.sw-pit-start input').value,
    handle: Number(find('.sw-pit-start .noUi-handle').getAttribute('aria-valuenow')),
    unkept: find('.sw-unkept').innerText,
    picture: find('.sw-answer svg').outerHTML.length + find('.sw-answer svg').textContent,
    stages: find('.sw-stages').innerText,
    ...find('.sw-published [data-state]').dataset,
  });
  window.watched = {key: 0, frames: [], said};
  document.addEventListener('keydown', () => { watched.key = performance.now(); }, true);
  const frame = () => requestAnimationFrame(() => setTimeout(() =>
    watched.frames.push({at: performance.now(), ...said()}), 0));
  const all = {subtree: true, childList: true, characterData: true, attributes: true};
  new MutationObserver(frame).observe(find('.sw-answer'), all);
  new MutationObserver(frame).observe(find('.sw-published'), all);
}"""

_SHOWN = """after => { const at = document.querySelector('.sw-published [data-state]').dataset;
  return Number(at.asked) > after && at.shown === at.asked
    && watched.frames.some(frame => Number(frame.shown) > after); }"""


@pytest.fixture
def one(tmp_path):
    folder = cooks.shoulder(cooks.start_book(tmp_path))
    copy_template("cook", folder.path)
    return folder


@pytest.fixture
def six(tmp_path):
    folder = cooks.start_book(tmp_path).new_cook("six", cooks.BEFORE.date(), cooks.SIX)
    copy_template("cook", folder.path)
    return folder


@pytest.fixture
def opened(request, tmp_path, chromium):
    """A page with the plan of a cook, its slider in hand."""

    def start(cook):
        server = lab.jupyterlab(cook.home.path, tmp_path / "lab")
        page = lab.page_of(chromium, width=1280)
        for each in (server, page):
            request.addfinalizer(lambda each=each: each.__exit__(None, None, None))
        running, (shown, _) = server.__enter__(), page.__enter__()
        lab.open_notebook(shown, running, f"cooks/{cook.name}/cook.ipynb")
        lab.run_all(shown, "Figures written")
        shown.locator(".sw-pit-start").scroll_into_view_if_needed()
        shown.wait_for_function("() => document.querySelector('.sw-room input').value > 0")
        lab.rested(shown, after=0)
        shown.evaluate(_WATCH)
        handle = shown.locator(".sw-pit-start .noUi-handle")
        handle.focus()
        return shown, handle

    return start


def _times(page, handle):
    """Key press to the frame after the last change of the picture, a move at a time [ms]."""
    times = []
    for _ in range(MOVES):
        asked = lab.told(page)["asked"]
        page.evaluate("() => { watched.frames = []; }")
        handle.press("ArrowRight")
        page.wait_for_function(_SHOWN, arg=asked)
        times.append(page.evaluate("() => watched.frames.at(-1).at - watched.key"))
    return sorted(times)


@pytest.mark.parametrize(("which", "median", "late"), [("one", 200, 400), ("six", 600, 1200)])
@pytest.mark.audit
@pytest.mark.benchmark
def test_a_move_is_seen_at_once(which, median, late, request, opened, root):
    page, handle = opened(request.getfixturevalue(which))
    times = _times(page, handle)
    keep(
        f"A move of the slider seen, {which} piece{'s' if which == 'six' else ''}", [time / 1e3 for time in times],
        asked=f"median {median} ms, 19 in 20 {late} ms",
    )  # fmt: skip
    assert statistics.median(times) <= median
    assert times[int(0.95 * MOVES)] <= late


@pytest.mark.parametrize(
    "within",
    # Beside other tests a machine has no time to itself; the order has to hold all the same.
    [pytest.param(500, marks=pytest.mark.audit), 10_000],
)
def test_twenty_moves_in_a_second_end_at_the_last_and_no_older_one_follows(one, opened, within):
    page, handle = opened(one)
    first = lab.told(page)["asked"]
    page.evaluate("() => { watched.frames = []; }")
    for _ in range(20):
        handle.press("ArrowRight")
        page.wait_for_timeout(30)
    last = page.evaluate("() => watched.key")
    page.wait_for_function("() => document.querySelector('.sw-unkept').innerText.includes('325 F')")
    told = lab.rested(page, after=first)
    page.wait_for_timeout(1500)  # time for an older one to come, if there were any
    frames = page.evaluate("() => watched.frames")
    # Fewer drawings than moves, in the order of the moves.
    shown = [int(frame["shown"]) for frame in frames]
    assert shown == sorted(shown)
    assert len(set(shown)) < 20
    settled = next(frame for frame in frames if int(frame["shown"]) == told["asked"])
    assert (settled["box"], settled["handle"]) == ("325 F", 325)
    assert lab.told(page) == told
    for each in ("picture", "stages", "box", "handle"):
        assert {frame[each] for frame in frames[frames.index(settled) :]} == {settled[each]}
    assert settled["at"] - last <= within
