"""Where a belt slips: the impeller speed at which effective tension and grip balance."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.drive.belt_grip import effective_tension
from engine_model.drive.belt_loss import speed_lost
from engine_model.engine.power import drive_power
from engine_model.roots import bracketed_roots
from engine_model.solvers.chain import States
from engine_model.solvers.shaft_solver import FOUND, NO_ROOT_LEFT, Places
from engine_model.solvers.speed_newton import newton_speed
from engine_model.solving import Block, BlockBelt, Solved, solve_states

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

NOT_DRIVING = 4
"""Outcome of a point whose belt does not drive the blower."""

_TOLERANCE = 1e-8
"""Effective tension against grip at a balance, relative [-]."""

_LEAST_SHARE = 0.02
"""Lowest impeller speed looked at, share of that without slip [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Slipped:
    """A block with the slip of its belt.

    Parameters
    ----------
    solved : Solved
        Places and states.
    slip : ndarray
        Slip beyond creep; 1 where the belt does not drive. [-]
    """

    solved: Solved
    slip: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Balance:
    """Effective tension against grip, as a logarithm, at points that slip."""

    flow_to_pulley: float
    bearing_loss: float
    impeller_speed: Floats
    start_speed: Floats
    belt_speed: Floats
    grip: Floats

    @staticmethod
    def of(block: Block, belt: BlockBelt, solved: Solved, index: Indices) -> _Balance:
        blower = block.plan.build.blower
        return _Balance(
            blower.gear_efficiency,
            blower.bearing_loss,
            solved.impeller_speed[index],
            np.log(solved.chain.points.corrected_speed * np.ones(block.size))[index],
            belt.speed[index] * (1.0 - belt.creep),
            belt.grip[index],
        )

    def only(self, index: Indices) -> _Balance:
        whole = (getattr(self, one.name) for one in fields(self)[2:])
        return _Balance(self.flow_to_pulley, self.bearing_loss, *(a[index] for a in whole))

    def residual(self, states: States, log_speed: Floats) -> Floats:
        share = np.exp(log_speed - self.start_speed)
        return self.excess(states, share)

    def excess(self, states: States, share: Floats) -> Floats:
        """Logarithm of effective tension over grip at a share of the speed without slip."""
        power = drive_power(
            states.flow,
            states.enthalpy_rise,
            self.impeller_speed * share,
            self.flow_to_pulley,
            self.bearing_loss,
        )
        tension = power / (self.belt_speed * share)
        return np.asarray(np.log(np.maximum(tension, 1e-9) / self.grip))


@dataclass(frozen=True, slots=True, eq=False)
class _Bounds:
    """The same with the whole match at each trial speed: cap, weak lines and all."""

    block: Block
    surface: Surface
    balance: _Balance

    def only(self, index: Indices) -> _Bounds:
        return replace(self, block=self.block.only(index), balance=self.balance.only(index))

    def at(self, log_share: Floats) -> Solved:
        return solve_states(_slowed(self.block, np.exp(log_share)), self.surface)

    def residual(self, log_share: Floats) -> Floats:
        solved = self.at(log_share)
        excess = self.balance.excess(solved.states, np.exp(log_share))
        # where the blower passes too little at any pressure, hardly any torque is left
        return np.where(solved.places.outcome > NO_ROOT_LEFT, -1.0, excess)


def _slowed(block: Block, share: Floats) -> Block:
    slower = np.asarray(block.inputs.impeller_speed * share)
    return replace(block, inputs=replace(block.inputs, impeller_speed=slower))


def with_slip(block: Block, surface: Surface, solved: Solved) -> Slipped:
    """Let the belt of a block slip where its effective tension exceeds its grip.

    Parameters
    ----------
    block : Block
        The points, with their belt.
    surface : Surface
        The compressor.
    solved : Solved
        The points without slip.

    Returns
    -------
    Slipped
        The same where the belt holds. The balance is unique: the torque of a blower falls with
        its speed, and the grip does not know the slip.

    References
    ----------
    Equilibrium of the driven pulley, P/(v (1 - slip)) = grip.
    """
    belt = block.belt
    size = block.size
    slip = np.zeros(size)
    if belt is None or belt.slip is not None:
        imposed = None if belt is None else belt.slip
        return Slipped(solved, slip if imposed is None else np.broadcast_to(imposed, (size,)))
    every = np.arange(size)
    balance = _Balance.of(block, belt, solved, every)
    able = solved.places.outcome == FOUND
    none = np.asarray(~(belt.grip > 0.0) & ~np.isnan(belt.grip))
    with np.errstate(divide="ignore", invalid="ignore"):
        over = able & ~none & (balance.excess(solved.states, np.ones(size)) > 0.0)
    index = np.flatnonzero(over)
    if index.size == 0 and not np.any(none):
        return Slipped(solved, slip)
    if index.size:
        found, share, driving = _balanced(block, surface, solved, balance.only(index), index)
        solved = _merged(solved, found, index)
        slip[index] = 1.0 - share
        none[index[~driving]] = True
    slip[none] = 1.0
    outcome = np.where(none, NOT_DRIVING, solved.places.outcome).astype(np.int8)
    s = np.where(none, np.nan, solved.places.s)
    places = Places(s, outcome, solved.places.evaluations)
    return Slipped(replace(solved, places=places), slip)


def _balanced(
    block: Block, surface: Surface, held: Solved, balance: _Balance, index: Indices
) -> tuple[Solved, Floats, NDArray[np.bool_]]:
    """Points that slip, solved; their share of the speed without slip; which drive at all."""
    found, share, done = _by_newton(block, surface, held, balance, index)
    driving = np.ones(index.size, dtype=bool)
    lost = np.flatnonzero(~done)
    if lost.size:
        equations = _Bounds(block.only(index[lost]), surface, balance.only(lost))
        again, log_share, driving[lost] = _by_bounds(equations, held, index[lost])
        share[lost] = np.exp(log_share)
        found = _merged(found, again, lost)
    return found, share, driving


def _by_newton(
    block: Block, surface: Surface, held: Solved, balance: _Balance, index: Indices
) -> tuple[Solved, Floats, NDArray[np.bool_]]:
    """Balance of the points whose bypass stays shut; which of them it is found for."""
    build = block.plan.build
    chain, start = held.chain.only(index), balance.start_speed
    ones = np.ones(index.size)
    excess = balance.excess(_part(held.states, index), ones)
    # the torque of a blower rises about with the square of its speed
    s, log_speed, done = newton_speed(chain, balance, held.places.s[index], start - 0.5 * excess)
    speed = np.exp(np.where(done, log_speed, start))
    at = chain.at_speed(speed)
    states = at.breathe(at.to_manifold(np.where(done, s, 0.0)))
    weak = surface.surge_pressure_ratio(speed) < build.bounds.surge_judged_above
    done &= (log_speed < start) & (s >= np.where(weak, -2.0, -1.0))
    cap = build.bypass.boost_cap
    if cap is not None:
        done &= states.manifold_pressure <= chain.points.ambient_pressure + cap
    share = np.exp(np.where(done, log_speed - start, 0.0))
    places = Places(s, np.full(index.size, FOUND, dtype=np.int8), 0)
    solved = Solved(
        speed,
        balance.impeller_speed * share,
        held.inlet_temperature[index] if cap is None else chain.points.inlet.temperature * ones,
        places,
        states,
        np.zeros(index.size),
        chain,
    )
    return solved, share, done


def _part(states: States, index: Indices) -> States:
    return States(**{one.name: getattr(states, one.name)[index] for one in fields(States)})


def _by_bounds(
    equations: _Bounds, held: Solved, index: Indices
) -> tuple[Solved, Floats, NDArray[np.bool_]]:
    """The slow road: a root between a standing blower and the speed without slip."""
    balance = equations.balance
    high = np.zeros(index.size)
    f_high = balance.excess(_part(held.states, index), np.ones(index.size))
    low = np.full(index.size, np.log(_LEAST_SHARE))
    f_low = np.full(index.size, -1.0)
    # closer bounds where the torque rises about with the square of the speed
    near = np.maximum(-0.8 * f_high - 1e-6, low)
    f_near = equations.residual(near)
    under = f_near <= 0.0
    low, f_low = np.where(under, near, low), np.where(under, f_near, f_low)
    high, f_high = np.where(under, high, near), np.where(under, f_high, f_near)
    roots = bracketed_roots(equations, low, high, f_low, f_high, _TOLERANCE).x
    again = equations.at(roots)
    left = np.abs(balance.excess(again.states, np.exp(roots)))
    # a jump to where the blower passes too little is no balance
    return again, roots, (again.places.outcome <= NO_ROOT_LEFT) & (left <= 100.0 * _TOLERANCE)


def _merged(whole: Solved, part: Solved, index: Indices) -> Solved:
    """The whole with some of its points replaced; its chain stays that without slip."""

    def put(old: Floats, new: Floats) -> Floats:
        result = np.array(np.broadcast_to(old, whole.places.s.shape))
        result[index] = new
        return result

    outcome = np.array(whole.places.outcome)
    outcome[index] = part.places.outcome
    places = Places(
        put(whole.places.s, part.places.s),
        outcome,
        whole.places.evaluations + part.places.evaluations,
    )
    states = {
        one.name: put(getattr(whole.states, one.name), getattr(part.states, one.name))
        for one in fields(States)
    }
    return Solved(
        put(whole.corrected_speed, part.corrected_speed),
        put(whole.impeller_speed, part.impeller_speed),
        put(whole.inlet_temperature, part.inlet_temperature),
        places,
        States(**states),
        put(whole.bypass_flow, part.bypass_flow),
        whole.chain,
    )


def belt_numbers(belt: BlockBelt, slip: Floats, power: Floats, held: Floats) -> dict[str, Floats]:
    """Numbers of a belt along an operating line.

    Parameters
    ----------
    belt : BlockBelt
        The belt.
    slip : ndarray
        Slip beyond creep. [-]
    power : ndarray
        Power that the blower takes at its pulley. [W]
    held : ndarray
        The same where the belt does not slip. [W]

    Returns
    -------
    dict
        Effective tension [N]; grip used, of the blower without slip, infinite where the belt
        does not drive; slip.

    References
    ----------
    F = P/(v (1 - slip)).
    """
    lost = speed_lost(slip, belt.creep)
    with np.errstate(divide="ignore", invalid="ignore"):
        asked = effective_tension(held, belt.speed, belt.creep)
        if belt.slip is not None:
            asked = effective_tension(power, belt.speed, lost)
        used = asked / belt.grip
    used = np.where(belt.grip <= 0.0, np.inf, used)
    return {
        "belt_effective_tension_n": effective_tension(power, belt.speed, lost),
        "belt_grip_used": used,
        "belt_slip": slip,
    }
