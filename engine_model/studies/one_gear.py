"""One gear of a car on lines of power over engine speed: the force at the wheels, elementwise."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.studies.coasting import Resistance

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Gear:
    """One gear of a car, on lines of power over engine speed.

    Parameters
    ----------
    per_speed : float
        Engine speed over road speed. [rpm s/m]
    mass : float
        Mass of the car. [kg]
    factor : float
        Equivalent mass over mass. [-]
    grip : float
        Largest force between tyres and road. [N]
    launch_speed, shift_speed : float
        Engine speed held while the clutch slips, and of the shift. [rpm]
    engine_speed : ndarray, shape (k,)
        Rising. [rpm]
    wheel_power : ndarray, shape (n, k)
        Power at the wheels. [W]
    slope : ndarray, shape (n, k - 1)
        Its slope between engine speeds. [W/rpm]
    road : Resistance
        Rolling resistance and drag.
    """

    per_speed: float
    mass: float
    factor: float
    grip: float
    launch_speed: float
    shift_speed: float
    engine_speed: Floats
    wheel_power: Floats
    slope: Floats
    road: Resistance

    def only(self, index: NDArray[np.intp]) -> Gear:
        """The same gear on some of the lines."""
        return replace(
            self,
            wheel_power=self.wheel_power[index],
            slope=self.slope[index],
            road=self.road.only(index),
        )

    @property
    def coupled(self) -> float:
        """Road speed from which the clutch does not slip [m/s]."""
        return self.launch_speed / self.per_speed

    @property
    def top(self) -> float:
        """Road speed of the shift [m/s]."""
        return self.shift_speed / self.per_speed

    def engine_at(self, speed: Floats) -> Floats:
        """Engine speed at a road speed [rpm]."""
        return np.asarray(np.maximum(self.per_speed * speed, self.launch_speed))

    def places(self, speed: Floats) -> NDArray[np.intp]:
        """Place of the piece of the line of power at a road speed."""
        found = np.searchsorted(self.engine_speed, self.engine_at(speed), "right") - 1
        return np.asarray(np.clip(found, 0, self.engine_speed.size - 2))

    def force(self, speed: Floats, places: NDArray[np.intp]) -> Floats:
        """Force of the engine at the wheels, as far as the tyres take it [N].

        Shapes (..., n, e) of speed and (n, e) of places. Between tyres and road acts what is
        left after the rotating parts: at most the grip.
        """
        power = np.take_along_axis(self.wheel_power, places, 1)
        slope = np.take_along_axis(self.slope, places, 1)
        power = power + (self.engine_at(speed) - self.engine_speed[places]) * slope
        resisting = self.road.force(speed)
        taken = self.factor * self.grip - (self.factor - 1.0) * resisting
        return np.asarray(np.minimum(power / np.maximum(speed, self.coupled), taken))

    def net(self, speed: Floats) -> Floats:
        """Force that accelerates, shape (n, e) [N]."""
        return self.force(speed, self.places(speed)) - self.road.force(speed)

    def surplus(self, speed: Floats, places: NDArray[np.intp]) -> Floats:
        """Power of the engine over what the tyres take, shape (n, e) [W]."""
        power = np.take_along_axis(self.wheel_power, places, 1)
        slope = np.take_along_axis(self.slope, places, 1)
        power = power + (self.engine_at(speed) - self.engine_speed[places]) * slope
        taken = self.factor * self.grip - (self.factor - 1.0) * self.road.force(speed)
        return np.asarray(power - taken * np.maximum(speed, self.coupled))
