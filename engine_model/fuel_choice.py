"""What the engine of a build burns."""

from __future__ import annotations

from dataclasses import replace

from engine_model.fuel.fuels import ETHANOL_SHARES, Fuel, fuel_named, petrol_with_ethanol
from engine_model.sections import Engine


def fuel_of(engine: Engine) -> Fuel:
    """Fuel that an engine runs on.

    Parameters
    ----------
    engine : Engine
        The engine; the fuel of its stock figures is another matter.

    Returns
    -------
    Fuel
        The fuel of its name, or petrol and ethanol by the share given; a typed octane number wins
        over either's.

    References
    ----------
    As ``petrol_with_ethanol``.
    """
    share = engine.ethanol_share
    fuel = fuel_named(engine.fuel) if share is None else petrol_with_ethanol(share)
    return fuel if engine.octane is None else replace(fuel, octane=engine.octane)


def ethanol_share_of(engine: Engine) -> float | None:
    """Ethanol over the whole by volume [-]; nothing where the fuel is neither petrol nor ethanol.

    Parameters
    ----------
    engine : Engine
        The engine.

    Returns
    -------
    float or None
        As given, or as the fuel's name says.

    References
    ----------
    Definition of the names.
    """
    given = engine.ethanol_share
    return ETHANOL_SHARES.get(engine.fuel) if given is None else given
