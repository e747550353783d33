"""The chain from filter to cylinders at a trial place on the compressor's speed line.

Plain arrays, one element a point or one for all; a point's numbers never depend on others.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engine_model.air.flow import orifice_flow
from engine_model.air.gas import InletGas, compress
from engine_model.compressor.surface import LEAST_HEAD_SHARE, S_HIGH, Surface
from engine_model.cooling.charge_cooler import FLOW_EXPONENT, effectiveness_from_log

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Breathing:
    """The engine as the chain sees it: W = flow_factor (b0 p3 - b1 p4) T3^exponent F.

    Parameters
    ----------
    flow_factor : ndarray
        Volumetric efficiency, displacement, speed and stock terms together.
    bracket_intake, bracket_exhaust : float
        Weights of manifold and exhaust pressure in the pressure bracket. [-]
    temperature_exponent : float
        Exponent of charge temperature in the flow. [-]
    vapour_heat : float
        Heat that evaporation in the port takes. [J/kg of air]
    vapour_moles : float
        Moles of vapour over moles of air. [-]
    fuel_share : ndarray
        Mass of fuel over mass of humid air. [-]
    exhaust_factor : float
        Exhaust loss over flow squared. [Pa s2/kg2]
    turbine_factor : float
        Back pressure of a turbine over the compressor's pressure rise. [-]
    """

    flow_factor: Floats
    bracket_intake: float
    bracket_exhaust: float
    temperature_exponent: float
    vapour_heat: float
    vapour_moles: float
    fuel_share: Floats
    exhaust_factor: float
    turbine_factor: float


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Per-point numbers of the chain; each array has one element a point, or one for all.

    Parameters
    ----------
    ambient_pressure : ndarray
        Station 0. [Pa]
    inlet : InletGas
        Gas at station 1.
    inlet_factor : ndarray
        Inlet loss over flow squared. [Pa s2/kg2]
    flow_factor : ndarray
        Actual flow over corrected flow and inlet pressure. [1/Pa]
    corrected_speed : ndarray
        Corrected impeller speed. [rpm]
    speed_row, speed_share
        Place of the speed in the surface's grid.
    efficiency_shift : ndarray
        Added to the compressor's efficiency. [-]
    coolant_temperature : ndarray
        Coolant at its inlet. [K]
    log_transfer_units : ndarray
        ln NTU of the cooler at a flow of 1 kg/s. [-]
    capacity_ratio : ndarray
        C_min/C_max of the cooler; 0 where there is none. [-]
    cooler_factor : ndarray
        Cooler loss times density over flow squared. [Pa s2 kg/(kg2 m3)]
    throttle_area : ndarray
        Effective throttle area; infinite when wide open. [m2]
    engine_factor : ndarray
        ``Breathing.flow_factor`` of each point.
    fuel_share : ndarray
        ``Breathing.fuel_share`` of each point. [-]
    """

    ambient_pressure: Floats
    inlet: InletGas
    inlet_factor: Floats
    flow_factor: Floats
    corrected_speed: Floats
    speed_row: Indices
    speed_share: Floats
    efficiency_shift: Floats
    coolant_temperature: Floats
    log_transfer_units: Floats
    capacity_ratio: Floats
    cooler_factor: Floats
    throttle_area: Floats
    engine_factor: Floats
    fuel_share: Floats

    def only(self, index: Indices) -> Points:
        """Return some of the points."""

        def pick(a: Any) -> Any:
            return a if a.size == 1 else a[index]

        values = {f.name: getattr(self, f.name) for f in fields(self)}
        inlet = values.pop("inlet").take(pick)
        return Points(inlet=inlet, **{k: pick(v) for k, v in values.items()})


