"""Cookbooks to work on: copies of the frozen ones, a new one, a disk of 128 kB."""

import shutil
import subprocess
from pathlib import Path

import pytest

from stallwise.record.folder import Cookbook

BOOKS = Path(__file__).resolve().parents[1] / "books"


@pytest.fixture
def v1(tmp_path: Path) -> Cookbook:
    """A copy of the frozen cookbook of schema 1."""
    return Cookbook.open(Path(shutil.copytree(BOOKS / "v1", tmp_path / "v1")))


@pytest.fixture
def v0(tmp_path: Path) -> Cookbook:
    """A copy of the made-up cookbook of schema 0."""
    return Cookbook.open(Path(shutil.copytree(BOOKS / "v0", tmp_path / "v0")))


@pytest.fixture
def tiny_disk(tmp_path: Path):
    """A file system of 128 kB, where the machine lets us mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    if not shutil.which("mount"):
        pytest.skip("this machine mounts nothing")
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=128k", "tmpfs", str(place)],
        check=False,
        capture_output=True,
    )
    if mounted.returncode:
        pytest.skip("this machine does not let tests mount a disk")
    yield place
    subprocess.run(["umount", str(place)], check=True)
