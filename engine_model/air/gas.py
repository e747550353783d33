"""Properties of dry and humid air as a mixture of ideal gases with cp(T).

The exact ideal-gas heat capacities (sums of Planck-Einstein terms) are fitted once by a
polynomial in T/1000 K, from which enthalpy and entropy follow by exact integration; the fit
holds to 4e-5 of cp over 220-620 K, far inside the real-gas difference.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.air.heat_capacity import DRY_AIR_TERMS, WATER_VAPOUR_TERMS
from engine_model.constants import (
    GAS_CONSTANT_DRY_AIR,
    VAPOUR_GAS_RATIO,
)

Floats = NDArray[np.float64]


def _horner(coefficients: tuple[Floats, ...], theta: Floats) -> Floats:
    result = np.asarray(coefficients[-1] * theta)
    for term in coefficients[-2:0:-1]:
        result += term
        result *= theta
    result += coefficients[0]
    return result


@dataclass(frozen=True, slots=True, eq=False)
class MoistAir:
    """Humid air of fixed composition, any leading shape.

    Parameters
    ----------
    gas_constant : ndarray
        Specific gas constant of the mixture. [J/(kg K)]
    heat_terms : tuple of ndarray
        Polynomial of cp in T/1000 K, lowest power first. [J/(kg K)]
    enthalpy_terms : tuple of ndarray
        The same, integrated over T and divided by T/1000 K. [J/kg]
    entropy_terms : tuple of ndarray
        The terms of the integral of cp/T without the logarithm, over T/1000 K. [J/(kg K)]
    """

    gas_constant: Floats
    heat_terms: tuple[Floats, ...]
    enthalpy_terms: tuple[Floats, ...]
    entropy_terms: tuple[Floats, ...]

    def specific_heat(self, temperature: Floats) -> Floats:
        """Isobaric specific heat [J/(kg K)] at a temperature [K]."""
        return _horner(self.heat_terms, temperature * 1e-3)

    def enthalpy(self, temperature: Floats) -> Floats:
        """Enthalpy from 0 K of the fit [J/kg] at a temperature [K]; only differences count."""
        theta = temperature * 1e-3
        result = _horner(self.enthalpy_terms, theta)
        result *= theta
        return result

    def entropy(self, temperature: Floats, log_temperature: Floats) -> Floats:
        """Temperature part of the entropy [J/(kg K)] at T [K] with ln T given."""
        theta = temperature * 1e-3
        result = _horner(self.entropy_terms, theta)
        result *= theta
        result += self.heat_terms[0] * log_temperature
        return result

    def ratio_of_specific_heats(self, temperature: Floats) -> Floats:
        """Ratio of specific heats [-] at a temperature [K]."""
        cp = self.specific_heat(temperature)
        return np.asarray(cp / (cp - self.gas_constant))

    def take(self, pick: Callable[[Floats], Floats]) -> MoistAir:
        """Return the same gas with every array passed through a function."""
        return MoistAir(
            pick(self.gas_constant),
            tuple(pick(c) for c in self.heat_terms),
            tuple(pick(c) for c in self.enthalpy_terms),
            tuple(pick(c) for c in self.entropy_terms),
        )


def moist_air(humidity_ratio: ArrayLike) -> MoistAir:
    """Humid air of a given humidity ratio.

    Parameters
    ----------
    humidity_ratio : array_like
        Mass of water vapour over mass of dry air. [-] 0-0.2.

    Returns
    -------
    MoistAir
        Gas constant and cp(T) of the mixture, of the shape of the input.

    References
    ----------
    Mixture of ideal gases; components in :mod:`engine_model.air.heat_capacity`.

    Examples
    --------
    >>> air = moist_air(0.0)
    >>> round(float(air.gas_constant), 3)
    287.053
    """
    w = np.asarray(humidity_ratio, dtype=float)
    share = 1.0 / (1.0 + w)
    terms = zip(DRY_AIR_TERMS, WATER_VAPOUR_TERMS, strict=True)
    cp = tuple(np.asarray((d + v * w) * share) for d, v in terms)
    return MoistAir(
        np.asarray(GAS_CONSTANT_DRY_AIR * (1.0 + VAPOUR_GAS_RATIO * w) * share),
        cp,
        tuple(np.asarray(c * (1000.0 / (k + 1))) for k, c in enumerate(cp)),
        tuple(np.asarray(c / k) for k, c in enumerate(cp) if k),
    )


@dataclass(frozen=True, slots=True, eq=False)
class InletGas:
    """A gas at the inlet of a compression, with what depends on its temperature alone.

    Parameters
    ----------
    air : MoistAir
        The gas.
    temperature : ndarray
        Total temperature. [K]
    log_temperature : ndarray
        Its natural logarithm. [-]
    half_inverse_heat : ndarray
        1/(2 cp) at that temperature. [kg K/J]
    enthalpy : ndarray
        Enthalpy there. [J/kg]
    entropy : ndarray
        Temperature part of the entropy there. [J/(kg K)]
    """

    air: MoistAir
    temperature: Floats
    log_temperature: Floats
    half_inverse_heat: Floats
    enthalpy: Floats
    entropy: Floats

    def take(self, pick: Callable[[Floats], Floats]) -> InletGas:
        """Return the same inlet with every array passed through a function."""
        return InletGas(
            self.air.take(pick),
            pick(self.temperature),
            pick(self.log_temperature),
            pick(self.half_inverse_heat),
            pick(self.enthalpy),
            pick(self.entropy),
        )


def inlet_gas(air: MoistAir, temperature: Floats) -> InletGas:
    """Prepare a gas at its inlet temperature [K] for :func:`compress`."""
    log_temperature = np.log(temperature)
    return InletGas(
        air,
        temperature,
        log_temperature,
        0.5 / air.specific_heat(temperature),
        air.enthalpy(temperature),
        air.entropy(temperature, log_temperature),
    )


def compress(
    inlet: InletGas, log_pressure_ratio: Floats, efficiency: Floats
) -> tuple[Floats, Floats, Floats]:
    """Temperatures and enthalpy rise of a compression, cp varying with temperature.

    Parameters
    ----------
    inlet : InletGas
        The gas at the inlet, 220-400 K total.
    log_pressure_ratio : ndarray
        Natural logarithm of the total pressure ratio. [-] -1 to 1.6.
    efficiency : ndarray
        Isentropic efficiency, total to total. [-] above 0.

    Returns
    -------
    outlet_temperature : ndarray
        Total temperature at the outlet. [K]
    rise : ndarray
        Actual enthalpy rise. [J/kg]
    isentropic_temperature : ndarray
        Outlet temperature of the isentropic compression. [K]

    Notes
    -----
    s(T2s) - s(T1) = R ln(p2/p1) by the midpoint rule and one Newton step (2e-5 K);
    h(T2) - h(T1) = (h(T2s) - h(T1))/efficiency by Newton steps (1e-8 K).

    References
    ----------
    Definition of isentropic efficiency, total to total: ISO 5389, ASME PTC 10.

    Examples
    --------
    CoolProp 8.0.0, real air, T1 298.15 K, 100 kPa, ratio 1.5, efficiency 0.70: 350.383 K.

    >>> inlet = inlet_gas(moist_air(np.zeros(1)), np.array([298.15]))
    >>> t2, rise, t2s = compress(inlet, np.log([1.5]), np.array([0.70]))
    >>> round(float(t2[0]), 1)
    350.4
    """
    air, t1 = inlet.air, inlet.temperature
    log_rise = air.gas_constant * log_pressure_ratio
    cp = air.specific_heat(t1 * np.exp(log_rise * inlet.half_inverse_heat))
    x = log_rise / cp
    t2s = t1 * np.exp(x)
    residual = air.entropy(t2s, inlet.log_temperature + x)
    residual -= inlet.entropy
    residual -= log_rise
    residual /= cp
    t2s -= t2s * residual
    isentropic_rise = air.enthalpy(t2s) - inlet.enthalpy
    rise = isentropic_rise / efficiency
    target = inlet.enthalpy + rise
    t2 = t2s + (rise - isentropic_rise) / cp
    cp = air.specific_heat(t2)
    for _ in range(2):
        error = target - air.enthalpy(t2)
        error /= cp
        t2 += error
    return t2, rise, t2s


def efficiency_from_temperatures(
    air: MoistAir,
    inlet_temperature: Floats,
    outlet_temperature: Floats,
    log_pressure_ratio: Floats,
) -> Floats:
    """Isentropic efficiency, total to total, of a measured compression.

    Parameters
    ----------
    air : MoistAir
        The gas.
    inlet_temperature, outlet_temperature : ndarray
        Total temperatures. [K] 220-620.
    log_pressure_ratio : ndarray
        Natural logarithm of the total pressure ratio. [-]

    Returns
    -------
    ndarray
        Isentropic enthalpy rise over the actual one. [-]

    References
    ----------
    ISO 5389; ASME PTC 10.

    Examples
    --------
    >>> t1, t2 = np.array([298.15]), np.array([350.383])
    >>> air = moist_air(np.zeros(1))
    >>> round(float(efficiency_from_temperatures(air, t1, t2, np.log([1.5]))[0]), 3)
    0.7
    """
    inlet = inlet_gas(air, inlet_temperature)
    _, rise, _ = compress(inlet, log_pressure_ratio, np.ones_like(inlet_temperature))
    return np.asarray(rise / (air.enthalpy(outlet_temperature) - inlet.enthalpy))
