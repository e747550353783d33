"""What the engine asks of injectors and fuel pump along solved lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.fuel.demand import (
    injector_duty,
    injector_flow_needed,
    injector_mass_flow,
    pressure_across,
)
from engine_model.fuel.pump import pump_flow, pump_flow_to_shut_off, pump_pressure
from engine_model.fuel_choice import fuel_of
from engine_model.inputs import Build
from engine_model.results import OperatingLine

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class FuelRun:
    """Injectors and fuel pump along lines, of the lines' axes; from fuel flow, not from power.

    Parameters
    ----------
    pressure_across : ndarray
        Pressure across an injector. [Pa]
    duty : ndarray
        Share of the time that the injectors are open; nan where their flow is not given, or
        where they open into the cylinder. [-]
    flow_needed : ndarray
        Static flow, as rated, of an injector that keeps the bound of duty; nan where they open
        into the cylinder. [m3/s]
    pump_flow : ndarray
        What the fuel pump must deliver, reserve included. [m3/s]
    pump_pressure : ndarray
        What it delivers against, gauge. [Pa]
    pump_gives : ndarray
        What it can deliver there; nan where its flow is not given. [m3/s]
    """

    pressure_across: Floats
    duty: Floats
    flow_needed: Floats
    pump_flow: Floats
    pump_pressure: Floats
    pump_gives: Floats


def injector_count(build: Build) -> int:
    """Number of injectors; one a cylinder unless given."""
    given = build.fuel_system.injectors
    return build.engine.cylinders if given is None else given


def fuel_run(build: Build, line: OperatingLine) -> FuelRun:
    """Injectors and fuel pump of a build along solved lines.

    Parameters
    ----------
    build : Build
        The build.
    line : OperatingLine
        Lines of any axes. SI

    Returns
    -------
    FuelRun
        Arrays of the lines' axes; nan where nothing balances. SI

    References
    ----------
    As ``fuel.demand`` and ``fuel.pump``: Bernoulli, mass and pressure balance. Fuel flow is that
    of the line, from air flow and mixture.
    """
    system, burnt, boost = build.fuel_system, line.fuel_flow_kg_s, line.boost_gauge_pa
    density = fuel_of(build.engine).density
    # a manifold at boost over an ambient of nothing: gauge pressures on both sides
    rail = (system.rail_pressure, boost, 0.0, system.feels_manifold)
    across = pressure_across(*rail)
    rating = (system.injector_rating_pressure, system.injector_rating_density)
    count = injector_count(build)
    # into the cylinder they open for a part of the cycle alone, and against it
    counted = burnt if build.engine.injection == "port" else np.full(burnt.shape, np.nan)
    if system.injector_flow is None:
        duty = np.full(burnt.shape, np.nan)
    else:
        one = injector_mass_flow(system.injector_flow, across, density, *rating)
        duty = injector_duty(counted, count, one)
    needed = injector_flow_needed(
        counted, count, build.bounds.injector_duty, across, density, *rating
    )
    flow = pump_flow(burnt, density, system.pump_reserve)
    against = pump_pressure(*rail)
    gives = np.full(burnt.shape, np.nan)
    if system.pump_flow is not None:
        stated = system.rated_pump_pressure, system.pump_flow, system.pump_shut_off
        gives = pump_flow_to_shut_off(against, *stated)
    return FuelRun(across, duty, needed, flow, against, gives)
