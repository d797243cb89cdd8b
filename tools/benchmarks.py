"""Run the benchmarks, print a table with the machine, medians and ratios, and keep it.

``make benchmarks`` runs them all and writes ``.test-artifacts/benchmarks.json`` and ``.txt``;
``make benchmarks README=1`` also writes the ratios into the README. With ``--from`` the table is made of what
was measured before. A benchmark that missed what is asked of it is named, and the exit status is 1.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
import platform
import re
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
KEPT = ROOT / ".test-artifacts"
HEAD, LAST = "## How fast it is", "## Licence"
#: Each listens to `tests/benchmarks/figures.py`.
LISTENER = "STALLWISE_FIGURES"
_PREFIXES = (
    (1.0, 1.0, "s"),
    (1e-3, 1e3, "ms"),
    (1e-6, 1e6, "µs"),
)


def main() -> int:
    """Measure, or read what was measured; show and keep it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("tests", nargs="*", help="only these files of tests")
    parser.add_argument("--from", dest="old", type=Path, help="a benchmarks.json of before")
    parser.add_argument("--readme", action="store_true", help="write the ratios into README.md")
    args = parser.parse_args()
    kept = json.loads(args.old.read_text()) if args.old else measured(args.tests)
    said = table(kept)
    print(said)
    if not args.old:
        KEPT.mkdir(exist_ok=True)
        (KEPT / "benchmarks.json").write_text(json.dumps(kept, indent=1) + "\n")
        (KEPT / "benchmarks.txt").write_text(said + "\n")
    if args.readme:
        readme = ROOT / "README.md"
        readme.write_text(with_section(readme.read_text(encoding="utf-8"), kept), encoding="utf-8")
    return 1 if kept["failed"] else 0


# --- measuring ------------------------------------------------------------------------


def measured(chosen: list[str]) -> dict[str, Any]:
    """Run each file of benchmarks in a process of its own: one would count the other's memory."""
    rows: list[dict[str, Any]] = []
    failed: list[str] = []
    busy = [os.getloadavg()[0]]
    files = chosen or _files()
    with tempfile.TemporaryDirectory() as place:
        for number, file in enumerate(files, 1):
            print(f"{number} of {len(files)}: {file}", file=sys.stderr, flush=True)
            heard = Path(place) / f"{number}.jsonl"
            done = _pytest("-m", "benchmark", "-rf", file, env={LISTENER: str(heard)})
            if heard.exists():
                rows += [json.loads(line) for line in heard.read_text().splitlines()]
            failed += re.findall(r"^(?:FAILED|ERROR) (\S+)", done.stdout, re.MULTILINE)
            busy.append(os.getloadavg()[0])
    return {"machine": machine(), "load": [busy[0], max(busy)], "rows": rows, "failed": failed}


def _files() -> list[str]:
    """Find all files that hold a benchmark."""
    listed = _pytest("-m", "benchmark", "--collect-only", "tests", env={}).stdout
    return sorted({line.partition("::")[0] for line in listed.splitlines() if "::" in line})


def _pytest(*words: str, env: dict[str, str]) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *words]
    return subprocess.run(  # noqa: S603 - our own interpreter and tests
        command, cwd=ROOT, env={**os.environ, **env}, capture_output=True, text=True, check=False
    )


def machine() -> dict[str, str]:
    """Name what it was measured on."""
    info, memory = Path("/proc/cpuinfo"), Path("/proc/meminfo")
    named = re.search(r"model name\s*:\s*(.+)", info.read_text() if info.exists() else "")
    total = re.search(r"MemTotal:\s*(\d+)", memory.read_text() if memory.exists() else "")
    return {
        "processor": named[1] if named else platform.processor() or platform.machine(),
        "cores": str(os.cpu_count()),
        "memory": f"{int(total[1]) / 1048576:.0f} GiB" if total else "not known",
        "system": f"{platform.system()} {platform.release()}",
        "python": platform.python_version(),
        "date": dt.datetime.now(dt.UTC).date().isoformat(),
    }


# --- showing --------------------------------------------------------------------------


