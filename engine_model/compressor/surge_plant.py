"""What surges, as plain numbers: speed lines, duct, volumes, valve and what empties them."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from engine_model.compressor.surge_characteristic import Curve, curve_through
from engine_model.compressor.surge_orifice import EVEN_SHARE
from engine_model.errors import InputError

Steps = tuple[tuple[float, float], ...]
"""Corners (time [s], value) of a course in time, straight between and level outside."""


@dataclass(frozen=True, slots=True, eq=False)
class SpeedRow:
    """What belongs to one engine speed: the compressor with its ducts, and the engine.

    Parameters
    ----------
    engine_speed, impeller_speed : float
        Speeds. [rpm]
    surge_flow, choke_flow : float
        Flows at the ends of the traced line. [kg/s]
    pressure : Curve
        Pressure after compressor and cooler over flow, quasi-steady. [Pa abs]
    thinness : Curve
        1/sqrt(R T) of the charge over flow. [s/m]
    swallowing : Curve
        Engine flow over (b0 p3 - b1 p4), over flow. [kg/(s Pa)]
    """

    engine_speed: float
    impeller_speed: float
    surge_flow: float
    choke_flow: float
    pressure: Curve
    thinness: Curve
    swallowing: Curve


def speed_row(
    speeds: tuple[float, float],
    ends: tuple[float, float],
    flow: ArrayLike,
    pressure: tuple[ArrayLike, ArrayLike],
    thinness: ArrayLike,
    swallowing: ArrayLike = 0.0,
) -> SpeedRow:
    """Curves of one engine speed over common nodes.

    Parameters
    ----------
    speeds : tuple of float
        Engine and impeller speed. [rpm]
    ends : tuple of float
        Surge and choke flow of the traced line. [kg/s]
    flow : array_like
        Rising flows of the nodes, from reverse flow on. [kg/s]
    pressure : tuple of array_like
        Pressure after compressor and cooler at the nodes [Pa abs], and its slope [Pa s/kg].
    thinness : array_like
        1/sqrt(R T) of the charge at the nodes. [s/m]
    swallowing : array_like
        Of the engine at the nodes. [kg/(s Pa)]

    Returns
    -------
    SpeedRow
        The row.
    """
    w = np.asarray(flow, dtype=float)
    main = curve_through(w, *pressure)

    def straight(values: ArrayLike) -> Curve:
        y = np.broadcast_to(np.asarray(values, dtype=float), w.shape)
        slope = np.diff(y) / np.diff(w)
        return Curve(
            main.breaks,
            (
                *((a, b, 0.0, 0.0) for a, b in zip(y[:-1].tolist(), slope.tolist(), strict=True)),
                (float(y[-1]), 0.0, 0.0, 0.0),
            ),
        )

    return SpeedRow(*speeds, *ends, main, straight(thinness), straight(swallowing))


@dataclass(frozen=True, slots=True)
class EngineIntake:
    """The engine as what empties the manifold: W = swallowing (b0 p3 - b1 p4).

    Parameters
    ----------
    bracket_intake, bracket_exhaust : float
        Weights b0 and b1 of manifold and exhaust pressure. [-]
    exhaust_factor : float
        Rise of exhaust pressure over air flow squared. [Pa s2/kg2]
    turbine_factor : float
        Back pressure of a turbine over the pressure that its compressor adds. [-]
    turbine_offset : float
        What the compressor adds more than plenum over ambient shows: filter and cooler. [Pa]
    """

    bracket_intake: float
    bracket_exhaust: float
    exhaust_factor: float
    turbine_factor: float = 0.0
    turbine_offset: float = 0.0

    def behind(self, plenum_pressure: float, ambient: float) -> float:
        """Pressure [Pa] behind the exhaust without its loss, a turbine's back pressure included."""
        if self.turbine_factor == 0.0:
            return ambient
        added = plenum_pressure + self.turbine_offset - ambient
        return ambient + self.turbine_factor * max(added, 0.0)

    def flow(self, swallowing: float, manifold_pressure: float, ambient: float) -> float:
        """Flow the engine takes [kg/s] from a manifold pressure [Pa]; never back."""
        free = self.bracket_intake * manifold_pressure - self.bracket_exhaust * ambient
        if free <= 0.0:
            return 0.0
        a = swallowing * free
        c = swallowing * self.bracket_exhaust * self.exhaust_factor
        return 2.0 * a / (1.0 + math.sqrt(1.0 + 4.0 * a * c))

    def pressure(self, swallowing: float, flow: float, ambient: float) -> float:
        """Manifold pressure [Pa] at which the engine takes a flow [kg/s]."""
        exhaust = ambient + self.exhaust_factor * flow * flow
        return (flow / swallowing + self.bracket_exhaust * exhaust) / self.bracket_intake


