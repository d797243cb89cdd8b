"""A real JupyterLab and a real Chromium, with settings of their own and nothing from outside."""

from __future__ import annotations

import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip

_IDLE = """() => {
  const kernel = window.jupyterapp?.shell.currentWidget?.sessionContext?.session?.kernel;
  return kernel && kernel.connectionStatus === 'connected' && kernel.status === 'idle';
}"""

_ERROR = ".jp-OutputArea-output[data-mime-type='application/vnd.jupyter.error']"
_ENDED = f"""words => document.querySelector("{_ERROR}")
  || [...document.querySelectorAll('.jp-OutputArea-output pre')].some(e => e.innerText.includes(words))"""


class Lab:
    """A running server: its address, and the folder that it shows."""

    def __init__(self, root: Path, port: int, token: str) -> None:
        self.root = root
        self.port = port
        self.token = token

    def address(self, path: str) -> str:
        return f"http://127.0.0.1:{self.port}/lab/tree/{path}?token={self.token}&reset"


@contextmanager
def jupyterlab(root: Path, place: Path, *, theme: str = "light") -> Iterator[Lab]:
    """Start JupyterLab over `root`, with all its own files in `place`."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    token = secrets.token_hex(16)
    settings = place / "settings" / "@jupyterlab" / "apputils-extension"
    settings.mkdir(parents=True)
    # A news pop-up lies over the notebook otherwise.
    (settings / "notification.jupyterlab-settings").write_text(
        json.dumps({"fetchNews": "false", "checkForUpdates": False})
    )
    name = {"light": "JupyterLab Light", "dark": "JupyterLab Dark"}[theme]
    (settings / "themes.jupyterlab-settings").write_text(
        json.dumps({"theme": name, "adaptive-theme": False})
    )
    environment = {
        **os.environ,
        "JUPYTER_TOKEN": token,
        "JUPYTER_CONFIG_DIR": str(place / "config"),
        "JUPYTER_DATA_DIR": str(place / "data"),
        "JUPYTERLAB_SETTINGS_DIR": str(place / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(place / "workspaces"),
        "IPYTHONDIR": str(place / "ipython"),
        "PYTHONSAFEPATH": "1",
    }
    with (place / "server.log").open("wb") as log:
        server = subprocess.Popen(
            [
                sys.executable, "-m", "jupyterlab", "--no-browser", "--ip=127.0.0.1", f"--port={port}",
                "--ServerApp.port_retries=0", "--allow-root", f"--ServerApp.root_dir={root}",
                "--LabApp.expose_app_in_browser=True", "--ServerApp.terminals_enabled=False",
            ],
            env=environment, stdout=log, stderr=log, start_new_session=True,
        )  # fmt: skip
        try:
            _wait(port, token, server, place / "server.log")
            yield Lab(root, port, token)
        finally:
            # Kernels are children in the server's care; it ends them when asked to.
            server.send_signal(signal.SIGTERM)
            try:
                server.wait(timeout=15)
            except subprocess.TimeoutExpired:
                os.killpg(server.pid, signal.SIGKILL)
                server.wait()


@contextmanager
def page_of(chromium: str, *, width: int, height: int = 1000) -> Iterator[tuple]:
    """A page of a headless browser, and the list of addresses outside this machine it asked for."""
    from playwright.sync_api import sync_playwright

    outside: list[str] = []
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=_FLAGS)
        tabs = browser.new_context(viewport={"width": width, "height": height})
        tabs.on("request", lambda request: _note(outside, request.url))
        try:
            yield tabs.new_page(), outside
        finally:
            browser.close()


def open_notebook(page, lab: Lab, path: str) -> None:
    """Open a notebook and wait until its kernel really is there."""
    page.goto(lab.address(path))
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
    # The indicator in the page says idle before there is a kernel at all.
    page.wait_for_function(_IDLE, timeout=60_000)


def run_all(page, sentinel: str) -> None:
    """Run all cells and wait for words that the last one prints."""
    # Waiting for the command itself hangs behind any dialog.
    page.evaluate("() => { window.jupyterapp.commands.execute('notebook:run-all-cells'); }")
    page.wait_for_function(_ENDED, arg=sentinel, timeout=120_000)
    wrong = page.locator(_ERROR)
    if wrong.count():
        raise AssertionError(wrong.first.inner_text()[-2000:])


def _note(outside: list[str], address: str) -> None:
    if not address.startswith(
        ("http://127.0.0.1:", "data:", "blob:", "ws://127.0.0.1:", "file:///")
    ):
        outside.append(address)


def _wait(port: int, token: str, server: subprocess.Popen, log: Path) -> None:
    for _ in range(240):
        if server.poll() is not None:
            break
        try:
            with urllib.request.urlopen(
                f"http://127.0.0.1:{port}/api/status?token={token}", timeout=2
            ):
                return
        except OSError:
            time.sleep(0.25)
    raise RuntimeError(log.read_text(errors="replace")[-2000:])


def rested(page, *, after: int = -1, panel: str = ".sw-plan") -> dict:
    """Wait until a panel shows what was last asked of it, and give what it tells."""
    page.wait_for_function(
        """([panel, after]) => {
        const at = document.querySelector(panel + ' .sw-published [data-state]')?.dataset;
        return at && at.state !== 'working' && Number(at.asked) > after
          && (at.state === 'refused' || at.shown === at.asked); }""",
        arg=[panel, after],
        timeout=60_000,
    )
    return told(page, panel=panel)


def told(page, *, panel: str = ".sw-plan") -> dict:
    """What a panel tells those who wait for it."""
    at = page.evaluate(
        "panel => ({...document.querySelector(panel + ' .sw-published [data-state]').dataset})",
        panel,
    )
    return {"asked": int(at["asked"]), "shown": int(at["shown"]), "state": at["state"]}


@contextmanager
def answered(page, box: str) -> Iterator[dict]:
    """Do something, then wait until a panel's message says that one callback more is done, and words.

    Parameters
    ----------
    box : str
        Selector of the message.

    Yields
    ------
    dict
        Filled afterwards: ``state`` and ``words`` of the message.
    """
    before = page.evaluate(f"box => {_MESSAGE}", box)
    found: dict = {}
    yield found
    page.wait_for_function(
        f"([box, before]) => {{ const at = {_MESSAGE};"
        " return Number(at.shown) > before && at.state !== 'rest'; }",
        arg=[box, int(before["shown"])],
        timeout=60_000,
    )
    found |= page.evaluate(f"box => {_MESSAGE}", box)


_MESSAGE = """({...document.querySelector(box + ' [data-state]').dataset,
  words: document.querySelector(box).innerText})"""


def restart(page) -> None:
    """Restart the kernel, and clear away what its forerunner had put out."""
    page.evaluate(
        """() => { const at = window.jupyterapp.shell.currentWidget;
        window.restarted = false;
        at.sessionContext.session.kernel.restart().then(() => { window.restarted = true; });
        window.jupyterapp.commands.execute('notebook:clear-all-cell-outputs'); }"""
    )
    page.wait_for_function("() => window.restarted && !document.querySelector('.sw')")
    page.wait_for_function(_IDLE, timeout=60_000)


#: How a panel is looked at: narrow by day, wide at night; and the other way round.
_SEEN = (("Light", 460), ("Dark", 1280))
_ELSE = (("Dark", 460), ("Light", 1280))


def look(page, folder: Path, name: str, panel: str, axe_js: str, *, all_ways: bool = False) -> None:
    """Save pictures of a panel, narrow by day and wide at night; nothing sticks out, axe is content."""
    page.add_script_tag(path=axe_js)
    for theme, width in (*_SEEN, *(_ELSE if all_ways else ())):
        page.evaluate(
            "theme => { window.jupyterapp.commands.execute('apputils:change-theme', {theme}); }",
            f"JupyterLab {theme}",
        )
        page.wait_for_function(
            "dark => document.body.dataset.jpThemeLight === dark",
            arg="false" if theme == "Dark" else "true",
        )
        page.set_viewport_size({"width": width, "height": 1100})
        page.locator(panel).scroll_into_view_if_needed()
        # All of it at once: what the notebook's frame cuts off nobody would look at.
        tall = page.locator(panel).bounding_box()["height"]
        page.set_viewport_size({"width": width, "height": min(int(tall) + 400, 6000)})
        # The plan is drawn anew for the room that there is, and others follow it.
        page.wait_for_function("() => !document.querySelector('.sw-stale')")
        page.evaluate("panel => document.querySelector(panel).scrollIntoView()", panel)
        page.locator(panel).screenshot(path=folder / f"{name}-{theme.lower()}-{width}.png")
        found = [page.evaluate(script, panel) for script in (_OVER, _AXE)]
        assert found == [[], []], (theme, width, found)
    page.set_viewport_size({"width": 1280, "height": 1100})


_OVER = """panel => { const right = document.querySelector(panel).getBoundingClientRect().right + 2;
  return [...document.querySelectorAll(['input', 'select', 'textarea', 'button', 'svg']
    .map(tag => panel + ' ' + tag).join())]
    .filter(e => e.getClientRects().length && e.getBoundingClientRect().right > right
      && !e.closest('.sw-scroll'))
    .map(e => e.outerHTML.slice(0, 120)); }"""
_AXE = """panel => axe.run({include: [[panel]]}).then(r => r.violations.map(v =>
  [v.id, v.nodes.length, v.nodes[0].html.slice(0, 200)]))"""
