"""Side jobs in cook.toml: each once, each need there, and none that waits for itself."""

from __future__ import annotations

import pytest

from stallwise.record.problems import RecordError
from stallwise.record.schema import Cook
from stallwise.record.toml import parse

HEAD = 'schema = 1\ntitle = "made up"\ndate = 2027-06-05\n[[pieces]]\nletter = "A"\ncut = "chicken-whole"\n'


def job(name, **more):
    lines = [f'job = "{name}"', 'takes = "30 min"', *(f"{k} = {v}" for k, v in more.items())]
    return "[[jobs]]\n" + "\n".join(lines) + "\n"


def read(*jobs):
    return parse(HEAD + "".join(jobs), Cook, file="cook.toml")


def test_jobs_that_wait_for_each_other_are_named_with_their_line():
    with pytest.raises(RecordError) as caught:
        read(
            job("gravy", needs='["stock"]'),
            job("stock", needs='["bones"]'),
            job("bones", needs='["gravy"]'),
        )
    said = str(caught.value)
    assert "in a circle" in said
    for pair in ("'gravy' needs 'stock'", "'stock' needs 'bones'", "'bones' needs 'gravy'"):
        assert pair in said
    assert "cook.toml" in said


def test_a_job_that_needs_itself_is_a_circle():
    with pytest.raises(RecordError, match="'slaw' needs 'slaw'"):
        read(job("slaw", needs='["slaw"]'))


@pytest.mark.parametrize(
    ("jobs", "said"),
    [
        ((job("slaw"), job("slaw")), "job 'slaw' is there twice"),
        ((job("slaw", needs='["dressing"]'),), "job 'slaw' needs 'dressing'"),
        ((job("slaw", on='["B"]'),), "job 'slaw' is for piece 'B'"),
        ((job("slaw", by='"lunch"'),), "lunch"),
    ],
)
def test_what_does_not_fit_is_said(jobs, said):
    with pytest.raises(RecordError, match=said):
        read(*jobs)


def test_a_job_may_wait_for_a_piece_and_for_another_job():
    cook = read(job("stock"), job("gravy", needs='["stock", "A"]', by='"carve"', hands='"5 min"'))
    assert [one.needs for one in cook.jobs] == [[], ["stock", "A"]]
    assert cook.jobs[0].by == "serve"
