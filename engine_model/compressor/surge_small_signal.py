"""Small motions about a settled point: B, Helmholtz frequency, growth and frequency."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surge_orifice import two_way_orifice
from engine_model.compressor.surge_plant import SurgePlant

Floats = NDArray[np.float64]

ON_HALF, ON_WHOLE = 0.5, 1.0
"""Share of rho U^2 that pressures are counted on [-]."""


def helmholtz_frequency(sound_speed: float, volume: float, area: float, length: float) -> float:
    """Frequency at which plenum and duct ring without a compressor.

    Parameters
    ----------
    sound_speed : float
        In the plenum. [m/s]
    volume : float
        Of the plenum. [m3]
    area, length : float
        Of the duct. [m2], [m]

    Returns
    -------
    float
        Frequency. [Hz]

    References
    ----------
    Greitzer, ASME J. Eng. Power 98 (1976) 190: a/(2 pi) sqrt(A/(V L)).

    Examples
    --------
    >>> round(helmholtz_frequency(360.0, 0.006, 0.002, 0.4), 6)
    52.303651
    """
    return sound_speed / (2.0 * math.pi) * math.sqrt(area / (volume * length))


def greitzer_b(
    tip_speed: float,
    sound_speed: float,
    volume: float,
    area: float,
    length: float,
    pressure_on: float = ON_HALF,
) -> float:
    """Greitzer's B: how much the plenum can push against what the duct can hold.

    Parameters
    ----------
    tip_speed : float
        Of the impeller. [m/s]
    sound_speed : float
        In the plenum. [m/s]
    volume : float
        Of the plenum. [m3]
    area, length : float
        Of the duct. [m2], [m]
    pressure_on : float
        0.5 where pressures are counted on rho U^2/2, 1 on rho U^2. [-]

    Returns
    -------
    float
        B. [-] On rho U^2 a curve's slopes are half as large and B twice.

    References
    ----------
    Greitzer, ASME J. Eng. Power 98 (1976) 190: U/(2 a) sqrt(V/(A L)).

    Examples
    --------
    >>> round(greitzer_b(300.0, 360.0, 0.006, 0.002, 0.4), 7)
    1.1410887
    """
    whole = tip_speed / (2.0 * sound_speed) * math.sqrt(volume / (area * length))
    return whole * (pressure_on / ON_HALF)


def critical_b(compressor_slope: float, throttle_slope: float) -> float:
    """B at which a settled point turns unstable.

    Parameters
    ----------
    compressor_slope, throttle_slope : float
        Slopes of pressure over flow coefficient, on the same share of rho U^2 as B. [-]

    Returns
    -------
    float
        Critical B [-]; infinite where the compressor's slope is not positive.

    References
    ----------
    Unstable when B^2 psi_c' psi_T' > 1, from the two states linearised; besides that, always
    when psi_c' > psi_T'.

    Examples
    --------
    >>> round(critical_b(0.6912, 3.1128), 5)
    0.68175
    """
    if compressor_slope <= 0.0:
        return math.inf
    return 1.0 / math.sqrt(compressor_slope * throttle_slope)


@dataclass(frozen=True, slots=True, eq=False)
class SmallMotion:
    """What a small push does at a settled point.

    Parameters
    ----------
    eigenvalues : ndarray of complex
        Of flow, plenum and manifold (two where there is no engine), most growing first. [1/s]
    growth_rate : float
        Largest real part; below 0 it dies away. [1/s]
    frequency : float
        Of that motion. [Hz] 0 where it does not swing
    compressor_slope : float
        Slope of the characteristic there. [Pa s/kg]
    """

    eigenvalues: NDArray[np.complex128]
    growth_rate: float
    frequency: float
    compressor_slope: float


def slope_of(flow: Callable[[float], float], at: float, step: float) -> float:
    """Slope of a function by a central difference.

    Parameters
    ----------
    flow : callable
        The function, such as of flow over pressure. [any unit]
    at, step : float
        Where, and half the width. [any unit]

    Returns
    -------
    float
        Slope. [any unit]

    References
    ----------
    None: the central difference.
    """
    return (flow(at + step) - flow(at - step)) / (2.0 * step)


def jacobian(plant: SurgePlant, state: list[float], area: float, engine_speed: float) -> Floats:
    """Rates of flow, plenum and manifold over themselves at a state, the valve shut.

    Parameters
    ----------
    plant : SurgePlant
        The plant; the charge's temperature is held.
    state : list of float
        Flow [kg/s], plenum and manifold pressure [Pa].
    area : float
        Effective throttle area. [m2]
    engine_speed : float
        Engine speed. [rpm]

    Returns
    -------
    ndarray, shape (3, 3) or (2, 2)
        Two states where the throttle leads to the open. [SI]

    References
    ----------
    Greitzer's model linearised.
    """
    low, high, share = plant.between(engine_speed)
    surge = low.surge_flow + (high.surge_flow - low.surge_flow) * share
    flow, plenum, manifold = state[0], state[1], state[2]
    part = flow / surge

    def of(name: str, order: str, scaled: bool) -> float:
        total = 0.0
        for row, weight in ((low, 1.0 - share), (high, share)):
            factor = row.surge_flow / surge if scaled else 1.0
            total += weight * factor * getattr(getattr(row, name), order)(part * row.surge_flow)
        return total

    slope = of("pressure", "slope", True)
    part_area = area * of("thinness", "value", False)
    orifice = two_way_orifice(plant.gamma, plant.even_share)
    step = max(1e-4 * abs(plenum - manifold), 1e-9 * plenum)
    up = slope_of(lambda p: orifice(part_area, p, manifold), plenum, step)
    down = slope_of(lambda p: orifice(part_area, plenum, p), manifold, step)
    pull, stiff, soft = plant.inertance, plant.plenum_stiffness, plant.manifold_stiffness
    if plant.engine is None:
        return np.array([[pull * slope, -pull], [stiff, -stiff * up]])
    swallowing, engine = of("swallowing", "value", False), plant.engine
    behind = engine.behind(plenum, plant.ambient_pressure)
    taken = slope_of(lambda p: engine.flow(swallowing, p, behind), manifold, 1e-6 * manifold)
    return np.array(
        [
            [pull * slope, -pull, 0.0],
            [stiff, -stiff * up, -stiff * down],
            [0.0, soft * up, soft * (down - taken)],
        ]
    )


def small_motion(
    plant: SurgePlant, state: list[float], area: float, engine_speed: float
) -> SmallMotion:
    """Growth and frequency of small motions at a settled state.

    Parameters
    ----------
    plant : SurgePlant
        The plant.
    state : list of float
        Flow [kg/s], plenum and manifold pressure [Pa].
    area : float
        Effective throttle area. [m2]
    engine_speed : float
        Engine speed. [rpm]

    Returns
    -------
    SmallMotion
        Eigenvalues and what they mean.

    References
    ----------
    Eigenvalues of :func:`jacobian`.
    """
    matrix = jacobian(plant, state, area, engine_speed)
    values = np.linalg.eigvals(matrix).astype(complex)
    values = values[np.argsort(-values.real)]
    return SmallMotion(
        values,
        float(values[0].real),
        float(abs(values[0].imag) / (2.0 * math.pi)),
        float(matrix[0, 0] / plant.inertance),
    )
