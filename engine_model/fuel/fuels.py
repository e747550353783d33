"""Fuels: a table, and blends by volume."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

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

ETHANOL_SHARES: Final = {PETROL.name: 0.0, "E10": 0.10, "E85": 0.85, ETHANOL.name: 1.0}
"""Ethanol by volume in the fuels that are petrol, ethanol or both [-], by the fuel's name."""

E10 = blend("E10", PETROL, ETHANOL, ETHANOL_SHARES["E10"], 95.0)
E85 = blend("E85", PETROL, ETHANOL, ETHANOL_SHARES["E85"], 105.0)

FUELS: dict[str, Fuel] = {fuel.name: fuel for fuel in (PETROL, E10, E85, ETHANOL, METHANOL)}


def fuel_named(name: str, field: str = "engine.fuel") -> Fuel:
    """Fuel of a name, or an :class:`InputError` that lists the known ones."""
    if name not in FUELS:
        raise InputError(field, name, "one of " + ", ".join(FUELS))
    return FUELS[name]


def molar_share(base: Fuel, other: Fuel, volume_fraction: float) -> float:
    """Moles of the second of two fuels over those of their blend.

    Parameters
    ----------
    base, other : Fuel
        The two fuels.
    volume_fraction : float
        Volume of the second over the whole. [-] 0-1.

    Returns
    -------
    float
        Molar share of the second. [-]

    References
    ----------
    Ideal mixing.

    Examples
    --------
    Of 85 % by volume, by hand: 0.15 745/110 = 1.015909 and 0.85 785/46.07 = 14.483395 kmol/m3.

    >>> round(molar_share(PETROL, ETHANOL, 0.85), 5)
    0.93445
    """
    first = (1.0 - volume_fraction) * base.density / base.molar_mass
    second = volume_fraction * other.density / other.molar_mass
    return second / (first + second)


def named_neighbours(share: float) -> tuple[Fuel, Fuel]:
    """Fuels of the table with the next smaller and the next greater share of ethanol.

    Parameters
    ----------
    share : float
        Ethanol over the whole by volume. [-] 0-1.

    Returns
    -------
    tuple of Fuel
        Leaner and richer in ethanol.

    References
    ----------
    Definition of the names.

    Examples
    --------
    >>> [fuel.name for fuel in named_neighbours(0.7)]
    ['E10', 'E85']
    """
    names = sorted(ETHANOL_SHARES, key=lambda name: ETHANOL_SHARES[name])
    right = next(i for i in range(1, len(names)) if share <= ETHANOL_SHARES[names[i]])
    return FUELS[names[right - 1]], FUELS[names[right]]


def ethanol_octane(share: float) -> float:
    """Research octane number of petrol with ethanol, as of the fuels sold.

    Parameters
    ----------
    share : float
        Ethanol over the whole by volume. [-] 0-1.

    Returns
    -------
    float
        That of the table at its named fuels, straight by moles between two neighbours. [-]

    References
    ----------
    Straight by moles: Octane numbers of ethanol-gasoline blends, SAE
    2012-01-1274, abstract. Fuels as sold are mixed from weaker petrol, so that the named ones
    stand under one line from petrol to ethanol; their numbers are from memory.

    Examples
    --------
    Between E10 and E85 by hand: molar shares 0.218470 and 0.934455, of 70 % 0.854447, so that
    95 + 10 (0.854447 - 0.218470)/(0.934455 - 0.218470).

    >>> round(ethanol_octane(0.7), 2)
    103.88
    """
    low, high = named_neighbours(share)
    x, x_low, x_high = (
        molar_share(PETROL, ETHANOL, v)
        for v in (share, ETHANOL_SHARES[low.name], ETHANOL_SHARES[high.name])
    )
    return low.octane + (x - x_low) / (x_high - x_low) * (high.octane - low.octane)


def petrol_with_ethanol(share: float) -> Fuel:
    """Blend of the table's petrol and ethanol, named by its share.

    Parameters
    ----------
    share : float
        Ethanol over the whole by volume. [-] 0-1.

    Returns
    -------
    Fuel
        Exactly the table's petrol at 0 and its ethanol at 1; between them as :func:`blend`, the
        research octane number as :func:`ethanol_octane`.

    References
    ----------
    Ideal mixing by volume, properties by mass.

    Examples
    --------
    At the share of a named fuel its numbers, as the definition asks:

    >>> petrol_with_ethanol(0.85).octane
    105.0
    """
    for end in (PETROL, ETHANOL):
        if share == ETHANOL_SHARES[end.name]:
            return end
    name = f"petrol with {100.0 * share:g} % ethanol by volume"
    return blend(name, PETROL, ETHANOL, share, ethanol_octane(share))


def check_ethanol_share(name: str, share: float | None) -> None:
    """Raise an :class:`InputError` where a fuel of a name cannot carry a share of ethanol.

    Parameters
    ----------
    name : str
        The fuel's name.
    share : float or None
        Ethanol over the whole by volume; blank is always allowed. [-]
    """
    if share is not None and name not in ETHANOL_SHARES:
        given = f"{100.0 * share:g} % with {name} as the fuel"
        raise InputError("engine.ethanol_share", given, share_allowed(name))


def share_allowed(name: str) -> str:
    """What is allowed beside a fuel that carries no share of ethanol, in words."""
    return f"blank with {name}; a share with " + ", ".join(ETHANOL_SHARES)
