"""The measured line on the compressor map."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engine_model.errors import InputError
from engine_model.matching import match_many
from engine_model.studies.measured_line import measured_line
from tests.reconcile_twins import BUILD, MILD, SURFACE, twin_run

SPEED = np.linspace(3000.0, 6500.0, 12)


@pytest.fixture(scope="module")
def model():
    return match_many(BUILD, [MILD], SPEED, surface=SURFACE).part(0)


def run_of(model, **more):
    base = twin_run(0, SPEED.size)
    values = {
        "engine_speed_rpm": SPEED.copy(),
        "power_w": model.wheel_power_w.copy(),
        "manifold_pressure_pa": model.manifold_pressure_pa.copy(),
        "charge_temperature_k": None,
        "discharge_temperature_k": None,
    }
    return replace(base, **{**values, **more})


def test_a_run_that_is_the_model_lies_on_its_line(model):
    found = measured_line(BUILD, MILD, run_of(model), surface=SURFACE)
    np.testing.assert_allclose(found.corrected_flow_kg_s, model.corrected_flow_kg_s, rtol=1e-12)
    np.testing.assert_allclose(found.pressure_ratio, model.pressure_ratio, rtol=1e-9)
    assert not found.mixture_measured
    # 4 % of combustion and driveline, 0.7 % of power
    share = found.corrected_flow_error_kg_s / found.corrected_flow_kg_s
    np.testing.assert_allclose(share, np.hypot(0.04, 0.007))


def test_leaner_mixture_means_more_air_for_the_same_power(model):
    # below lambda 1 work per fuel follows lambda, so that air for a power hardly changes; above
    # it, air per fuel rises and work does not: lambda 1.1 is 10 % more air than 1.0
    one, more = (
        measured_line(BUILD, MILD, run_of(model, mixture=np.full(SPEED.size, value)),
                      surface=SURFACE)
        for value in (1.0, 1.1)
    )  # fmt: skip
    assert one.mixture_measured
    np.testing.assert_allclose(more.air_flow_kg_s / one.air_flow_kg_s, 1.1, rtol=1e-9)


def test_without_manifold_pressure_there_is_flow_but_no_ratio(model):
    run = run_of(model, manifold_pressure_pa=None)
    found = measured_line(BUILD, MILD, run, surface=SURFACE)
    assert np.all(np.isnan(found.pressure_ratio))
    assert np.all(np.isfinite(found.corrected_flow_kg_s))
    with pytest.raises(InputError, match="a build with a compressor"):
        measured_line(BUILD.with_value("drive.kind", "none"), MILD, run)
