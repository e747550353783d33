"""A scene of surge as text of at most 100 columns, and as numbers for machines."""

from __future__ import annotations

import textwrap
from dataclasses import asdict
from typing import Any

import numpy as np

from app.fields import Units, show
from app.present.cautions import CAUTIONS
from app.present.surge_words import (
    ESTIMATE,
    answer_words,
    assumed_words,
    band_words,
    setup_words,
    sizes_words,
    small_words,
)
from app.present.tables import plain
from engine_model.compressor.surge_limits import Limit
from engine_model.inputs import Build, Day, Scene
from engine_model.results import REGION_NAMES
from engine_model.studies.bypass_sizing import ValveCurve
from engine_model.studies.choke_page import ChokeScene, boost_for_flow
from engine_model.studies.surge_run import SceneRun

WIDTH = 100
"""Columns of the text."""

EVERY = 5
"""Rows of the choke scene's speeds that are left out but one."""


def _title(build: Build, day: Day, scene: Scene) -> list[str]:
    invented = " (invented)" if build.invented else ""
    rows = [f"{build.title}{invented}: {scene.name}, {day.name} day"]
    if scene.question:
        rows += textwrap.wrap(scene.question, WIDTH)
    return rows


def scene_text(
    found: SceneRun,
    band: tuple[SceneRun, ...] = (),
    curve: ValveCurve | None = None,
    units: Units = "si",
) -> list[str]:
    """Rows that ``surge`` prints of a scene in time."""
    rows = [*_title(found.setup.build, found.setup.day, found.scene), ""]
    rows += [*textwrap.wrap(answer_words(found, units), WIDTH), ""]
    lines = [*setup_words(found, units), *small_words(found)]
    if band:
        lines.append(band_words(band))
    lines.append(assumed_words(found))
    for line in lines:
        rows += textwrap.wrap(line, WIDTH)
    if curve is not None:
        rows += ["", *sizes_words(curve, units)]
    return [*rows, "", *textwrap.wrap(f"{ESTIMATE} {CAUTIONS['general']}", WIDTH)]


def _limit(limit: Limit) -> dict[str, float | None]:
    return {
        "corrected_speed_rpm": plain(limit.corrected_speed),
        "flow_kg_s": plain(limit.flow),
        "pressure_ratio": plain(limit.pressure_ratio),
        "traced_flow_kg_s": plain(limit.traced_flow),
        "gap": plain(limit.gap),
    }


def _cycles(found: SceneRun) -> dict[str, Any]:
    c = found.cycles
    return {
        "reverses": c.reverses,
        "reversals": c.reversals,
        "lasts": c.lasts,
        "cycles_per_second_hz": plain(c.cycles_per_second),
        "flow_swing_kg_s": plain(c.flow_swing),
        "pressure_swing_pa": plain(c.pressure_swing),
        "least_flow_kg_s": plain(c.least_flow),
        "peak_pressure_pa": plain(c.peak_pressure),
        "first_reversal_s": plain(c.first_reversal),
    }


def _scene(build: Build, day: Day, scene: Scene) -> dict[str, Any]:
    return {
        "build": {"name": build.title, "invented": build.invented},
        "day": {"name": day.name},
        "scene": {"name": scene.name, "kind": scene.kind, "question": scene.question},
    }


def scene_document(
    found: SceneRun, band: tuple[SceneRun, ...] = (), curve: ValveCurve | None = None
) -> dict[str, Any]:
    """Scene in time for ``--json``; SI, nan is null."""
    setup, onset = found.setup, found.onset
    small = found.beginning
    document = _scene(setup.build, setup.day, found.scene)
    document |= {
        **_cycles(found),
        "engine_speed_rpm": setup.engine_speed,
        "valve_diameter_m": setup.build.surge.valve_diameter,
        "b_on_half_rho_u2": plain(found.greitzer_b),
        "helmholtz_frequency_hz": plain(found.helmholtz_frequency),
        "growth_rate_1_s": plain(small.growth_rate),
        "small_motion_limit": _limit(found.limit),
        "zero_flow_pressure_ratio": plain(setup.zero_flow_ratio),
        "mass_imbalance": plain(found.run.imbalance),
        "assumed": list(setup.assumed),
        "onset": None
        if onset is None
        else {
            **{key: plain(value) for key, value in asdict(onset).items()},
            "gap": plain(onset.gap),
        },
        "zero_flow_band": [
            {"zero_flow_pressure_ratio": one.setup.zero_flow_ratio, **_cycles(one)} for one in band
        ],
        "smallest_valves": None
        if curve is None
        else [
            {
                "engine_speed_rpm": one.engine_speed,
                "diameter_m": plain(one.diameter),
                "reverses_without": one.reverses_without,
                "plain": one.plain,
                "solved": one.solved,
                "weak": one.weak,
            }
            for one in curve.sizes
        ],
        "estimate": True,
    }
    return document


