"""Executing notebooks: each way to fail is a tiny notebook here and is told apart."""

import json
import os
import sys
import time

import pytest
from nbformat import v4

from stallwise.surfaces.rerun.batch import run_all, team
from stallwise.surfaces.rerun.execute import Job
from stallwise.surfaces.rerun.warm import can_fork
from stallwise.surfaces.rerun.worker import Worker

pytestmark = pytest.mark.notebook

FIGURES = "import os, json; json.dump({'seen': 1}, open(os.environ['STALLWISE_RESULT'], 'w'))"


def notebook(*code):
    cells = [v4.new_code_cell(source) for source in code]
    if cells and cells[0].source.startswith("#p"):
        cells[0].metadata["tags"] = ["parameters"]
    return json.loads(json.dumps(v4.new_notebook(cells=cells)))


@pytest.fixture(scope="module")
def worker(tmp_path_factory):
    worker = Worker(tmp_path_factory.mktemp("worker"))
    yield worker
    worker.stop()


@pytest.fixture
def cook(tmp_path):
    folder = tmp_path / "a {cook}"  # papermill reads braces in a path as places to fill in
    (folder / "results").mkdir(parents=True)
    (folder / "results" / "same.ipynb").write_text("the earlier good one")
    return folder


def job(cook, *code, **settings):
    return Job(notebook(*code), str(cook), "same", **settings)


def left(cook):
    return sorted(path.name for path in (cook / "results").iterdir())


def test_a_whole_run_replaces_notebook_and_figures_and_names_no_path(worker, cook):
    run = worker.run(
        job(cook, "#p\nwrap = None", FIGURES, "print(wrap)", parameters={"wrap": "foil"})
    )
    assert run.state == "done", run
    assert left(cook) == ["same.ipynb", "same.json"]
    text = (cook / "results" / "same.ipynb").read_text()
    assert "foil\\n" in text
    assert str(cook.parent) not in text
    assert json.loads((cook / "results" / "same.json").read_text()) == {"seen": 1}


@pytest.mark.parametrize(
    ("code", "state", "words"),
    [
        ("1 / 0", "failed", "ZeroDivisionError"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGKILL)", "kernel lost", "memory"),
        ("import time; time.sleep(60)", "timeout", "stopped after 2 s, in the cell"),
        ("raise OSError(28, 'No space left on device')", "disk full", "Errno 28"),
        ("import sys; sys.exit()", "unfinished", "did not run"),
    ],
)
def test_each_failure_is_told_apart_and_spoils_nothing(worker, cook, code, state, words):
    run = worker.run(job(cook, FIGURES, code, "print('never')", limit_s=2.0))
    assert run.state == state
    assert words in run.message
    assert (cook / "results" / "same.ipynb").read_text() == "the earlier good one"
    assert left(cook) in (["same.failed.ipynb", "same.ipynb"], ["same.ipynb"])


def test_the_failed_file_does_not_say_completed_of_cells_that_never_ran(worker, cook):
    worker.run(job(cook, FIGURES, "import os, time; time.sleep(1); os._exit(1)", "print('never')"))
    kept = json.loads((cook / "results" / "same.failed.ipynb").read_text())
    assert [cell["metadata"]["papermill"]["status"] for cell in kept["cells"]] == [
        "completed",
        "not finished",
        "not finished",
    ]
    assert kept["metadata"]["papermill"]["exception"] is True


def test_a_run_without_figures_is_not_done(worker, cook):
    run = worker.run(job(cook, "print(1)"))
    assert (run.state, "cook.finish()" in run.message) == ("unfinished", True)


def test_a_module_lying_in_the_cooks_folder_is_not_imported(worker, cook):
    for name in ("altair", "json", "stallwise", "sitecustomize", "papermill"):
        (cook / f"{name}.py").write_text("open('ran', 'w').write(__name__)")
    run = worker.run(
        job(cook, "import sys; assert '' not in sys.path, sys.path\nimport altair, json", FIGURES)
    )
    assert run.state == "done", run
    assert not (cook / "ran").exists()


def test_the_kernel_is_this_python_and_stands_in_the_cooks_folder(worker, cook):
    worker.run(
        job(cook, FIGURES, "import sys, os; print(sys.prefix, os.path.basename(os.getcwd()))")
    )
    out = json.loads((cook / "results" / "same.ipynb").read_text())["cells"][1]["outputs"][0][
        "text"
    ]
    assert "".join(out).split()[0] == sys.prefix
    assert "".join(out).strip().endswith("a {cook}")


def test_results_that_lead_elsewhere_are_not_followed(worker, cook, tmp_path):
    elsewhere = tmp_path / "elsewhere"
    (cook / "results").rename(elsewhere)
    (cook / "results").symlink_to(elsewhere)
    run = worker.run(job(cook, FIGURES))
    assert run.state == "failed"
    assert "leads out" in run.message
    assert sorted(path.name for path in elsewhere.iterdir()) == ["same.ipynb"]


