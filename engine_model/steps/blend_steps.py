"""Steps of a fuel blended by a share that was given: from volume to the properties burnt."""

from __future__ import annotations

from engine_model.fuel.fuels import (
    ETHANOL,
    ETHANOL_SHARES,
    PETROL,
    molar_share,
    named_neighbours,
)
from engine_model.results import Step, StepNumber
from engine_model.steps.engine_steps import ENGINE
from engine_model.steps.point import Point

_PARTS = {"p": PETROL, "e": ETHANOL}
_BY_MASS = (
    ("stoichiometric_ratio", "Air it burns with", "dimensionless", "AFR"),
    ("heating_value", "Heating value of the blend", "energy_per_mass", "LHV"),
)
_SOURCE = "Ideal mixing by mass; parts Heywood, table D.4, from memory"


def _parts(symbol: str, name: str, kind: str) -> tuple[StepNumber, ...]:
    return tuple(
        StepNumber(f"{symbol}_{key}", getattr(one, name), kind) for key, one in _PARTS.items()
    )


def blend_steps(point: Point) -> list[Step]:
    """Steps of the blend; none where the fuel is as its name says, or petrol or ethanol alone."""
    engine, fuel = point.build.engine, point.plan.fuel
    share = engine.ethanol_share
    if share is None or share in (ETHANOL_SHARES[PETROL.name], ETHANOL_SHARES[ETHANOL.name]):
        return []
    volume = point.given("v", "engine.ethanol_share", "share")
    densities = _parts("rho", "density", "fuel_density")
    mass = StepNumber("m", share * ETHANOL.density / fuel.density, "share")
    steps = [
        Step(
            "engine.ethanol_by_mass", ENGINE, "Ethanol by mass", mass.value, "share", "m",
            "m = v rho_e/((1 - v) rho_p + v rho_e)", (volume, *densities),
            f"Ideal mixing by volume: {fuel.name}; densities from handbooks, from memory",
        ),
    ]  # fmt: skip
    for name, title, kind, symbol in _BY_MASS:
        steps.append(
            Step(
                f"engine.blend_{name}", ENGINE, title, getattr(fuel, name), kind, symbol,
                f"{symbol} = (1 - m) {symbol}_p + m {symbol}_e",
                (mass, *_parts(symbol, name, kind)), _SOURCE,
            )
        )  # fmt: skip
    if engine.octane is not None:
        return steps
    moles = StepNumber("x", molar_share(PETROL, ETHANOL, share), "share")
    masses = _parts("M", "molar_mass", "dimensionless")
    low, high = named_neighbours(share)
    ends = [
        StepNumber(f"x_{mark}", molar_share(PETROL, ETHANOL, ETHANOL_SHARES[one.name]), "share")
        for mark, one in (("a", low), ("b", high))
    ]
    numbers = [
        StepNumber(f"ON_{mark}", one.octane, "dimensionless")
        for mark, one in (("a", low), ("b", high))
    ]
    return [
        *steps,
        Step(
            "engine.ethanol_by_moles", ENGINE, "Ethanol by moles", moles.value, "share", "x",
            "x = v rho_e/M_e/((1 - v) rho_p/M_p + v rho_e/M_e)", (volume, *densities, *masses),
            "Ideal mixing; M_p and M_e in g/mol",
        ),
        Step(
            "engine.blend_octane", ENGINE, "Octane of the blend", fuel.octane, "dimensionless",
            "ON", "ON = ON_a + (x - x_a)/(x_b - x_a) (ON_b - ON_a)", (moles, *ends, *numbers),
            "Straight by moles, SAE 2012-01-1274, from "
            f"{low.name} to {high.name}; their octane numbers from memory",
            "Of fuels as sold: weaker petrol gives less. Type the octane where known.",
        ),
    ]  # fmt: skip
