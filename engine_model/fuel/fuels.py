"""Fuels: a table, and blends by volume."""

from __future__ import annotations

from dataclasses import dataclass

from engine_model.constants import MOLAR_MASS_AIR
from engine_model.errors import InputError


@dataclass(frozen=True, slots=True)
class Fuel:
    """A fuel.

    Parameters
    ----------
    name : str
        Its name.
    stoichiometric_ratio : float
        Stoichiometric mass of air over mass of fuel. [-]
    heating_value : float
        Lower heating value. [J/kg]
    heat_of_vaporisation : float
        Heat of vaporisation. [J/kg]
    molar_mass : float
        Molar mass. [g/mol]
    density : float
        Liquid density. [kg/m3]
    octane : float
        Research octane number; from memory. [-]
    """

    name: str
    stoichiometric_ratio: float
    heating_value: float
    heat_of_vaporisation: float
    molar_mass: float
    density: float
    octane: float

    @property
    def vapour_share_at_stoichiometric(self) -> float:
        """Moles of fuel over moles of air at stoichiometric mixture [-]."""
        return MOLAR_MASS_AIR / self.molar_mass / self.stoichiometric_ratio


def blend(name: str, base: Fuel, other: Fuel, volume_fraction: float, octane: float) -> Fuel:
    """Ideal blend of two fuels.

    Parameters
    ----------
    name : str
        Its name.
    base, other : Fuel
        The two fuels.
    volume_fraction : float
        Volume of the second over the whole. [-] 0-1.
    octane : float
        Research octane number of the blend, which does not follow from the parts. [-]

    Returns
    -------
    Fuel
        Properties by mass, molar mass by moles, density by volume.

    References
    ----------
    Ideal mixing; base values Heywood, 1st ed., table D.4 (from memory, sure).

    Examples
    --------
    >>> round(blend("x", PETROL, ETHANOL, 0.1, 95.0).stoichiometric_ratio, 4)
    14.0131
    """
    if not 0.0 <= volume_fraction <= 1.0:
        raise InputError("volume_fraction", volume_fraction, "0 to 1")
    density = base.density + volume_fraction * (other.density - base.density)
    m = volume_fraction * other.density / density

    def by_mass(a: float, b: float) -> float:
        return a + m * (b - a)

    return Fuel(
        name,
        by_mass(base.stoichiometric_ratio, other.stoichiometric_ratio),
        by_mass(base.heating_value, other.heating_value),
        by_mass(base.heat_of_vaporisation, other.heat_of_vaporisation),
        1.0 / ((1.0 - m) / base.molar_mass + m / other.molar_mass),
        density,
        octane,
    )


# Heywood, 1st ed., table D.4 (from memory, sure); densities from handbooks, from memory;
# octane numbers from memory.
PETROL = Fuel("petrol", 14.6, 44.0e6, 305e3, 110.0, 745.0, 95.0)
ETHANOL = Fuel("ethanol", 9.0, 26.9e6, 840e3, 46.07, 785.0, 109.0)
METHANOL = Fuel("methanol", 6.47, 20.0e6, 1103e3, 32.04, 792.0, 109.0)
E10 = blend("E10", PETROL, ETHANOL, 0.10, 95.0)
E85 = blend("E85", PETROL, ETHANOL, 0.85, 105.0)

FUELS: dict[str, Fuel] = {fuel.name: fuel for fuel in (PETROL, E10, E85, ETHANOL, METHANOL)}


def fuel_named(name: str, field: str = "engine.fuel") -> Fuel:
    """Fuel of a name, or an :class:`InputError` that lists the known ones."""
    if name not in FUELS:
        raise InputError(field, name, "one of " + ", ".join(FUELS))
    return FUELS[name]
