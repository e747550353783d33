"""Volume flows that the trade states by mass: an injector of 42 lb/h."""

from __future__ import annotations

from dataclasses import dataclass

from engine_model.errors import InputError
from engine_model.units import PressureBasis, parse_quantity

DENSITY_OF: dict[str, str] = {
    "fuel_system.injector_flow": "fuel_system.injector_rating_density",
}
"""Input with the density at which a flow is stated, by the flow's path."""


@dataclass(frozen=True, slots=True)
class ByMass:
    """A typed value.

    Parameters
    ----------
    value_si : float
        The value, SI.
    unit_symbol : str
        Unit in which it was typed.
    pressure_basis : str or None
        ``gauge`` or ``absolute`` where the text says so.
    by_density : float or None
        Density by which a mass flow became a volume flow [kg/m3].
    """

    value_si: float
    unit_symbol: str
    pressure_basis: PressureBasis | None = None
    by_density: float | None = None


def parse_by_mass(text: str, quantity: str, field: str, density: float | None = None) -> ByMass:
    """SI value of a typed text; with a density, a volume flow may be typed as a mass flow.

    Parameters
    ----------
    text : str
        What was typed.
    quantity : str
        Kind of unit.
    field : str
        Name of the input, for the message.
    density : float, optional
        Of the liquid [kg/m3].

    Returns
    -------
    ByMass
        The value.

    Examples
    --------
    >>> round(parse_by_mass("1 lb/h", "volume_flow", "flow", 720.0).value_si * 60e6, 1)  # trade
    10.5
    """
    try:
        parsed = parse_quantity(text, quantity, field=field)
    except InputError:
        if density is None:
            raise
        try:
            mass = parse_quantity(text, "mass_flow", field=field)
        except InputError:
            mass = None
        if mass is None:
            raise
        return ByMass(mass.value_si / density, mass.unit_symbol, None, density)
    return ByMass(parsed.value_si, parsed.unit_symbol, parsed.pressure_basis)