def choke_answer(found: ChokeScene, units: Units = "si") -> str:
    """Answer of a choke scene, from its numbers."""
    line, last = found.line, int(np.flatnonzero(np.isfinite(found.line.air_flow_kg_s))[-1])
    at = last if found.wall is None else found.wall
    faster = f"{100.0 * (found.factor[at] - 1.0):+.0f} % of impeller speed"
    reached = f"flow is at {100.0 * found.choke_share[at]:.0f} % of choke"
    head = f"No wall up to {faster}" if found.wall is None else f"The wall stands at {faster}"
    return (
        f"{head}: {reached}, efficiency {show(float(line.efficiency[at]), 'share', units)}, charge "
        f"{show(float(line.manifold_temperature_k[at]), 'temperature', units)}."
    )


def choke_text(found: ChokeScene, units: Units = "si") -> list[str]:
    """Rows that ``surge`` prints of a choke scene."""
    rows = [*_title(found.build, found.day, found.scene), ""]
    rows += [*textwrap.wrap(choke_answer(found, units), WIDTH), ""]
    rows.append(f"At {found.engine_speed:.0f} rpm, throttle open, without belt slip:")
    rows.append("  speed      air      boost    of choke  efficiency  charge    region")
    line = found.line
    for k in range(0, found.factor.size, EVERY):
        cells = (
            f"{100.0 * found.factor[k]:.0f} %",
            show(float(line.air_flow_kg_s[k]), "mass_flow", units),
            show(float(line.boost_gauge_pa[k]), "boost", units),
            show(float(found.choke_share[k]), "share", units),
            show(float(line.efficiency[k]), "share", units),
            show(float(line.manifold_temperature_k[k]), "temperature", units),
            REGION_NAMES[int(line.region_index[k])],
        )
        widths = (7, 13, 9, 9, 9, 9, 0)
        rows.append("  " + " ".join(c.ljust(w) for c, w in zip(cells, widths, strict=True)))
    losses = found.losses
    surge, choke = 0, int(np.argmin(np.abs(losses.place - 1.0)))
    rows.append("")
    words = [
        "Along its speed line, from surge to choke: pressure ratio "
        f"{losses.pressure_ratio[surge]:.2f} to {losses.pressure_ratio[choke]:.2f}, of each "
        f"kJ put in {losses.lost[surge] / losses.work[surge]:.2f} to "
        f"{losses.lost[choke] / losses.work[choke]:.2f} become heat. The last tenth of its flow "
        f"costs {boost_for_flow(losses):.2f} of pressure ratio: boost cannot be bought with flow.",
    ]
    if found.mach is not None:
        words.append(
            f"Estimate at the inducer, no swirl, no blade thickness: Mach {found.mach.axial:.2f} "
            f"in, {found.mach.relative:.2f} against the blade's tip; "
            f"{100.0 * found.mach.area_used:.0f} % of what its area can pass."
        )
    for one in words:
        rows += textwrap.wrap(one, WIDTH)
    cautions = f"{CAUTIONS['impeller_speed']} {CAUTIONS['general']}"
    return [*rows, "", *textwrap.wrap(cautions, WIDTH)]


def choke_document(found: ChokeScene) -> dict[str, Any]:
    """Choke scene for ``--json``; SI, nan is null."""
    line, losses = found.line, found.losses
    arrays = {
        "speed_factor": found.factor,
        "air_flow_kg_s": line.air_flow_kg_s,
        "boost_gauge_pa": line.boost_gauge_pa,
        "choke_share": found.choke_share,
        "flow_per_speed": found.flow_per_speed,
        "efficiency": line.efficiency,
        "manifold_temperature_k": line.manifold_temperature_k,
    }
    along = {
        "place": losses.place,
        "corrected_flow_kg_s": losses.corrected_flow,
        "pressure_ratio": losses.pressure_ratio,
        "efficiency": losses.efficiency,
        "work_j_kg": losses.work,
        "lost_j_kg": losses.lost,
        "discharge_temperature_k": losses.discharge_temperature,
        "lost_power_w": losses.lost_power,
    }

    def listed(columns: dict[str, Any]) -> dict[str, list[float | None]]:
        return {key: [plain(float(v)) for v in values] for key, values in columns.items()}

    mach = found.mach
    return _scene(found.build, found.day, found.scene) | {
        "engine_speed_rpm": found.engine_speed,
        "wall": found.wall,
        "speed_added": listed(arrays),
        "speed_line": listed(along),
        "inducer_mach": None
        if mach is None
        else {key: plain(value) for key, value in asdict(mach).items()},
        "estimate": True,
    }
