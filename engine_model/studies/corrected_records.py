"""Records of a pull under the correction standards, beside the model at their reference air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.inputs import Day

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class CorrectedPull:
    """One pull under one standard.

    Parameters
    ----------
    standard : str
        Key of ``STANDARDS`` in :mod:`engine_model.dyno.correction`.
    factor : float
        Corrected over measured power, engine friction not set apart. [-]
    is_flagged : bool
        Whether the factor is outside 0.93-1.07.
    reference : Day
        The standard's own air.
    engine_speed_rpm : ndarray
        Engine speeds of the pull. [rpm]
    wheel_power_w, flywheel_power_w : ndarray
        Corrected power. [W]
    peak_wheel_power_w, peak_flywheel_power_w : float
        Their greatest. [W]
    model_factor : float
        Flywheel power of the model in the reference air over that on the day of the pull, at the
        speed of peak power; nan without a build. [-]
    model_wheel_power_w : float
        Peak wheel power measured times that factor. [W]
    model_boost_day_pa, model_boost_reference_pa : float
        Boost of the model at that speed on the day and in the reference air. [Pa gauge]
    """

    standard: str
    factor: float
    is_flagged: bool
    reference: Day
    engine_speed_rpm: Floats
    wheel_power_w: Floats
    flywheel_power_w: Floats
    peak_wheel_power_w: float
    peak_flywheel_power_w: float
    model_factor: float
    model_wheel_power_w: float
    model_boost_day_pa: float
    model_boost_reference_pa: float


@dataclass(frozen=True, slots=True, eq=False)
class PullStandards:
    """One pull under every standard, and why a factor and the model differ.

    Parameters
    ----------
    day : Day
        The day of the pull, station pressure in it.
    rows : tuple of CorrectedPull
        In the order of ``STANDARDS``, uncorrected first.
    peak_speed_rpm : float
        Engine speed of peak power. [rpm]
    reasons : tuple of str
        Codes of why a factor and the model differ for this build; words in the application.
    """

    day: Day
    rows: tuple[CorrectedPull, ...]
    peak_speed_rpm: float
    reasons: tuple[str, ...]
