"""What benchmarks keep comes out as a table with medians, ratios and what was missed."""

import json

import benchmarks
import figures

MACHINE = {
    "processor": "made up", "cores": "2", "memory": "8 GiB", "system": "x", "python": "3.11.7",
    "date": "2026-11-25",
}  # fmt: skip


def kept(listener, load=0.1, failed=()):
    rows = [json.loads(line) for line in listener.read_text().splitlines()]
    return {"machine": MACHINE, "load": [load, load], "rows": rows, "failed": list(failed)}


def test_figures_become_a_table_and_a_section_that_replaces_the_one_before(tmp_path, monkeypatch):
    listener = tmp_path / "figures.jsonl"
    monkeypatch.delenv(figures.LISTENER, raising=False)
    figures.keep("nobody listens", [1.0])
    monkeypatch.setenv(figures.LISTENER, str(listener))
    assert figures.LISTENER == benchmarks.LISTENER
    figures.keep(
        "a day", [0.001, 0.002, 0.006], against="the other way", theirs=[0.1, 0.3, 0.5],
        asked="at least 100 times",
    )  # fmt: skip
    figures.keep("memory", [2.5e8], unit="B", asked="at most 300 MB")
    quiet = kept(listener)
    head, _, day, memory, *_ = benchmarks.table(quiet).splitlines()
    assert head.split() == ["what", "ours", "spread", "against", "theirs", "ratio", "asked"]
    for said in ("2 ms", "1 ms to 6 ms", "300 ms", "150 (83.3 to 150)"):
        assert said in day
    assert "250 MB" in memory
    assert "other things" not in benchmarks.table(quiet)
    busy = benchmarks.table(kept(listener, load=9.0, failed=["tests/x.py::test_y"]))
    assert "other things" in busy
    assert "missed what is asked, or broke: tests/x.py::test_y" in busy
    readme = "# x\n\nwords\n\n## Licence\n\nfree\n"
    once = benchmarks.with_section(readme, quiet)
    assert benchmarks.with_section(once, quiet) == once
    assert "| a day | 2 ms | the other way | 300 ms | 150 (83.3 to 150) |" in once
    assert "25 November 2026, 2 cores (made up)" in once
    assert once.startswith("# x\n\nwords\n\n")
    assert once.endswith("## Licence\n\nfree\n")


def test_both_ways_are_timed_in_turn():
    order = []
    ours, theirs = figures.in_turn(lambda: order.append("a"), lambda: order.append("b"), 3)
    assert order == list("ababab")
    assert (len(ours), len(theirs)) == (3, 3)
