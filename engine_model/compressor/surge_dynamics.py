"""Surge in time: the model of two states with throttle, manifold, engine and bypass valve.

The air in the duct moves as one and the plenum is a spring (Greitzer). The compressor, its
filter and the charge cooler follow their steady characteristic at once, or with a lag.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from engine_model.compressor.surge_motion import (
    FLOW,
    MANIFOLD,
    MASS_IN,
    MASS_OUT,
    MASS_VALVE,
    PLENUM,
    VALVE,
    Rates,
    rates_of,
)
from engine_model.compressor.surge_orifice import two_way_orifice
from engine_model.compressor.surge_plant import Steps, SurgePlant, at_time
from engine_model.errors import InputError

Floats = NDArray[np.float64]

OUTPUT_STEP = 5e-4
"""Step of the times told [s]."""

RELATIVE_TOLERANCE = 1e-5
"""Of the integrator, unless asked otherwise [-]."""

LOOK_STEPS = 400

MOST_RATES = 400_000
"""Evaluations of the rates in a run before it is given up; two seconds of surge need 25 000."""


@dataclass(frozen=True, slots=True, eq=False)
class SurgeRun:
    """A run in time; arrays of one length.

    Parameters
    ----------
    time : ndarray
        Times. [s]
    flow : ndarray
        Flow through the compressor. [kg/s]
    plenum_pressure, manifold_pressure : ndarray
        Absolute pressures before and behind the throttle. [Pa]
    throttle_area : ndarray
        Effective area of the throttle. [m2]
    valve_opening : ndarray
        Share of the valve's area that is open. [-]
    engine_speed, impeller_speed : ndarray
        Speeds. [rpm]
    mass_in, mass_out, mass_bypassed : ndarray
        Passed since the start: compressor, engine (or throttle to the open), valve. [kg]
    mass_stored : ndarray
        More in both volumes than at the start. [kg]
    reversals : ndarray
        Times at which the flow turns back. [s]
    """

    time: Floats
    flow: Floats
    plenum_pressure: Floats
    manifold_pressure: Floats
    throttle_area: Floats
    valve_opening: Floats
    engine_speed: Floats
    impeller_speed: Floats
    mass_in: Floats
    mass_out: Floats
    mass_bypassed: Floats
    mass_stored: Floats
    reversals: Floats

    def __post_init__(self) -> None:
        for name in self.__dataclass_fields__:
            getattr(self, name).flags.writeable = False

    @property
    def imbalance(self) -> float:
        """Mass in less mass out and stored, over the mass moved [-]."""
        net = self.mass_in - self.mass_out - self.mass_bypassed - self.mass_stored
        moved = np.max(np.abs(self.mass_in)) + np.max(np.abs(self.mass_out))
        return float(np.max(np.abs(net)) / moved) if moved > 0.0 else 0.0


def settled_state(plant: SurgePlant, area: float, engine_speed: float) -> list[float]:
    """State in which nothing moves, the valve shut; the one of the largest flow.

    Parameters
    ----------
    plant : SurgePlant
        The plant.
    area : float
        Effective throttle area. [m2]
    engine_speed : float
        Engine speed. [rpm]

    Returns
    -------
    list of float
        State as :func:`run_in_time` has it.

    Raises
    ------
    InputError
        Where no flow balances.

    References
    ----------
    None: bisection on the flow.
    """
    low, high, share = plant.between(engine_speed)
    row_low, row_high = low, high
    orifice = two_way_orifice(plant.gamma, plant.even_share)
    p0 = plant.ambient_pressure
    surge = low.surge_flow + (high.surge_flow - low.surge_flow) * share

    def state(flow: float) -> tuple[float, float, float]:
        """Plenum and manifold pressure at a flow, and what the throttle passes more than it."""
        part = flow / surge
        at_low, at_high = part * row_low.surge_flow, part * row_high.surge_flow

        def mixed(name: str) -> float:
            first = getattr(row_low, name).value(at_low)
            return float(first + (getattr(row_high, name).value(at_high) - first) * share)

        plenum, thin = mixed("pressure"), mixed("thinness")
        behind = p0
        if plant.engine is not None:
            engine = plant.engine
            outside = engine.behind(plenum, p0)
            behind = engine.pressure(mixed("swallowing"), flow, outside)
        return plenum, behind, orifice(area * thin, plenum, behind) - flow

    most = low.choke_flow + (high.choke_flow - low.choke_flow) * share
    flows = np.linspace(0.0, 1.05 * most, LOOK_STEPS + 1).tolist()
    excess = [state(one)[2] for one in flows]
    index = next((k for k in range(LOOK_STEPS, 0, -1) if excess[k - 1] > 0.0 >= excess[k]), None)
    if index is None:
        raise InputError("throttle area", area, "an area at which a flow balances, m2")
    left, right = flows[index - 1], flows[index]
    for _ in range(80):
        middle = 0.5 * (left + right)
        left, right = (middle, right) if state(middle)[2] > 0.0 else (left, middle)
    flow = 0.5 * (left + right)
    plenum, behind, _ = state(flow)
    rest = [plenum] if plant.characteristic_lag > 0.0 else []
    return [flow, plenum, behind, 0.0, 0.0, 0.0, 0.0, *rest]


def _corners(plant: SurgePlant, throttle: Steps, speed: Steps, duration: float) -> list[float]:
    """Times at which a course turns or the engine speed passes a row."""
    times = {0.0, duration}
    times |= {t for t, _ in (*throttle, *speed) if 0.0 < t < duration}
    for (t0, n0), (t1, n1) in pairwise(speed):
        for row in plant.rows:
            if min(n0, n1) < row.engine_speed < max(n0, n1):
                t = t0 + (t1 - t0) * (row.engine_speed - n0) / (n1 - n0)
                if 0.0 < t < duration:
                    times.add(t)
    return sorted(times)


def _turned(t: Floats, y: Floats, m: Floats) -> Floats:
    """Times at which the flow turns back, on the cubics through the steps.

    The integrator's own search for events looks at every step and takes as long as the rest.
    """
    flow, rate = y[FLOW : FLOW + 1], m[FLOW : FLOW + 1]
    index = np.flatnonzero((flow[0, :-1] >= 0.0) & (flow[0, 1:] < 0.0))
    low, high = t[index], t[index + 1]
    for _ in range(50):
        middle = 0.5 * (low + high)
        ahead = _hermite(t, flow, rate, middle)[0] >= 0.0
        low, high = np.where(ahead, middle, low), np.where(ahead, high, middle)
    return np.asarray(0.5 * (low + high))


def run_in_time(
    plant: SurgePlant,
    throttle: Steps,
    speed: Steps,
    duration: float,
    start: list[float] | None = None,
    *,
    tolerance: float = RELATIVE_TOLERANCE,
    output_step: float = OUTPUT_STEP,
) -> SurgeRun:
    """Run of a plant through courses of throttle area and engine speed.

    Parameters
    ----------
    plant : SurgePlant
        The plant.
    throttle, speed : tuple of (float, float)
        Corners of effective area [m2] and engine speed [rpm] over time [s].
    duration : float
        Time to run. [s]
    start : list of float, optional
        State to begin with; the settled one unless given. [SI]
    tolerance : float
        Relative tolerance of the integrator. [-]
    output_step : float
        Step of the times told. [s]

    Returns
    -------
    SurgeRun
        The run, at even times.

    Raises
    ------
    InputError
        Where there is no settled state to begin with.

    References
    ----------
    Greitzer, ASME J. Eng. Power 98 (1976) 190, in dimensions; LSODA of scipy.
    """
    if not 0.0 < duration < np.inf:
        raise InputError("duration", duration, "above 0 s")
    if start is None:
        start = settled_state(plant, at_time(throttle, 0.0), at_time(speed, 0.0))
    state = np.array(start, dtype=float)
    flow, pressure = max(abs(plant.rows[-1].surge_flow), 1e-9), float(state[PLENUM])
    absolute = tolerance * np.array([flow, pressure, pressure, 1.0, flow, flow, flow, pressure])
    absolute = absolute[: state.size]
    steps: list[tuple[Floats, Floats, Floats]] = []
    turned: list[Floats] = []
    corners = _corners(plant, throttle, speed, duration)
    asked = 0

    def counted(rates: Rates) -> Callable[[float, Floats], list[float]]:
        def of_array(time: float, at: Floats) -> list[float]:
            nonlocal asked
            asked += 1
            if asked > MOST_RATES:
                allowed = "figures that can be run in time: a longer duct, a larger volume, no lag"
                raise InputError("surge", f"a run of more than {MOST_RATES} evaluations", allowed)
            return rates(time, at.tolist())

        return of_array

    for t0, t1 in pairwise(corners):
        span = t1 - t0
        courses = []
        for course in (throttle, speed):
            value, end = at_time(course, t0), at_time(course, t1)
            courses.append((t0, value, (end - value) / span))
        rates = rates_of(plant, courses[0], courses[1])
        solved = solve_ivp(
            counted(rates),
            (t0, t1),
            state,
            method="LSODA",
            rtol=tolerance,
            atol=absolute,
            max_step=max(0.02, 0.02 * span),
        )
        if not (solved.success and np.all(np.isfinite(solved.y))):
            raise InputError("surge", solved.message, "figures that can be run in time")
        state = solved.y[:, -1]
        slopes = np.array(
            [rates(t, y) for t, y in zip(solved.t.tolist(), solved.y.T.tolist(), strict=True)]
        ).T
        steps.append((solved.t, solved.y, slopes))
        turned.append(_turned(*steps[-1]))
    return _told(plant, throttle, speed, steps, np.concatenate(turned), output_step)


def _told(
    plant: SurgePlant,
    throttle: Steps,
    speed: Steps,
    steps: list[tuple[Floats, Floats, Floats]],
    turned: Floats,
    output_step: float,
) -> SurgeRun:
    """Run at even times, by cubics through the integrator's steps."""
    end = float(steps[-1][0][-1])
    count = max(2, round(end / output_step) + 1)
    time = np.linspace(0.0, end, count)
    state = np.empty((steps[0][1].shape[0], count))
    for t, y, m in steps:
        inside = (time >= t[0]) & (time <= t[-1])
        state[:, inside] = _hermite(t, y, m, time[inside])
    corners_of = {name: np.array(course).T for name, course in
                  (("area", throttle), ("speed", speed))}  # fmt: skip
    engine_speed = np.interp(time, *corners_of["speed"])
    low, high = plant.rows[0], plant.rows[-1]
    ratio = high.impeller_speed / high.engine_speed if high.engine_speed > 0.0 else 0.0
    plenum, manifold = state[PLENUM], state[MANIFOLD]
    stored = (plenum - plenum[0]) / plant.plenum_stiffness
    stored = stored + (manifold - manifold[0]) / plant.manifold_stiffness
    return SurgeRun(
        time,
        state[FLOW],
        plenum,
        manifold,
        np.interp(time, *corners_of["area"]),
        state[VALVE],
        engine_speed,
        engine_speed * ratio if low is not high else np.full(count, low.impeller_speed),
        state[MASS_IN],
        state[MASS_OUT],
        state[MASS_VALVE],
        stored,
        turned,
    )


def _hermite(t: Floats, y: Floats, m: Floats, at: Floats) -> Floats:
    """Values of cubics through steps t, states y and rates m."""
    index = np.clip(np.searchsorted(t, at, side="right") - 1, 0, t.size - 2)
    h = t[index + 1] - t[index]
    u = (at - t[index]) / h
    y0, y1, m0, m1 = y[:, index], y[:, index + 1], m[:, index] * h, m[:, index + 1] * h
    rise = y1 - y0
    return np.asarray(y0 + u * (m0 + u * (3.0 * rise - 2.0 * m0 - m1 + u * (m0 + m1 - 2.0 * rise))))
