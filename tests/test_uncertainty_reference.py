"""Error bars against plain sampling of the match: 100 000 samples of an independent generator."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import numpy as np
import pytest

from engine_model.inputs import NAMED_DAYS, Variation
from engine_model.matching import match_many
from engine_model.studies import uncertainty
from engine_model.studies.uncertain_inputs import KEYS, spread_table
from engine_model.studies.uncertainty import error_bars

RPM = np.array([3000.0, 5000.0, 6100.0, 6500.0, 6800.0])
MILD = NAMED_DAYS["mild"]
PLAIN, BATCH = 100_000, 10_000


def plain_samples(build, surface):
    """Peak wheel power, boost share, surge margin and charge temperature, written out."""
    sizes = {one.key: one.size for one in spread_table(build, [MILD])[0]}
    random = np.random.default_rng(77)
    found = []
    for _ in range(PLAIN // BATCH):

        def draw(key):
            return sizes[key] * random.normal(size=(BATCH, 1, 1))

        drive, cooler = build.drive, build.cooler
        effectiveness = cooler.effectiveness + draw("cooler_effectiveness")
        varied = Variation(
            volumetric_efficiency_factor=1.0 + draw("volumetric_efficiency"),
            compressor_efficiency_shift=draw("map_efficiency"),
            compressor_flow_factor=1.0 + draw("map_flow"),
            surge_flow_shift=10.0 * draw("surge_flow"),
            blower_pulley_diameter=drive.blower_pulley_diameter + draw("blower_pulley"),
            crank_pulley_diameter=drive.crank_pulley_diameter + draw("crank_pulley"),
            cooler_effectiveness=np.minimum(effectiveness, 0.95),
            cooler_pressure_loss=np.maximum(cooler.pressure_loss + draw("cooler_pressure_loss"), 0),
            friction_factor=1.0 + draw("friction") / build.engine.friction_scale,
            driveline_loss=build.driveline.loss + draw("driveline_loss"),
            day_temperature_shift=draw("day_temperature"),
            day_pressure_shift=draw("day_pressure"),
            day_humidity_shift=draw("day_humidity"),
        )
        line = match_many(build, [MILD], RPM, varied, surface=surface)
        judged = line.pressure_ratio > build.bounds.surge_judged_above
        margin = np.where(judged, line.surge_margin, np.inf)
        found.append(
            (
                np.nanmax(line.wheel_power_w, axis=-1)[:, 0],
                np.nanmax(line.boost_gauge_pa, axis=-1)[:, 0],
                np.nanmin(margin, axis=-1)[:, 0],
                np.nanmax(line.manifold_temperature_k, axis=-1)[:, 0],
            )
        )
    return [np.concatenate(parts) for parts in zip(*found, strict=True)]


@pytest.mark.long
def test_chances_against_plain_sampling(sample_build, sample_surface):
    surface = sample_surface("frame-95-middle")
    build = sample_build("frame-95-middle", drive__blower_pulley_diameter=0.07)
    middle = match_many(build, [MILD], RPM, surface=surface)
    build = build.with_values(
        {
            "target.power": float(np.max(middle.wheel_power_w) * 1.02),
            "bounds.boost": float(np.max(middle.boost_gauge_pa) * 1.05),
            "bounds.charge_temperature": float(np.max(middle.manifold_temperature_k) + 2.0),
            "bounds.surge_margin": float(np.min(middle.surge_margin) - 0.01),
            "bounds.surge_judged_above": 1.0,
        }
    )
    power, boost, margin, charge = plain_samples(build, surface)
    bounds = build.bounds
    reference = {
        "target_power": np.mean(power < build.target.power),
        "boost": np.mean(boost > bounds.boost),
        "charge_temperature": np.mean(charge > bounds.charge_temperature),
        "surge_margin": np.mean(margin < bounds.surge_margin),
    }
    bars = error_bars(build, [MILD], RPM, samples=4096, surface=surface)
    chances = {one.code: one.over for one in bars.chances}
    for code, expected in reference.items():
        assert 0.02 < expected < 0.98, code
        # three standard errors of both, as if the samples were independent
        off = 3.0 * np.sqrt(expected * (1.0 - expected) * (1.0 / 4096 + 1.0 / PLAIN))
        assert chances[code] == pytest.approx(expected, abs=off), code
    edges = np.quantile(power, [0.05, 0.5, 0.95])
    found = bars.peak_wheel_power
    np.testing.assert_allclose([found.low, found.middle, found.high], edges, rtol=3e-3)
    assert found.deviation == pytest.approx(np.std(power), rel=0.02)


@pytest.mark.long
def test_worker_processes_give_the_same_bytes(sample_build, sample_surface, monkeypatch):
    monkeypatch.setattr(uncertainty, "CHUNK_POINTS", 500)
    surface = sample_surface("frame-95-small")
    build = sample_build("frame-95-small", drive__ribs=4)
    alone = error_bars(build, [MILD], RPM, samples=256, surface=surface)
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        spread = error_bars(build, [MILD], RPM, samples=256, surface=surface, executor=pool)
    for one, other in zip(alone.bands, spread.bands, strict=True):
        for part in ("low", "middle", "high"):
            assert getattr(one, part).tobytes() == getattr(other, part).tobytes()
    assert repr(alone.chances) == repr(spread.chances)
    assert repr(alone.measure_first) == repr(spread.measure_first)
    assert alone.peak_samples.tobytes() == spread.peak_samples.tobytes()
    assert len(alone.measure_first) == len(KEYS) - 1