@dataclass(frozen=True, slots=True)
class BypassValve:
    """A valve from the plenum back to the compressor's inlet or to the open.

    Parameters
    ----------
    diameter : float
        Bore. [m] 0 is no valve
    discharge_coefficient : float
        Effective over geometric area. [-]
    opening_pressure : float
        Pressure across it from which it opens; it is full open at 1.5 times that. [Pa]
    lag : float
        Time constant of its motion. [s]
    recirculated : bool
        Whether it leads back to the inlet.
    feels_manifold : bool
        Whether the pressure across it is counted to the manifold, which pulls at its spring side,
        or to where it leads.
    """

    diameter: float = 0.0
    discharge_coefficient: float = 0.8
    opening_pressure: float = 3e4
    lag: float = 0.04
    recirculated: bool = True
    feels_manifold: bool = True

    def __post_init__(self) -> None:
        for name, least in (("diameter", 0.0), ("opening_pressure", 1.0), ("lag", 1e-4)):
            value = getattr(self, name)
            if not least <= value < math.inf:
                raise InputError(f"valve.{name}", value, f"{least:g} or more, SI")

    @property
    def effective_area(self) -> float:
        """Effective area full open [m2]."""
        return self.discharge_coefficient * math.pi / 4.0 * self.diameter * self.diameter


@dataclass(frozen=True, slots=True, eq=False)
class SurgePlant:
    """Compressor, duct, plenum, throttle, manifold and engine.

    Parameters
    ----------
    rows : tuple of SpeedRow
        By rising engine speed; one where the speed stays.
    duct_length, duct_area : float
        Length and area of the air that moves as one. [m], [m2]
    plenum_volume, manifold_volume : float
        From compressor to throttle, and behind it. [m3]
    sound_speed : float
        Of the charge in both volumes. [m/s]
    ambient_pressure : float
        Station 0. [Pa]
    inlet_factor : float
        Loss of filter and duct over flow squared. [Pa s2/kg2]
    engine : EngineIntake or None
        The engine; none where the throttle leads to the open.
    valve : BypassValve
        The bypass valve.
    characteristic_lag : float
        Time constant with which the compressor follows its characteristic. [s] 0 is at once
    gamma : float
        Ratio of specific heats at throttle and valve. [-]
    even_share : float
        Of :func:`engine_model.compressor.surge_orifice.two_way_orifice`. [-]
    """

    rows: tuple[SpeedRow, ...]
    duct_length: float
    duct_area: float
    plenum_volume: float
    manifold_volume: float
    sound_speed: float
    ambient_pressure: float
    inlet_factor: float = 0.0
    engine: EngineIntake | None = None
    valve: BypassValve = BypassValve()
    characteristic_lag: float = 0.0
    gamma: float = 1.4
    even_share: float = EVEN_SHARE

    def __post_init__(self) -> None:
        for name in ("duct_length", "duct_area", "plenum_volume", "manifold_volume", "sound_speed"):
            value = getattr(self, name)
            if not 0.0 < value < math.inf:
                raise InputError(f"surge.{name}", value, "above 0, SI")
        if not 0.0 <= self.characteristic_lag < math.inf:
            raise InputError("surge.characteristic_lag", self.characteristic_lag, "0 s or more")
        if not self.rows:
            raise InputError("rows", 0, "one engine speed or more")

    @property
    def inertance(self) -> float:
        """Area over length of the duct [m]."""
        return self.duct_area / self.duct_length

    @property
    def plenum_stiffness(self) -> float:
        """Rise of plenum pressure over mass stored, a^2/V [Pa/kg]."""
        return self.sound_speed**2 / self.plenum_volume

    @property
    def manifold_stiffness(self) -> float:
        """Rise of manifold pressure over mass stored [Pa/kg]."""
        return self.sound_speed**2 / self.manifold_volume

    def between(self, engine_speed: float) -> tuple[SpeedRow, SpeedRow, float]:
        """Rows either side of an engine speed [rpm], and the share of the way between."""
        rows = self.rows
        if len(rows) == 1:
            return rows[0], rows[0], 0.0
        speeds = [row.engine_speed for row in rows]
        index = min(max(bisect_right(speeds, engine_speed) - 1, 0), len(rows) - 2)
        low, high = rows[index], rows[index + 1]
        share = (engine_speed - low.engine_speed) / (high.engine_speed - low.engine_speed)
        return low, high, min(max(share, 0.0), 1.0)


def at_time(steps: Steps, time: float) -> float:
    """Value of a course in time.

    Parameters
    ----------
    steps : tuple of (float, float)
        Its corners. [s, any]
    time : float
        Time. [s]

    Returns
    -------
    float
        Straight between corners, level outside.

    References
    ----------
    None: straight lines.

    Examples
    --------
    >>> at_time(((0.0, 1.0), (0.5, 3.0)), 0.25)
    2.0
    """
    if time <= steps[0][0]:
        return steps[0][1]
    for (t0, v0), (t1, v1) in pairwise(steps):
        if time <= t1:
            return v1 if t1 == t0 else v0 + (v1 - v0) * (time - t0) / (t1 - t0)
    return steps[-1][1]
