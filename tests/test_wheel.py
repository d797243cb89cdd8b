"""The wheel holds every table and template, and runs where there is no checkout."""

from __future__ import annotations

import json
import subprocess
import sys
import sysconfig
import tarfile
import zipfile
from pathlib import Path

import pytest

pytestmark = [pytest.mark.wheel, pytest.mark.slow]

ROOT = Path(__file__).resolve().parents[1]

OPEN_ALL = """
import json
from stallwise.ground import assets
found = {}
for kind in ("data", "templates"):
    for parts in assets.walk(kind):
        found["/".join((kind, *parts))] = len(assets.read_bytes(kind, *parts))
print(json.dumps({"where": str(assets.folder("data")), "found": found}))
"""


def run(*command: str | Path, cwd: Path) -> str:
    done = subprocess.run(
        list(map(str, command)), cwd=cwd, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def build(target: str, source: Path, out: Path) -> Path:
    """Build with the locked hatchling, not with one fetched for the occasion."""
    run(sys.executable, "-m", "hatchling", "build", "-t", target, "-d", out, cwd=source)
    (built,) = out.iterdir()
    return built


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    return build("wheel", ROOT, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def environment(wheel, tmp_path_factory) -> Path:
    """A fresh environment with the wheel in it; the packages it needs are borrowed from ours."""
    place = tmp_path_factory.mktemp("fresh") / "env"
    run(sys.executable, "-m", "venv", "--without-pip", place, cwd=place.parent)
    binaries = place / ("Scripts" if sys.platform == "win32" else "bin")
    run(
        sys.executable, "-m", "pip", "--python", binaries / "python", "install", "--quiet",
        "--no-deps", "--no-index", wheel, cwd=place.parent,
    )  # fmt: skip
    # A plain path line does not run the .pth files over there, so our editable install stays hidden.
    (site,) = place.glob("lib/python*/site-packages")
    (site / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return binaries


def assets_of_the_checkout() -> dict[str, int]:
    listing = run(
        "git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", "data", "templates",
        cwd=ROOT,
    )  # fmt: skip
    names = [name for name in listing.split("\0") if name and (ROOT / name).is_file()]
    return {n: (ROOT / n).stat().st_size for n in names if not Path(n).name.startswith(".")}


def test_every_asset_opens_far_from_the_checkout(environment, tmp_path):
    seen = json.loads(run(environment / "python", "-c", OPEN_ALL, cwd=tmp_path))
    assert "_assets" in seen["where"]
    assert seen["found"] == assets_of_the_checkout()


def test_the_command_runs_far_from_the_checkout(environment, tmp_path):
    assert "stallwise" in run(environment / "stallwise", "--help", cwd=tmp_path)


def test_the_source_release_builds_the_same_wheel(wheel, tmp_path):
    release = build("sdist", ROOT, tmp_path / "sdist")
    with tarfile.open(release) as archive:
        archive.extractall(tmp_path, filter="data")
    (source,) = tmp_path.glob("stallwise-*")
    again = build("wheel", source, tmp_path / "again")
    assert set(zipfile.ZipFile(again).namelist()) == set(zipfile.ZipFile(wheel).namelist())


def test_nothing_else_is_in_the_wheel(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    assert {name.split("/")[0].split("-")[0] for name in names} == {"stallwise"}
    assert not [name for name in names if "__pycache__" in name or ".ipynb_checkpoints" in name]
