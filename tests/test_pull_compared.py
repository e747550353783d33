"""A pull beside the build: averages, spread, the log's correction taken back, both bases."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.present.dyno_words import measured_power, standards_rows
from app.present.pull_kept import kept_with, mapping_of, mapping_text, mappings_of
from app.present.series_dyno import dyno_csv, dyno_lines, dyno_series
from engine_model import load_build
from engine_model.errors import InputError
from engine_model.files.pull_layout import open_layout, use_for, with_use
from engine_model.files.pull_log import load_pull
from engine_model.files.pull_record import PullMapping, PullRun
from engine_model.inputs import NAMED_DAYS
from engine_model.studies.measured_line import measured_line
from engine_model.studies.pull_compared import by_basis, compare_pull

SPEEDS = np.arange(3000.0, 6001.0, 100.0)
MILD = NAMED_DAYS["mild"]


@pytest.fixture(scope="module")
def build():
    from app.paths import sample_builds

    found = load_build(sample_builds()["road-six"])
    return found.with_values({"driveline.loss": 0.15, "driveline.constant_loss": 0.0})


def run_of(power, number=1, speeds=SPEEDS, basis="wheel"):
    rows = np.arange(speeds.size)
    return PullRun(number, 2, speeds.size + 1, rows, speeds, power, basis)


def mapping(standard="none"):
    return PullMapping(("rpm", "kW"), (), standard)


def test_wheel_and_flywheel_are_a_division_apart(build):
    # common practice, no source: 500 at the wheels with 15 % loss is 588, and 507 is 431
    assert by_basis(np.array(500.0), "wheel", build)["flywheel"] == pytest.approx(588.2, abs=0.1)
    assert by_basis(np.array(507.0), "flywheel", build)["wheel"] == pytest.approx(431.0, abs=0.1)
    with pytest.raises(InputError):
        by_basis(np.array(1.0), "hub", build)


def test_runs_are_averaged_with_their_spread(build):
    low, high = run_of(20.0 * SPEEDS), run_of(24.0 * SPEEDS[:21], 2, SPEEDS[:21])
    found = compare_pull([low, high], build, MILD, mapping(), width=0.0)
    both = found.engine_speed_rpm <= 5000.0
    assert found.count.tolist() == [2] * int(both.sum()) + [1] * int((~both).sum())
    n = found.engine_speed_rpm
    np.testing.assert_allclose(found.measured_w["wheel"][both], 22.0 * n[both])
    # sample standard deviation of two: their distance over the root of two
    apart = np.where(both, 4.0 * n / np.sqrt(2.0), 0.0)
    np.testing.assert_allclose(found.measured_w["wheel"] - found.low_w["wheel"], apart, atol=1e-6)
    np.testing.assert_allclose(found.high_w["wheel"] - found.measured_w["wheel"], apart, atol=1e-6)
    np.testing.assert_allclose(found.measured_w["wheel"][~both], 20.0 * n[~both])
    np.testing.assert_allclose(found.measured_w["flywheel"] * 0.85, found.measured_w["wheel"])
    series = dyno_series(found, "wheel")
    assert series.panels[0].spreads[0].x[-1] == 5000.0
    assert next(one.name for one in series.panels[0].curves if one.name) == "readings"
    assert "mean of 2 runs" in series.panels[0].curves[-1].name


def test_a_correction_in_the_log_is_taken_back(build):
    raw = compare_pull([run_of(30.0 * SPEEDS)], build, MILD, mapping())
    told = compare_pull([run_of(30.0 * SPEEDS)], build, MILD, mapping("sae_j607"))
    factor = next(one.factor for one in raw.standards.rows if one.standard == "sae_j607")
    np.testing.assert_allclose(told.measured_w["wheel"] * factor, raw.measured_w["wheel"])
    back = next(one for one in told.standards.rows if one.standard == "sae_j607")
    assert back.peak_wheel_power_w == pytest.approx(np.nanmax(raw.measured_w["wheel"]))
    # expected does not depend on what the log says of its power
    np.testing.assert_array_equal(raw.expected_w["wheel"], told.expected_w["wheel"])


def test_words_always_say_where_and_how(build):
    new = build.with_values({"target.power": 250e3, "target.basis": "flywheel"})
    found = compare_pull([run_of(30.0 * SPEEDS)], new, MILD, mapping())
    lines = dyno_lines(found, "wheel")
    assert lines[0] == "Measured: 180.0 kW wheel at 6000 rpm, as on the day, uncorrected"
    assert "kW wheel at 6000 rpm; measured is" in lines[1]
    assert lines[2].startswith("promised: 250.0 kW flywheel")
    assert lines[2].endswith("that is 212.5 kW wheel")
    for panel in dyno_series(found, "flywheel").panels:
        assert "lywheel power" in panel.title
    head = dyno_csv(found, "wheel").splitlines()[0]
    assert "measured wheel power, as on the day, uncorrected [kW]" in head
    measured = measured_power(found, "a.csv")
    assert (measured.basis, round(measured.value)) == ("wheel", 180000)
    assert len(standards_rows(found.standards)) == 8


def test_no_run_is_refused(build):
    with pytest.raises(InputError, match="one run at least"):
        compare_pull([], build, MILD, mapping())


def test_mappings_are_kept_by_their_headers(tmp_path):
    file = tmp_path / "a.csv"
    rows = "".join(f"{n},{n / 40},{n / 50}\n" for n in range(2000, 6001, 250))
    file.write_text("rpm,power,other\n" + rows)
    layout = open_layout(file)
    other = with_use(layout.mapping, use_for(layout, 2, "power"), "power")
    assert other.use("power").column == 2
    assert other.use("power").guessed == ("unit", "basis")
    texts = kept_with(kept_with((), layout.mapping), other)
    assert mappings_of(texts) == (other,)
    assert mapping_of(mapping_text(other)) == other
    assert mapping_of("{") is None
    assert mapping_of('{"headers": [], "uses": [], "standard": "no such"}') is None
    again = load_pull(file, remembered=mappings_of(texts))
    assert again.layout.remembered
    assert again.layout.mapping.use("power").column == 2


def test_the_average_lies_on_the_map_where_its_pressure_is_known(build):
    run = replace(run_of(30.0 * SPEEDS), manifold_pressure_pa=np.full(SPEEDS.size, 140e3))
    found = compare_pull([run, replace(run, number=2)], build, MILD, mapping())
    alone = measured_line(build, found.day, run)
    at = np.flatnonzero(np.isin(found.on_map.engine_speed_rpm, SPEEDS))
    inner = slice(2, -2)
    np.testing.assert_allclose(
        found.on_map.corrected_flow_kg_s[at][inner], alone.corrected_flow_kg_s[inner], rtol=2e-3
    )
    assert compare_pull([run_of(30.0 * SPEEDS)], build, MILD, mapping()).on_map is None
    unblown = build.with_values({"drive.kind": "none"})
    assert compare_pull([run], unblown, MILD, mapping()).on_map is None


def test_a_gauge_pressure_is_brought_to_absolute(build):
    gauge, absolute = (
        replace(
            run_of(30.0 * SPEEDS),
            manifold_pressure_pa=np.full(SPEEDS.size, pressure),
            manifold_basis=basis,
        )
        for pressure, basis in ((40e3, "gauge"), (40e3 + 101_325.0, "absolute"))
    )
    one, other = (compare_pull([run], build, MILD, mapping()).on_map for run in (gauge, absolute))
    np.testing.assert_allclose(one.pressure_ratio, other.pressure_ratio)


def test_a_throttle_lifted_at_the_top_does_not_lose_the_run(tmp_path):
    file = tmp_path / "lifted.csv"
    rising = [f"{n},{n / 40}" for n in range(2500, 6500, 100)]
    falling = [f"{n},-5" for n in range(6500, 2500, -100)]
    file.write_text("\n".join(["rpm,wheel power kW", *rising, *falling, *rising, ""]))
    runs = load_pull(file).runs
    assert [float(run.engine_speed_rpm[-1]) for run in runs] == [6400.0, 6400.0]
    assert all(run.size >= 38 for run in runs)
