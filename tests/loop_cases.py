"""Invented pulls and loops of the heat tests."""

from __future__ import annotations

import numpy as np

from engine_model.cooling.liquid_loop import WATER_HEAT, LiquidLoop
from engine_model.cooling.loop_intervals import means, surroundings

AMBIENT = 303.15
PUMP = 700.0


def loop(litres=10.0, **more):
    """A loop with an aluminium core of 2 kg; the rest of its water is the reservoir."""
    known = {
        "charge_conductance": 500.0,
        "charge_rated_flow": 0.30,
        "front_conductance": 600.0,
        "front_rated_flow": 1.0,
        "reservoir_heat": litres * 1e-3 * WATER_HEAT,
        "core_heat": 2.0 * 900.0,
    }
    return LiquidLoop(**(known | more))


def pull(seconds=8.0, step=0.1, humidity=0.008, bay=330.0, front=0.8, pump=PUMP):
    """One full-throttle pull; its boost rises with engine speed."""
    time = np.linspace(0.0, seconds, round(seconds / step) + 1)
    share = time / seconds
    return surroundings(
        np.diff(time),
        means(0.10 + 0.25 * share),
        means(330.0 + 45.0 * share),
        means(120e3 + 60e3 * share),
        humidity,
        front,
        AMBIENT,
        bay,
        pump,
    )


def pause(seconds=120.0, step=2.0, bay=345.0, front=0.3, flow=0.02, pump=PUMP):
    count = round(seconds / step)
    return surroundings(np.full(count, step), flow, 310.0, 100e3, 0.008, front, AMBIENT, bay, pump)


def steady(seconds, step, flow=0.3, inlet=390.0, pump=PUMP, humidity=0.0, pressure=180e3, **more):
    count = round(seconds / step)
    known = {"front_air_flow": 0.8, "ambient": AMBIENT, "bay_temperature": AMBIENT}
    rest = known | more
    return surroundings(
        np.full(count, step),
        flow,
        inlet,
        pressure,
        humidity,
        rest["front_air_flow"],
        rest["ambient"],
        rest["bay_temperature"],
        pump,
    )