def figure(value: float, unit: str) -> str:
    """Say a figure in the unit that suits its size."""
    if unit == "s":
        _, factor, name = next((one for one in _PREFIXES if value >= one[0]), _PREFIXES[-1])
        shown = value * factor
        return f"{shown:.3g} {name}" if shown < 1000 else f"{shown:.0f} {name}"
    if unit == "B":
        return f"{value / 1e6:.3g} MB" if value >= 1e6 else f"{value / 1e3:.3g} kB"
    return f"{value:.3g} {unit}".strip()


def ratio(row: dict[str, Any]) -> str:
    """How many times theirs is ours, by the medians; pairs of runs give the ends."""
    if not row["theirs"]:
        return ""
    ours, theirs = row["ours"], row["theirs"]
    said = f"{statistics.median(theirs) / statistics.median(ours):.3g}"
    if len(ours) == len(theirs) > 1:
        pairs = [slow / fast for slow, fast in zip(theirs, ours, strict=True)]
        said += f" ({min(pairs):.3g} to {max(pairs):.3g})"
    return said


def table(kept: dict[str, Any]) -> str:
    """All that was measured, in columns."""
    head = ("what", "ours", "spread", "against", "theirs", "ratio", "asked")
    rows = [head]
    for row in kept["rows"]:
        ours, theirs = row["ours"], row["theirs"]
        ends = f"{figure(min(ours), row['unit'])} to {figure(max(ours), row['unit'])}"
        rows.append(
            (
                row["name"],
                figure(statistics.median(ours), row["unit"]),
                ends if len(ours) > 1 else "",
                row["against"],
                figure(statistics.median(theirs), row["unit"]) if theirs else "",
                ratio(row),
                row["asked"],
            )
        )
    widths = [max(len(row[at]) for row in rows) for at in range(len(head))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]  # fmt: skip
    about = ", ".join(f"{key} {value}" for key, value in kept["machine"].items())
    low, high = kept["load"]
    lines.insert(1, "-" * max(map(len, lines)))
    lines += ["", f"Medians. {about}. Load {low:.1f} at the start, {high:.1f} at most."]
    if high > 0.75 * int(kept["machine"]["cores"]) + 1:
        lines.append("The machine was doing other things too: ratios hold, seconds do not.")
    lines += [f"missed what is asked, or broke: {name}" for name in kept["failed"]]
    return "\n".join(lines)


def section(kept: dict[str, Any]) -> str:
    """Write the README's section: what has something to compare with, and the rest in short."""
    about = kept["machine"]
    compared = [row for row in kept["rows"] if row["theirs"]]
    measured_on = (
        f"Measured on {dt.date.fromisoformat(about['date']):%d %B %Y}, {about['cores']} cores ({about['processor']}), "
        f"{about['memory']}, Python {about['python']}; medians, both ways in turn in one run. "
        "`make benchmarks` repeats it, prints the rest and names what misses its mark."
    )
    lines = [
        HEAD,
        "",
        measured_on,
        "",
        "| what | ours | against | theirs | times |",
        "|---|---|---|---|---|",
    ]
    for row in compared:
        ours, theirs = (figure(statistics.median(row[side]), row["unit"]) for side in ("ours", "theirs"))  # fmt: skip
        lines.append(f"| {row['name']} | {ours} | {row['against']} | {theirs} | {ratio(row)} |")
    rest = [row for row in kept["rows"] if not row["theirs"]]
    lines += ["", "| and | median | asked |", "|---|---|---|"]
    for row in rest:
        lines.append(f"| {row['name']} | {figure(statistics.median(row['ours']), row['unit'])} | {row['asked']} |")  # fmt: skip
    return "\n".join(lines) + "\n\n"


def with_section(readme: str, kept: dict[str, Any]) -> str:
    """Put the section in the place of the one of before, or in front of the licence."""
    start = readme.find(HEAD)
    end = readme.index(LAST)
    return readme[: start if start >= 0 else end] + section(kept) + readme[end:]


if __name__ == "__main__":
    sys.exit(main())
