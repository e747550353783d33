"""The compressor study against single matches of every size of its lattice."""

from __future__ import annotations

import numpy as np
import pytest
from compressor_cases import (
    CLOSER,
    MORE,
    best_of,
    sample_build,
    sweep,
    told,
    trims,
    with_map,
    with_pulley,
)

from engine_model.studies import compressor_numbers
from engine_model.studies.compressor_records import ACCEPTED, AIMS, CompressorAim
from engine_model.studies.compressor_study import compressor_study


def compare(build, maps, days, sweeps, **question):
    """The study's winner, and of every candidate the size, its numbers and the room left."""
    for aim in AIMS:
        ranking = compressor_study(build, maps, days, CompressorAim(aim, **question))
        best = [best_of(allowed, aim) for allowed in sweeps]
        for row in ranking.rows:
            mine = best[row.place]
            assert (row.standing == ACCEPTED) == (mine is not None), (aim, row.title)
            if mine is None:
                continue
            pulley, boost = row.setting.blower_pulley, row.setting.boost
            size = boost if np.isnan(pulley) else pulley
            assert size == pytest.approx(mine.size, abs=1e-9), (aim, row.title)
            assert told(row)[:2] == mine.tightest[:2], (aim, row.title)
            assert told(row)[2:] == pytest.approx(mine.tightest[2:], rel=1e-12, nan_ok=True)
            assert row.wheel_power_peak_w == pytest.approx(mine.power, rel=1e-12)
            assert row.weighted_efficiency == pytest.approx(mine.efficiency, rel=1e-12)
            last = sweeps[row.place][-1]
            room = row.room.setting
            assert last.size in (pytest.approx(room.blower_pulley), pytest.approx(room.boost))
            assert row.room.wheel_power_peak_w == pytest.approx(last.power, rel=1e-12)
        numbers = {
            "target_headroom": lambda one: one.shares,
            "power": lambda one: -one.power,
            "efficiency": lambda one: -one.efficiency,
        }[aim]
        order = sorted(
            (k for k, one in enumerate(best) if one), key=lambda k: (numbers(best[k]), k)
        )
        assert [row.place for row in ranking.rows if row.standing == ACCEPTED] == order


def test_small_lattice_against_single_matches(monkeypatch):
    # few coarse sizes, so that nearly all is found by looking again
    monkeypatch.setattr(compressor_numbers, "COARSE", 7)
    build = sample_build("road-six", CLOSER)
    days = [build.known_days()[name] for name in ("freezing", "mild")]
    maps = trims()[:2]
    low, high, step = 0.0600, 0.0690, 3e-4
    sizes = [round(k * step, 9) for k in range(230, 199, -1)]
    sweeps = [sweep(with_map(build, one), days, sizes, with_pulley) for one in maps]
    assert all(3 < len(allowed) < 31 for allowed in sweeps)
    compare(build, maps, days, sweeps, blower_pulleys=(low, high), pulley_step=step)


@pytest.mark.long
@pytest.mark.parametrize(
    ("name", "changes", "days"),
    [("road-six", MORE, None), ("tow-eight", CLOSER, ("hot", "freezing"))],
    ids=["road-six", "tow-eight"],
)
def test_whole_lattice_against_single_matches(name, changes, days):
    build = sample_build(name, changes)
    known = build.known_days()
    chosen = [known[one] for one in (days or known)]
    sizes = [round(k * 1e-4, 9) for k in range(1000, 499, -1)]
    maps = trims()
    sweeps = [sweep(with_map(build, one), chosen, sizes, with_pulley) for one in maps]
    assert sum(map(len, sweeps)) > 0
    compare(build, maps, chosen, sweeps, blower_pulleys=(0.050, 0.100))


def test_pulleys_are_typed_numbers():
    sizes = CompressorAim().sizes(free_shaft=False)
    assert sizes.size == 851
    assert set(sizes) == {float(f"0.{k:04d}") for k in range(450, 1301)}
    assert np.all(np.diff(sizes) > 0.0)
