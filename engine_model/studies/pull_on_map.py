"""The measured line on the compressor map: flow from power and mixture, ratio from pressure."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.engine.power import (
    RICHEST,
    friction_pressure,
    mixture_factor,
    power_of_pressure,
)
from engine_model.inputs import Build
from engine_model.results import REGION_NAMES, OperatingLine
from engine_model.studies.reconcile_model import OUTPUT, QUANTITIES
from engine_model.studies.reconcile_records import INTERVAL, Noise

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredOnMap:
    """A pull on the compressor map.

    Parameters
    ----------
    line : OperatingLine
        The expected line with flow and pressure ratio as measured; nan where neither is known.
    flow_error : float
        Half width of the 95 % interval of the flow, share of it. [-]
    ratio_error : float
        Half width of the 95 % interval of the pressure ratio. [-]
    mixture_told : bool
        Whether the log tells the mixture; else the build's is taken.
    """

    line: OperatingLine
    flow_error: float
    ratio_error: float
    mixture_told: bool


def pull_on_map(
    build: Build,
    expected: OperatingLine,
    flywheel_power: Floats,
    manifold_pressure: Floats,
    mixture: Floats,
    noise: Noise | None = None,
) -> MeasuredOnMap | None:
    """Measured line on the compressor map.

    Flow follows indicated power: what the flywheel gave, friction and the blower's drive, over
    what the model makes of a kilogram of air at that mixture. Losses between compressor and
    manifold rise with the square of flow.

    Parameters
    ----------
    build : Build
        The build.
    expected : OperatingLine
        Its match in the air of the pull, one-dimensional.
    flywheel_power : ndarray
        Measured, at the same engine speeds, as on the day. [W]
    manifold_pressure : ndarray
        Measured, absolute; nan where not known. [Pa]
    mixture : ndarray
        Measured, lambda; where nan the build's is taken. [-]
    noise : Noise, optional
        How far readings may be trusted.

    Returns
    -------
    MeasuredOnMap or None
        None without a compressor or without a manifold pressure.

    References
    ----------
    None: the model's own power balance turned round; what goes with pumping is held as expected.
    """
    if build.drive.kind == "none" or not np.any(np.isfinite(manifold_pressure)):
        return None
    asked = Noise() if noise is None else noise
    engine = build.engine
    speed = expected.engine_speed_rpm
    friction = engine.friction_scale * power_of_pressure(
        friction_pressure(speed), engine.displacement, speed
    )
    drive = expected.drive_power_w if build.drive.kind == "belt" else np.zeros(speed.size)
    told = np.isfinite(mixture) & (mixture >= RICHEST)
    here = np.where(told, mixture, engine.mixture)
    per_air = (mixture_factor(here) / here) / (mixture_factor(engine.mixture) / engine.mixture)
    indicated = expected.flywheel_power_w + friction + drive
    share = (flywheel_power + friction) / (indicated * per_air - drive)
    loss = expected.discharge_pressure_pa - expected.manifold_pressure_pa
    inlet = expected.discharge_pressure_pa / expected.pressure_ratio
    ratio = (manifold_pressure + loss * share**2) / inlet
    there = np.isfinite(share) & np.isfinite(ratio)
    flow = np.where(there, expected.corrected_flow_kg_s * share, np.nan)
    line = replace(
        expected,
        corrected_flow_kg_s=flow,
        pressure_ratio=np.where(there, ratio, np.nan),
        region_index=np.full(speed.size, REGION_NAMES.index("on the map")),
        belt_slip=np.full(speed.size, np.nan),
    )
    belief = next(row.spread for row in QUANTITIES if row.code == OUTPUT)
    return MeasuredOnMap(
        line,
        INTERVAL * float(np.hypot(asked.power, belief)),
        INTERVAL * asked.pressure / float(np.nanmedian(inlet)),
        bool(np.any(told)),
    )
