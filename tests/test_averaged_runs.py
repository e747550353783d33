"""Runs averaged, with their spread."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from engine_model.errors import InputError
from engine_model.files.pull_log import load_pull
from engine_model.studies.averaged_runs import averaged_runs
from tests.test_pull_log import FOLDER


def test_mean_and_spread_of_three_runs():
    # powers of 50, 51 and 52 kW at 2000 rpm: mean 51, sample standard deviation 1
    runs = load_pull(FOLDER / "three_runs_with_coasting.csv").runs
    found = averaged_runs(runs)
    assert found.engine_speed_rpm[[0, -1]].tolist() == [2000.0, 6000.0]
    assert found.mean["power_w"][[0, 10]] == pytest.approx([51e3, 61e3])
    np.testing.assert_allclose(found.spread["power_w"], 1e3, rtol=1e-9)
    assert np.all(found.runs == 3.0)


def test_one_run_has_no_spread_and_bases_do_not_mix():
    run = load_pull(FOLDER / "plain.csv").runs[0]
    found = averaged_runs([run])
    assert np.all(np.isnan(found.spread["power_w"]))
    assert found.mean["manifold_pressure_pa"][0] == pytest.approx(105.5e3)
    with pytest.raises(InputError, match="runs of one basis"):
        averaged_runs([run, dataclasses.replace(run, power_basis="flywheel")])
    with pytest.raises(InputError, match="one run or more"):
        averaged_runs([])
