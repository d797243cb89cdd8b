"""What leaves this repository tells nothing of the machine it was made on and fetches nothing."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

# Written in halves, so that this file does not hold what it looks for.
REGISTRIES = [
    "pypi" + ".org",
    "python" + "hosted.org",
    "npmjs" + ".org",
    "npmjs" + ".com",
    "anaconda" + ".org",
    "debian" + ".org",
]
MACHINE = [
    re.compile(pattern)
    for pattern in (
        re.escape(str(ROOT)) + r"\b",
        r"/ho" + r"me/[a-z]\w*/",
        r"/ro" + r"ot/",
        r"/Us" + r"ers/[A-Za-z]\w*/",
        r"[A-Z]:\\Us" + r"ers\\",
        r"/wo" + r"rk/",
        r"\.\./sha" + r"red\b",
    )
]
#: A template may name an address in text or as a link; it may not load one.
LOADS = re.compile(
    r"""\b(?:src|srcset|poster|data|action|formaction|background)\s*=\s*["']?\s*(?:https?:)?//
    | <link\b[^>]*\bhref\s*=\s*["']?\s*(?:https?:)?//
    | url\(\s*["']?\s*(?:https?:)?//
    | @import\s+["'](?:https?:)?//
    | \bimport\s*\(?\s*["'](?:https?:)?//
    | \b(?:fetch|XMLHttpRequest|EventSource|WebSocket|sendBeacon)\b""",
    re.VERBOSE | re.IGNORECASE,
)
PAGES = {".html", ".j2", ".jinja", ".css", ".js", ".svg", ".xml", ".ipynb"}


def tracked() -> list[Path]:
    """Files that git knows or would take; in an unpacked release, which has no git, all of them."""
    listing = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if listing.returncode == 0:
        paths = [ROOT / name for name in listing.stdout.split("\0") if name]
    else:
        own = ("src", "tests", "templates", "data", "notebooks", "tools")
        paths = [*ROOT.glob("*"), *(path for folder in own for path in (ROOT / folder).rglob("*"))]
    return [path for path in paths if path.is_file()]


def text_of(path: Path) -> str | None:
    content = path.read_bytes()
    return None if b"\0" in content[:4096] else content.decode("utf-8", errors="replace")


def wrong_with(text: str) -> list[str]:
    """Places of this machine and registries in a text."""
    return [host for host in REGISTRIES if host in text] + [
        found[0] for pattern in MACHINE if (found := pattern.search(text))
    ]


def test_tracked_files_name_no_machine_and_no_registry():
    found = {
        str(path.relative_to(ROOT)): wrong
        for path in tracked()
        if (text := text_of(path)) and (wrong := wrong_with(text))
    }
    assert not found


def test_commits_name_no_machine_and_no_registry():
    log = subprocess.run(
        ["git", "log", "--format=%B"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert not wrong_with(log.stdout)


def test_templates_load_nothing_from_elsewhere():
    found = {
        str(path.relative_to(ROOT)): hit[0]
        for path in tracked()
        if path.is_relative_to(ROOT / "templates") and path.suffix in PAGES
        if (hit := LOADS.search(path.read_text(encoding="utf-8")))
    }
    assert not found


@pytest.mark.parametrize(
    "text",
    [
        '<script src="https://cdn.example/x.js"></script>',
        "<img src=//cdn.example/x.png>",
        '<link rel="stylesheet" href="https://cdn.example/x.css">',
        "body { background: url('https://cdn.example/x.png') }",
        "import 'https://cdn.example/x.js'",
    ],
)
def test_a_loaded_address_is_seen(text):
    assert LOADS.search(text)


@pytest.mark.parametrize(
    "text", ["see /ho" + "me/cook/notes", "/wo" + "rk/x", "https://pypi" + ".org/simple"]
)
def test_a_place_of_a_machine_is_seen(text):
    assert wrong_with(text)


def test_a_link_to_read_is_let_through():
    assert not LOADS.search('<a href="https://example.org/">read on</a>')