def test_a_worker_that_dies_takes_only_its_own_job_with_it(tmp_path, monkeypatch):
    # Without the warm process the kernel's parent is the worker itself.
    monkeypatch.setattr("stallwise.surfaces.rerun.batch.can_fork", lambda: False)
    jobs = {}
    for name, code in {
        "a": "1",
        "b": "import os; os.kill(os.getppid(), 9)",
        "c": "import time; time.sleep(0)",
    }.items():
        (tmp_path / name).mkdir()
        jobs[name] = Job(notebook(FIGURES, code), str(tmp_path / name), "n")
    seen = []
    runs = run_all(jobs, workers=2, done=lambda name, _: seen.append(name))
    assert {name: run.state for name, run in runs.items()} == {
        "a": "done",
        "b": "kernel lost",
        "c": "done",
    }
    assert sorted(seen) == ["a", "b", "c"]
    assert [p.name for p in (tmp_path / "b" / "results").iterdir() if p.name.startswith(".")] == []


@pytest.mark.skipif(not can_fork(), reason="kernels start from nothing on this system")
def test_kernels_come_warm_and_as_clean_as_from_nothing(tmp_path):
    first = (
        "import sys, random; assert 'stallwise.surfaces.notebook' in sys.modules\n"
        "import json, numpy, builtins, os\n"
        "assert not hasattr(builtins, 'left'); builtins.left = 1; json.left = 1\n"
        "print(os.environ['JPY_PARENT_PID'], numpy.random.random(), random.random())"
    )
    said = []
    (tmp_path / "a").mkdir()
    with team(1) as ((worker,), _):
        for _ in range(2):
            run = worker.run(Job(notebook(FIGURES, first), str(tmp_path / "a"), "n"))
            assert run.state == "done", run
            cells = json.loads((tmp_path / "a" / "results" / "n.ipynb").read_text())["cells"]
            said.append("".join(cells[1]["outputs"][0]["text"]).split())
    assert said[0][0] == said[1][0]  # of one process
    assert said[0][1] != said[1][1]  # with a chance of its own
    assert said[0][2] != said[1][2]


@pytest.mark.skipif(not can_fork(), reason="kernels start from nothing on this system")
def test_without_the_warm_process_kernels_start_from_nothing(tmp_path):
    (tmp_path / "a").mkdir()
    worker = Worker(tmp_path, tmp_path / "nobody-listens")
    run = worker.run(Job(notebook(FIGURES, "1"), str(tmp_path / "a"), "n"))
    worker.stop()
    assert run.state == "done", run


def test_an_odd_notebook_is_one_row_and_the_worker_goes_on(worker, cook):
    odd = Job({"cells": [{"cell_type": "code"}], "nbformat": 4}, str(cook), "odd")
    assert worker.run(odd).state == "failed"
    assert worker.run(job(cook, FIGURES)).state == "done"


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (
            ["/nowhere/python", "-m", "ipykernel_launcher", "-f", "{connection_file}"],
            "No such file",
        ),
        ([sys.executable, "-c", "import no_such_kernel"], "died"),
    ],
)
def test_a_missing_kernel_is_one_row_and_the_rest_goes_on(tmp_path, monkeypatch, argv, words):
    from stallwise.surfaces.rerun import worker as module

    right = module.worker_environment
    broken = []

    def environment(place, base, warm=None):
        found = right(place, base, warm)
        path = place / "jupyter" / "kernels" / "python3" / "kernel.json"
        if not broken:
            path.write_text(json.dumps(json.loads(path.read_text()) | {"argv": argv}))
            broken.append(path)
        return found

    monkeypatch.setattr(module, "worker_environment", environment)
    (tmp_path / "a").mkdir()
    worker = module.Worker(tmp_path)
    one = Job(notebook(FIGURES), str(tmp_path / "a"), "n", start_s=20)
    run = worker.run(one)
    assert (run.state, words in run.message) == ("no kernel", True), run
    worker.stop()
    assert worker.run(one).state == "done"
    worker.stop()


def test_a_kernel_that_never_started_is_tried_once_more(monkeypatch, tmp_path):
    from stallwise.surfaces.rerun import worker as module
    from stallwise.surfaces.rerun.execute import Run

    answers = iter([Run("no kernel"), Run("done")])
    monkeypatch.setattr(module.Worker, "run", lambda *_: next(answers))
    assert run_all({"a": Job({"cells": []}, ".", "n")})["a"].state == "done"


def test_stopped_by_the_cook_leaves_no_process(tmp_path):
    (tmp_path / "a").mkdir()
    slow = Job(notebook("import time; time.sleep(120)"), str(tmp_path / "a"), "n")
    worker = Worker(tmp_path)
    import threading

    runs = []
    thread = threading.Thread(target=lambda: runs.append(worker.run(slow)))
    thread.start()
    time.sleep(3)
    pid = worker._process.pid
    worker.kill()
    thread.join(timeout=10)
    assert runs[0].state == "kernel lost"
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)
