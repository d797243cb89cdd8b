"""Shipped tables and templates are found, and nothing else is."""

from __future__ import annotations

import pytest

from stallwise.ground import assets
from stallwise.ground.errors import NotFoundError


def test_a_table_is_read():
    assert "[choi-okos-1986]" in assets.read_text("data", "references.toml")
    assert assets.read_bytes("data", "references.toml").startswith(b"#")


def test_names_and_walk_agree():
    tops = {parts[0] for parts in assets.walk("data")}
    assert tops <= set(assets.names("data"))
    assert "references.toml" in tops


def test_litter_is_no_asset(tmp_path):
    for name in (".ipynb_checkpoints", "__pycache__", "salts.csv"):
        (tmp_path / name).mkdir()
    assert set(assets._listing(tmp_path)) == {"salts.csv"}


def test_a_miss_offers_the_nearest():
    with pytest.raises(NotFoundError, match=r"references\.toml"):
        assets.read_text("data", "reference.toml")


@pytest.mark.parametrize("part", ["..", ".", "", "../pyproject.toml", "/etc/passwd", ".hidden"])
def test_a_part_is_a_name_and_never_a_path(part):
    with pytest.raises(NotFoundError):
        assets.read_text("data", part)


def test_an_unknown_kind_is_refused():
    with pytest.raises(NotFoundError, match="kind of asset"):
        assets.folder("notebooks")
