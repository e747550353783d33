"""Sums and history of a full-throttle run as it goes through the gears; many lines at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engine_model.constants import QUARTER_MILE
from engine_model.studies.coasting import Coasted, Resistance
from engine_model.studies.gear_run import GearRun
from engine_model.studies.one_gear import Gear

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


class RunLog:
    """Sums and history of a run as it goes; n lines."""

    def __init__(self, lines: int, speeds: Floats) -> None:
        self.speeds = speeds
        self.seconds = np.zeros((lines, speeds.size))
        self.time, self.distance, self.speed = (np.zeros(lines) for _ in range(3))
        self.wheel_work, self.drag_work = np.zeros(lines), np.zeros(lines)
        self.gear = np.ones(lines, dtype=np.intp)
        self.history = [tuple(np.zeros((lines, 1)) for _ in range(3))]

    def weigh(self, some: Indices, place: Indices, time: Floats, share: Floats) -> None:
        """Give times of shape (n, e) to the engine speeds on both sides of their pieces."""
        size = self.speeds.size
        at = (place + size * np.arange(some.size)[:, None]).ravel()
        seconds = np.bincount(at, (time - share).ravel(), some.size * size)
        seconds += np.bincount(at + 1, share.ravel(), some.size * size)
        self.seconds[some] += seconds.reshape(some.size, size)

    def drive(self, some: Indices, found: GearRun) -> None:
        """Take what some lines drove in a gear."""
        self.weigh(some, found.place, found.piece_time, found.piece_share)
        self.wheel_work[some] += found.wheel_work
        self.drag_work[some] += found.drag_work
        began = self.time[some, None], self.distance[some, None]
        self.keep(some, began[0] + found.time, began[1] + found.distance, found.speed)

    def hold(self, some: Indices, gear: Gear) -> None:
        """Let some lines go on at their road speed to the end of the distance."""
        speed = self.speed[some, None]
        rest = QUARTER_MILE - self.distance[some]
        time = rest / np.where(speed > 0.0, speed, np.nan)[:, 0]
        place = gear.places(speed)
        base = gear.engine_speed
        share = (gear.engine_at(speed) - base[place]) / (base[place + 1] - base[place])
        self.weigh(some, place, time[:, None], share * time[:, None])
        self.wheel_work[some] += gear.road.force(speed)[:, 0] * rest
        self.drag_work[some] += gear.road.drag_force(speed)[:, 0] * rest
        self.keep(some, (self.time[some] + time)[:, None], np.full_like(speed, QUARTER_MILE), speed)

    def coast(self, some: Indices, rolled: Coasted, road: Resistance, mass: float) -> None:
        """Take how some lines coasted."""
        lost = 0.5 * mass * (self.speed[some] ** 2 - rolled.speed**2)
        self.drag_work[some] += lost - road.rolling * rolled.distance
        time, distance = self.time[some] + rolled.time, self.distance[some] + rolled.distance
        self.keep(some, time[:, None], distance[:, None], rolled.speed[:, None])

    def keep(self, some: Indices, time: Floats, distance: Floats, speed: Floats) -> None:
        """Keep places of the history; lines that are not among them stay."""
        whole = []
        for one, now in ((self.time, time), (self.distance, distance), (self.speed, speed)):
            kept = np.repeat(one[:, None], now.shape[1], axis=1)
            kept[some] = now
            one[some] = now[:, -1]
            whole.append(kept)
        self.history.append(tuple(whole))
