"""One door to the disk: whoever writes goes through `record.disk`, or stands here with the reason why not."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SRC = Path(__file__).resolve().parents[2] / "src" / "stallwise"
WRITES = {
    *("write_text", "write_bytes", "mkdir", "makedirs", "touch", "unlink", "rename", "rmdir"),
    *("rmtree", "copyfile", "copytree", "mkdtemp", "TemporaryDirectory", "NamedTemporaryFile"),
    *("symlink_to", "hardlink_to", "truncate", "fdopen"),
}  # fmt: skip
#: Modules that write by themselves, what they write, and why it may be lost.
OTHERS = {
    "record.disk": "the door",
    "record.store": "takes back a file that it made a moment ago",
    "record.folder": "clears the folder of a cook that did not come to be",
    "record.received": "clears what it unpacked of a file that was refused",
    "surfaces.widgets.guard": "the log of panels' faults, in the user's cache",
    "surfaces.journal.site": "a staging folder; a page gets its name by rename, the index last",
    "surfaces.journal.photos": "into that staging folder",
    "surfaces.rerun": "a kernel's own temporary folder; results get their name by rename",
    "surfaces.attaching": "a temporary folder for a file that was dropped in",
    "ground.usercache": "the user's cache, which is made anew at will",
    "cli.main": "the null device, when a reader went away",
}


def writes(source: str) -> Iterator[tuple[int, str]]:
    """Line and name of each call that changes a disk."""
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        owner = getattr(getattr(node.func, "value", None), "id", "")
        said = [arg.value for arg in node.args if isinstance(arg, ast.Constant)]
        said += [one.value.value for one in node.keywords if isinstance(one.value, ast.Constant)]
        opens = name == "open" and any(
            isinstance(one, str) and set(one) <= set("wax+bt") and set(one) & set("wax+")
            for one in said
        )
        # Text is replaced by two words, a file by one path.
        moves = name == "replace" and len(node.args) == 1 and not node.keywords
        moves |= owner == "os" and name in {"open", "replace", "remove"}
        if opens or moves or (name in WRITES and owner not in {"disk", "store"}):
            yield node.lineno, f"{owner}.{name}"


def test_nobody_writes_past_the_door():
    found, used = [], set()
    for path in sorted(SRC.rglob("*.py")):
        module = ".".join(path.relative_to(SRC).with_suffix("").parts)
        other = next((one for one in OTHERS if f"{module}.".startswith(f"{one}.")), None)
        for line, name in writes(path.read_text(encoding="utf-8")):
            if other is None:
                found.append(f"{module}:{line} {name}")
            used.add(other)
    assert found == []
    assert used - {None} == OTHERS.keys()


@pytest.mark.parametrize(
    ("source", "seen"),
    [
        ("path.write_text('x')", True),
        ("open(path, 'w')", True),
        ("path.open(mode='ab')", True),
        ("made.replace(target)", True),
        ("os.open(path, flags)", True),
        ("shutil.rmtree(folder)", True),
        ("open(path)", False),
        ("path.open('rb')", False),
        ("text.replace('a', 'b')", False),
        ("disk.rename(old, new)", False),
    ],
)
def test_a_write_is_seen(source, seen):
    assert bool(list(writes(source))) is seen
