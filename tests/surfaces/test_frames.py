"""Frames hold what the record and the Result hold, no more and no less."""

from __future__ import annotations

import datetime as dt

import pytest

from stallwise.joins.ask import ask, forecast_line
from stallwise.record.folder import Cookbook
from stallwise.record.sample import bring_sample
from stallwise.surfaces import frames

NOW = dt.datetime(2026, 11, 1, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Cookbook:
    made = Cookbook.start(tmp_path_factory.mktemp("book") / "b", title="b")
    bring_sample(made)
    return made


def test_readings_are_all_there_and_missing_ones_stay_missing(book: Cookbook) -> None:
    record = book.cook("2026-09-26-harvest-supper").load()
    frame = frames.readings(record)
    assert len(frame) == sum(len(probe.at) for probe in record.readings)
    kept = sum(value is not None for probe in record.readings for value in probe.temperature_c)
    assert frame["temperature_c"].notna().sum() == kept
    assert str(frame["at"].dt.tz) == "Etc/GMT+5"


def test_a_cook_without_a_probe_has_an_empty_frame_with_its_columns(book: Cookbook) -> None:
    frame = frames.readings(book.cook("2026-05-16-spring-ribs").load())
    assert list(frame) == ["at", "piece", "pit", "place", "temperature_c"]
    assert frame.empty


def test_cooks_set_the_forecast_beside_what_happened(book: Cookbook) -> None:
    frame = frames.cooks(book, made_at=NOW)
    assert len(frame) == 10
    assert (frame["tender_p10_h"] < frame["tender_p90_h"]).all()
    assert frame["tender_h"].dropna().between(2, 16).all()
    birds = frame[frame["cut"] == "turkey-half"]
    assert len(birds)
    assert birds["tender_h"].notna().all()


def test_stages_salt_log_and_kept_forecasts(book: Cookbook) -> None:
    folder = book.cook("2026-09-26-harvest-supper")
    result = ask(folder.load(), made_at=NOW)
    stages = frames.stages(result)
    tender = stages.query("piece == 'A' and stage == 'tender'").iloc[0]
    assert tender["p50"] == result.pieces[0].stages["tender"].elapsed_h.p50
    total = frames.salt(result).groupby("piece")["salt_g"].sum()
    assert total["A"] == pytest.approx(result.salt[0].salt_g)
    assert frames.log(folder.load())["at"].is_monotonic_increasing
    folder.keep_forecast(forecast_line(result))
    *_, row = frames.forecasts(folder.load()).query("piece == 'A'").to_dict("records")
    assert row["tender_p50_h"] == tender["p50"]