@dataclass(frozen=True, slots=True, eq=False)
class States:
    """Stations 1 to 4 at a trial place; arrays of one element a point. SI."""

    flow: Floats
    corrected_flow: Floats
    inlet_pressure: Floats
    log_pressure_ratio: Floats
    efficiency: Floats
    enthalpy_rise: Floats
    discharge_temperature: Floats
    discharge_pressure: Floats
    manifold_temperature: Floats
    manifold_pressure: Floats
    exhaust_pressure: Floats
    engine_flow: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """Engine, compressor and ducts with the points to solve.

    Parameters
    ----------
    surface : Surface
        The compressor.
    breathing : Breathing
        The engine.
    points : Points
        The points.
    has_cooler : bool
        Whether there is a charge cooler.
    throttled : bool
        Whether any throttle area is finite.
    """

    surface: Surface
    breathing: Breathing
    points: Points
    has_cooler: bool
    throttled: bool = False

    def only(self, index: Indices) -> Chain:
        """Return the chain with some of the points."""
        return replace(self, points=self.points.only(index))

    def at_speed(self, corrected_speed: Floats) -> Chain:
        """Return the chain with other corrected speeds [rpm]."""
        row, share = self.surface.speed_position(corrected_speed)
        points = replace(
            self.points, corrected_speed=corrected_speed, speed_row=row, speed_share=share
        )
        return replace(self, points=points)

    def to_manifold(self, s: Floats, inlet_pressure: Floats | None = None) -> States:
        """March from filter to cooler outlet at a place s of each point's speed line.

        Parameters
        ----------
        s : ndarray
            Place along the line. [-]
        inlet_pressure : ndarray, optional
            Pressure at station 1 where the filter passes another flow than the compressor. [Pa]
        """
        p = self.points
        corrected_flow, log_ratio, efficiency = self.surface.look_up(
            p.speed_row, p.speed_share, p.corrected_speed, s
        )
        shift = p.efficiency_shift
        if shift.size > 1 or shift[0] != 0.0:
            # past choke it fades with the efficiency itself, which falls to nothing
            fade = S_HIGH - s
            np.minimum(fade, 1.0, out=fade)
            efficiency += shift * np.maximum(fade, LEAST_HEAD_SHARE, out=fade)
        # W = a p1 and p1 = p0 - K W^2: one quadratic
        a = corrected_flow * p.flow_factor
        if inlet_pressure is None:
            root = a * a
            root *= 4.0 * p.inlet_factor
            root *= p.ambient_pressure
            root += 1.0
            np.sqrt(root, out=root)
            root += 1.0
            p1 = 2.0 * p.ambient_pressure / root
        else:
            p1 = inlet_pressure
        flow = a * p1
        t2, rise, _ = compress(p.inlet, log_ratio, efficiency)
        p2 = np.exp(log_ratio)
        p2 *= p1
        if self.has_cooler:
            safe = np.maximum(flow, 1e-9)
            log_ntu = np.log(safe)
            log_ntu *= FLOW_EXPONENT
            log_ntu += p.log_transfer_units
            drop = effectiveness_from_log(log_ntu, p.capacity_ratio)
            drop *= t2 - p.coolant_temperature
            t3 = t2 - drop
            loss = flow * flow
            loss *= t2
            loss *= p.cooler_factor * p.inlet.air.gas_constant
            loss /= p2
            p3 = p2 - loss
        else:
            t3, p3 = t2, p2
        return States(
            flow, corrected_flow, p1, log_ratio, efficiency, rise, t2, p2, t3, p3, p3, flow
        )

    def breathe(self, states: States) -> States:
        """Add the engine: exhaust pressure and the flow it takes from the manifold.

        Parameters
        ----------
        states : States
            From :meth:`to_manifold`; the compressor's flow leaves through the exhaust.
        """
        p3, p4, taken = self._breath(states)
        return replace(states, exhaust_pressure=p4, manifold_pressure=p3, engine_flow=taken)

    def _breath(self, states: States) -> tuple[Floats, Floats, Floats]:
        """Manifold pressure, exhaust pressure and engine flow at the states of a march."""
        e, p = self.breathing, self.points
        total = p.fuel_share + 1.0
        p4 = total * states.flow
        p4 *= p4
        p4 *= e.exhaust_factor
        p4 += p.ambient_pressure
        if e.turbine_factor != 0.0:
            p4 += e.turbine_factor * (states.discharge_pressure - states.inlet_pressure)
        swallowing = self.swallowing(states.manifold_temperature)
        if self.throttled:
            p3, taken = self._throttled(states, swallowing, p4)
            return p3, p4, taken
        taken = states.manifold_pressure * e.bracket_intake
        taken -= p4 * e.bracket_exhaust
        taken *= swallowing
        return states.manifold_pressure, p4, taken

    def flow_at_manifold(
        self, manifold_pressure: Floats, manifold_temperature: Floats, turbine_rise: Floats
    ) -> Floats:
        """Engine flow at a given manifold state, its own exhaust back pressure included.

        Parameters
        ----------
        manifold_pressure, manifold_temperature : ndarray
            Station 3. [Pa], [K]
        turbine_rise : ndarray
            Back pressure of a turbine. [Pa]

        Returns
        -------
        ndarray
            Flow [kg/s]: the root of a quadratic, since the exhaust loss grows with its square.
        """
        e, p = self.breathing, self.points
        swallowing = self.swallowing(manifold_temperature)
        free = e.bracket_intake * manifold_pressure
        free = free - e.bracket_exhaust * (p.ambient_pressure + turbine_rise)
        a = swallowing * free
        share = (1.0 + p.fuel_share) ** 2
        c = swallowing * e.bracket_exhaust * e.exhaust_factor * share
        return np.asarray(2.0 * a / (1.0 + np.sqrt(1.0 + 4.0 * a * c)))

    def swallowing(self, manifold_temperature: Floats) -> Floats:
        """Engine flow over (b0 p3 - b1 p4) [kg/(s Pa)] at a manifold temperature [K]."""
        e, p = self.breathing, self.points
        t3 = manifold_temperature
        exponent = e.temperature_exponent - 1.0
        # numpy takes the square root where the exponent is +-0.5
        result = 1.0 / np.sqrt(t3) if exponent == -0.5 else t3**exponent
        if e.vapour_heat != 0.0 or e.vapour_moles != 0.0:
            chill = e.vapour_heat / p.inlet.air.specific_heat(t3)
            chill /= t3
            np.subtract(1.0, chill, out=chill)
            np.sqrt(chill, out=chill)
            chill *= 1.0 + e.vapour_moles
            result /= chill
        result *= p.engine_factor
        return result

    def _throttled(self, states: States, swallowing: Floats, p4: Floats) -> tuple[Floats, Floats]:
        """Manifold pressure that the engine needs for the flow, and what the throttle passes."""
        e, p = self.breathing, self.points
        needed = states.flow / swallowing + e.bracket_exhaust * p4
        needed /= e.bracket_intake
        area = np.broadcast_to(p.throttle_area, needed.shape)
        wide = ~np.isfinite(area)
        passed = orifice_flow(
            np.where(wide, 1.0, area),
            states.manifold_pressure,
            states.manifold_temperature,
            needed,
            p.inlet.air.gas_constant,
            1.4,
        )
        open_flow = swallowing * (
            e.bracket_intake * states.manifold_pressure - e.bracket_exhaust * p4
        )
        p3 = np.where(wide, states.manifold_pressure, needed)
        return p3, np.where(wide, open_flow, passed)

    def residual(self, s: Floats) -> Floats:
        """Power 1.5 of compressor flow over engine flow, less one [-]; rises with s.

        The power makes it nearly straight in s, which saves steps.
        """
        states = self.to_manifold(s)
        ratio = states.flow / np.maximum(self._breath(states)[2], 1e-9)
        ratio *= np.sqrt(ratio)
        ratio -= 1.0
        return ratio
