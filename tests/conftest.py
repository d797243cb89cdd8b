"""What tests share: the checkout's place, hypothesis' two speeds, the programs from outside."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

ROOT = Path(__file__).resolve().parents[1]

# What goes wrong in a test's panel is no news for the log of whoever runs it.
os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="stallwise-state-")

# A change is judged on the same cases each time; the audit looks for new ones.
settings.register_profile("house", deadline=None, max_examples=50, derandomize=True)
settings.register_profile(
    "audit", deadline=None, max_examples=2000, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("house")


@pytest.fixture(scope="session", autouse=True)
def _disk_in_no_hurry():
    """Nothing here has to outlive a power cut; what is asked of a disk is counted in tests/record."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda _handle: None)
        yield


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return ROOT


def _program(names: tuple[str, ...]) -> str:
    for name in names:
        if found := shutil.which(name):
            return found
    # Never a skip: a page that nobody looked at is not a page that passed.
    return pytest.fail(f"none of {', '.join(names)} is installed; run tools/system_packages.sh")


def _tool(path: Path) -> Path:
    return path if path.exists() else pytest.fail(f"{path.name} is missing; run `make tools`")


@pytest.fixture(scope="session")
def chromium() -> str:
    """Path of the system's Chromium, for Playwright's ``executable_path`` (with --no-sandbox)."""
    return _program(("chromium", "chromium-browser", "google-chrome"))


@pytest.fixture(scope="session")
def java() -> str:
    """Path of Java."""
    return _program(("java",))


@pytest.fixture(scope="session")
def vnu_jar() -> Path:
    """The Nu HTML checker: ``java -jar vnu.jar --format json FILE``."""
    return _tool(ROOT / ".tools/node/node_modules/vnu-jar/build/dist/vnu.jar")


@pytest.fixture(scope="session")
def axe_js() -> Path:
    """The accessibility rules: a script to add to a page, then ``axe.run()``."""
    return _tool(ROOT / ".tools/node/node_modules/axe-core/axe.min.js")


@pytest.fixture(scope="session")
def lighthouse() -> Path:
    """The page audit's entry point, for ``node`` (installed by `make audit` only)."""
    return _tool(ROOT / ".tools/node/node_modules/lighthouse/cli/index.js")
