"""Rates of the model in time, in plain numbers: quick enough to be asked thousands of times."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable

from engine_model.compressor.surge_orifice import two_way_orifice
from engine_model.compressor.surge_plant import SpeedRow, SurgePlant

Read = Callable[[float], tuple[float, float, float]]
"""Flow [kg/s] -> pressure [Pa], 1/sqrt(R T) [s/m], swallowing [kg/(s Pa)]."""

ReadInTime = Callable[[float, float], tuple[float, float, float]]

Rates = Callable[[float, "list[float]"], "list[float]"]

FLOW, PLENUM, MANIFOLD, VALVE, MASS_IN, MASS_OUT, MASS_VALVE, LAGGED = range(8)
"""Places in the state: kg/s, Pa, Pa, -, kg, kg, kg, Pa (the last with a lag alone)."""


def _reader(row: SpeedRow) -> Read:
    """Read the three curves of a row; their breaks are the same."""
    breaks = list(row.pressure.breaks)
    pressure, thin, swallow = row.pressure.pieces, row.thinness.pieces, row.swallowing.pieces
    last = len(pressure) - 1
    both = [(p, t[0], t[1], s[0], s[1]) for p, t, s in zip(pressure, thin, swallow, strict=True)]

    def read(flow: float) -> tuple[float, float, float]:
        index = bisect_right(breaks, flow) - 1
        if index < 0:
            index = 0
        elif index > last:
            index = last
        d = flow - breaks[index]
        (a, b, c, e), t0, t1, s0, s1 = both[index]
        return a + d * (b + d * (c + d * e)), t0 + t1 * d, s0 + s1 * d

    return read


def _blended(low: SpeedRow, high: SpeedRow, speed_at: Callable[[float], float]) -> ReadInTime:
    """Read between two rows: both at the same share of their surge flow."""
    first, second = _reader(low), _reader(high)
    span = 1.0 / (high.engine_speed - low.engine_speed)
    base, ws_low, ws_high = low.engine_speed, low.surge_flow, high.surge_flow

    def read(time: float, flow: float) -> tuple[float, float, float]:
        t = (speed_at(time) - base) * span
        share = flow / (ws_low + (ws_high - ws_low) * t)
        p0, a0, s0 = first(share * ws_low)
        p1, a1, s1 = second(share * ws_high)
        return p0 + (p1 - p0) * t, a0 + (a1 - a0) * t, s0 + (s1 - s0) * t

    return read


def rates_of(
    plant: SurgePlant,
    throttle: tuple[float, float, float],
    speed: tuple[float, float, float],
) -> Rates:
    """Rates of the state over a stretch in which throttle and speed run straight.

    Parameters
    ----------
    plant : SurgePlant
        What moves.
    throttle : tuple of float
        Time [s], effective area there [m2] and its rate [m2/s].
    speed : tuple of float
        Time [s], engine speed there [rpm] and its rate [rpm/s]; within one pair of rows.

    Returns
    -------
    callable
        Of time [s] and state; rates of the state. [SI/s]

    References
    ----------
    Greitzer, ASME J. Eng. Power 98 (1976) 190: dW/dt = (A/L) (p_c(W) - p_p) and
    dp_p/dt = (a^2/V) (W - W_T); the manifold behind the throttle likewise.
    """
    orifice = two_way_orifice(plant.gamma, plant.even_share)
    pull, stiff, soft = plant.inertance, plant.plenum_stiffness, plant.manifold_stiffness
    p0, engine, valve = plant.ambient_pressure, plant.engine, plant.valve
    t_area, area0, area_rate = throttle
    t_speed, speed0, speed_rate = speed
    low, high, share = plant.between(speed0 + 1e-9 * speed_rate)
    steady = speed_rate == 0.0
    read_row = _reader(low)
    read_both = None
    if low is not high and not (steady and share in (0.0, 1.0)):
        read_both = _blended(low, high, lambda time: speed0 + speed_rate * (time - t_speed))
    elif share == 1.0:
        read_row = _reader(high)
    valve_area, opening = valve.effective_area, valve.opening_pressure
    per_band, per_lag = 2.0 / opening, 1.0 / valve.lag
    back, feels = valve.recirculated, valve.feels_manifold
    inlet = plant.inlet_factor
    tau = plant.characteristic_lag
    intake = None if engine is None else engine.flow
    turbine = 0.0 if engine is None else engine.turbine_factor
    beyond = p0 if engine is None else p0 - engine.turbine_offset

    def rates(time: float, state: list[float]) -> list[float]:
        flow, plenum, manifold, lift = state[0], state[1], state[2], state[3]
        if read_both is None:
            driven, thin, swallow = read_row(flow)
        else:
            driven, thin, swallow = read_both(time, flow)
        area = area0 + area_rate * (time - t_area)
        through = orifice(area * thin, plenum, manifold)
        bypassed = moved = 0.0
        if valve_area > 0.0:
            outside = p0 - inlet * flow * abs(flow) if back else p0
            across = plenum - (manifold if feels else outside)
            target = (across - opening) * per_band
            target = 0.0 if target < 0.0 else 1.0 if target > 1.0 else target
            moved = (target - lift) * per_lag
            if lift > 0.0:
                bypassed = orifice(valve_area * lift * thin, plenum, outside)
        behind = p0
        if turbine != 0.0 and plenum > beyond:
            behind = p0 + turbine * (plenum - beyond)
        taken = through if intake is None else intake(swallow, manifold, behind)
        held = 0.0 if intake is None else soft * (through - taken)
        if tau > 0.0:
            given = state[7]
            return [
                pull * (given - plenum),
                stiff * (flow - through - bypassed),
                held,
                moved,
                flow,
                taken,
                bypassed,
                (driven - given) / tau,
            ]
        return [
            pull * (driven - plenum),
            stiff * (flow - through - bypassed),
            held,
            moved,
            flow,
            taken,
            bypassed,
        ]

    return rates
