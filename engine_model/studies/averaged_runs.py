"""Runs of a pull averaged over engine speed, with how far they are apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.errors import InputError
from engine_model.files.pull_log import smoothed_run
from engine_model.files.pull_record import PullRun

Floats = NDArray[np.float64]

STEP: Final = 50.0
"""Step of engine speed [rpm]; chosen here."""


@dataclass(frozen=True, slots=True, eq=False)
class AveragedRuns:
    """Runs averaged; nan where no run reaches.

    Parameters
    ----------
    engine_speed_rpm : ndarray
        Common engine speeds. [rpm]
    mean, spread : dict of str to ndarray
        Mean over the runs and their standard deviation, by channel; the spread is nan where
        fewer than two runs reach. [SI]
    runs : ndarray
        Runs that reach each engine speed. [-]
    width_rpm : float
        Full width of the mean of readings that each run was taken with. [rpm]
    """

    engine_speed_rpm: Floats
    mean: dict[str, Floats]
    spread: dict[str, Floats]
    runs: Floats
    width_rpm: float


def averaged_runs(runs: Sequence[PullRun], width: float = 2.0 * STEP) -> AveragedRuns:
    """Runs averaged at common engine speeds.

    Parameters
    ----------
    runs : sequence of PullRun
        Runs of one power basis and one pressure basis.
    width : float
        Full width of the mean of readings. [rpm]

    Returns
    -------
    AveragedRuns
        With the spread between runs.

    Raises
    ------
    InputError
        Without a run, or with runs of different bases.

    References
    ----------
    None: mean and sample standard deviation.
    """
    if not runs:
        raise InputError("runs", 0, "one run or more")
    if len({(run.power_basis, run.manifold_basis) for run in runs}) > 1:
        raise InputError("runs", "runs of different bases", "runs of one basis")
    low = min(float(run.engine_speed_rpm.min()) for run in runs)
    high = max(float(run.engine_speed_rpm.max()) for run in runs)
    speed = np.arange(np.ceil(low / STEP), np.floor(high / STEP) + 1.0) * STEP
    names = dict.fromkeys(n for run in runs for n in run.channels if n != "time_s")
    stacks: dict[str, list[Floats]] = {name: [] for name in names}
    for run in runs:
        shown = smoothed_run(run, width).shown
        order = np.argsort(shown.engine_speed_rpm, kind="stable")
        for name, stack in stacks.items():
            values = getattr(shown, name)
            if values is None:
                stack.append(np.full(speed.size, np.nan))
                continue
            there = order[np.isfinite(values[order])]
            stack.append(
                np.interp(
                    speed, shown.engine_speed_rpm[there], values[there], left=np.nan, right=np.nan
                )
            )
    mean, spread = {}, {}
    for name, stack in stacks.items():
        rows = np.array(stack)
        count = np.sum(np.isfinite(rows), axis=0)
        total = np.nansum(rows, axis=0)
        middle = np.where(count > 0, total / np.maximum(count, 1), np.nan)
        square = np.nansum((rows - middle) ** 2, axis=0)
        mean[name] = middle
        spread[name] = np.where(count > 1, np.sqrt(square / np.maximum(count - 1, 1)), np.nan)
    reach = np.sum(np.isfinite(np.array(stacks["power_w"])), axis=0).astype(float)
    return AveragedRuns(speed, mean, spread, reach, width)
