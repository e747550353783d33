"""Bounds on the burn stop pulleys, as single matches say, and only where they are set."""

from __future__ import annotations

import pytest

from app.paths import sample_builds
from engine_model import load_build, match
from engine_model.studies.pulley_span import pulley_span

ASIDE = 5e-5
"""How far beside an edge the single matches are made [m]."""

BURN = ("knock_retard", "cylinder_pressure")


@pytest.fixture(scope="module")
def bounded():
    build = load_build(sample_builds()["road-six"])
    return build.with_values({"bounds.knock_retard": 5.0, "bounds.cylinder_pressure": 7.5e6})


@pytest.fixture(scope="module")
def span(bounded):
    known = bounded.known_days()
    return pulley_span(bounded, [known["hot"], known["freezing"]])


def state_at(build, day, code, diameter):
    there = build.with_value("drive.blower_pulley_diameter", diameter)
    ledger = match(there, build.known_days()[day]).ledger
    return next(e.used for e in ledger if e.code == code)


@pytest.mark.parametrize("code", BURN)
def test_an_edge_stands_where_single_matches_go_over(bounded, span, code):
    bars = [bar for bar in span.bars if bar.code == code]
    assert {bar.day for bar in bars} == {"hot", "freezing"}
    for bar in bars:
        (edge,) = bar.edges
        assert edge.smaller
        assert state_at(bounded, bar.day, code, edge.diameter - ASIDE) > 1.0
        assert state_at(bounded, bar.day, code, edge.diameter + ASIDE) < 1.0


def test_without_its_bound_the_burn_stops_nothing(bounded, span):
    free = bounded.with_values({"bounds.knock_retard": None, "bounds.cylinder_pressure": None})
    days = [bounded.known_days()["hot"]]
    codes = {bar.code for bar in pulley_span(free, days).bars}
    assert not codes & set(BURN)
    assert codes == {bar.code for bar in span.bars} - set(BURN)
