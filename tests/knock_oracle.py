"""The knock estimate written again, plainly: fine crank steps and scipy, for single points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

DURATION, CLOSING, EXPONENT = 50.0, 50.0, 1.32
HALF = DURATION * (np.log(2.0) / 5.0) ** (1.0 / 3.0)


@dataclass(frozen=True)
class Point:
    speed: float
    p3: float
    t3: float
    mixture: float
    residual: float
    ratio: float
    air_fuel: float
    heating_value: float
    vaporisation: float
    octane: float

    def closing_temperature(self):
        fresh = self.t3 - self.vaporisation / (self.air_fuel * self.mixture * 1005.0)
        return (1.0 - self.residual) * fresh + self.residual * 1200.0

    def heat_per_closing_energy(self):
        rich = self.mixture * (1.0 + 0.03 * (1.0 - ((self.mixture - 0.9) / 0.1) ** 2))
        fuel_share = (1.0 - self.residual) / (1.0 + self.air_fuel * self.mixture)
        heat = 0.80 * fuel_share * self.heating_value * rich
        return heat / (287.053 * self.closing_temperature())


def volume(degrees, ratio):
    """Slider-crank from first principles, piston pin height; rod 3.5 cranks."""
    angle = np.radians(degrees)
    height = np.cos(angle) + np.sqrt(3.5**2 - np.sin(angle) ** 2)
    return 1.0 + (ratio - 1.0) * (4.5 - height) / 2.0


def burning(degrees, start):
    y = (degrees - start) / DURATION
    return np.where((y > 0.0) & (y < 1.0), 15.0 * y**2 * np.exp(-5.0 * y**3) / DURATION, 0.0)


def pressure_course(point, half_burnt):
    """Angles [deg] and pressure over closing pressure, by an ODE of the first law."""
    start, q = half_burnt - HALF, point.heat_per_closing_energy()
    v0 = volume(180.0 - CLOSING, point.ratio)

    def slope(angle, p):
        v = volume(angle, point.ratio) / v0
        step = 1e-4
        dv = (volume(angle + step, point.ratio) - volume(angle - step, point.ratio)) / v0
        dv /= 2.0 * step
        heat = (EXPONENT - 1.0) / v * q * burning(angle, start)
        return -EXPONENT * p / v * dv + heat

    angles = np.arange(CLOSING - 180.0, start + DURATION, 0.02)
    angles = np.append(angles, start + DURATION)
    # the burn starts and ends between steps: integrate in pieces
    before = angles[angles <= start]
    first = solve_ivp(
        slope, (angles[0], start), [1.0], t_eval=before, rtol=1e-9, atol=1e-9, method="DOP853"
    )
    at_start = (v0 / volume(start, point.ratio)) ** EXPONENT
    after = angles[angles > start]
    second = solve_ivp(
        slope, (start, after[-1]), [at_start], t_eval=after, rtol=1e-9, atol=1e-9, method="DOP853"
    )
    return angles, np.concatenate((first.y[0], second.y[0]))


def integral(point, half_burnt):
    """Livengood-Wu integral with steps of 0.02 deg."""
    angles, p = pressure_course(point, half_burnt)
    t = point.closing_temperature() * p ** ((EXPONENT - 1.0) / EXPONENT)
    atmospheres = p * point.p3 / 101325.0
    tau = 17.68e-3 * (point.octane / 100.0) ** 3.402 * atmospheres**-1.7 * np.exp(3800.0 / t)
    return np.trapezoid(1.0 / tau, angles / (6.0 * point.speed))


def retard(point, target, first):
    if integral(point, first) <= target:
        return 0.0
    return brentq(lambda a: integral(point, a) - target, first, 45.0, xtol=1e-4) - first


def cycle_efficiency(ratio, half_burnt):
    """Sum of constant-volume cycles over the burn, by quadrature."""
    start = half_burnt - HALF
    return quad(
        lambda a: burning(a, start) * (1.0 - (volume(a, ratio) / ratio) ** 0.3),
        start,
        start + DURATION,
        epsabs=1e-10,
    )[0]
