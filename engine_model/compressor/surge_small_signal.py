"""Small motions about a settled point: B, Helmholtz frequency, growth, and where it turns unstable."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surge_characteristic import Curve
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


def _slopes_of(flow: Callable[[float], float], at: float, step: float) -> float:
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
    step = 1e-6 * plenum
    up = _slopes_of(lambda p: orifice(part_area, p, manifold), plenum, step)
    down = _slopes_of(lambda p: orifice(part_area, plenum, p), manifold, step)
    pull, stiff, soft = plant.inertance, plant.plenum_stiffness, plant.manifold_stiffness
    if plant.engine is None:
        return np.array([[pull * slope, -pull], [stiff, -stiff * up]])
    swallowing, engine = of("swallowing", "value", False), plant.engine
    behind = engine.behind(plenum, plant.ambient_pressure)
    taken = _slopes_of(lambda p: engine.flow(swallowing, p, behind), manifold, step)
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


@dataclass(frozen=True, slots=True, eq=False)
class Limit:
    """Where a speed line turns unstable for small motions, beside the traced surge line.

    Parameters
    ----------
    corrected_speed : float
        The line. [rpm]
    flow, pressure_ratio : float
        The limit, corrected. [kg/s], [-]
    traced_flow : float
        Flow on the traced surge line. [kg/s]
    peak_flow : float
        Flow of the characteristic's highest point. [kg/s]
    """

    corrected_speed: float
    flow: float
    pressure_ratio: float
    traced_flow: float
    peak_flow: float

    @property
    def gap(self) -> float:
        """Limit less traced flow, over the traced flow; below 0 it lies left [-]."""
        return self.flow / self.traced_flow - 1.0


def stability_limit(
    ratio: Curve,
    ends: tuple[float, float],
    excess: Callable[[float, float, float], float],
    steps: int = 240,
) -> float:
    """Largest flow of a line at which small motions begin to grow.

    Parameters
    ----------
    ratio : Curve
        Pressure ratio over flow. [-], [kg/s]
    ends : tuple of float
        Least and largest flow looked at. [kg/s]
    excess : callable
        Of flow, pressure ratio and its slope: above 0 where motions grow.
    steps : int
        Steps of the first look.

    Returns
    -------
    float
        Flow [kg/s]; nan where nothing grows between the ends.

    References
    ----------
    None: bisection from the right.
    """
    low, high = ends

    def grows(flow: float) -> bool:
        return excess(flow, ratio.value(flow), ratio.slope(flow)) > 0.0

    places = np.linspace(high, low, steps + 1).tolist()
    last = places[0]
    for place in places:
        if grows(place):
            if place == last:
                return place
            left, right = place, last
            for _ in range(50):
                middle = 0.5 * (left + right)
                left, right = (middle, right) if grows(middle) else (left, middle)
            return 0.5 * (left + right)
        last = place
    return math.nan


def throttled_excess(
    inertance: float,
    stiffness: float,
    pressure: float,
    back: float,
    to_actual: float = 1.0,
    gamma: float = 1.4,
) -> Callable[[float, float, float], float]:
    """Growth of small motions on a speed line, throttled to a constant pressure.

    Parameters
    ----------
    inertance : float
        Area over length of the duct. [m]
    stiffness : float
        a^2/V of the plenum. [Pa/kg]
    pressure : float
        Total pressure at the compressor's inlet. [Pa]
    back : float
        Pressure behind the throttle. [Pa]
    to_actual : float
        Actual over corrected flow. [-]
    gamma : float
        Ratio of specific heats. [-]

    Returns
    -------
    callable
        For :func:`stability_limit`: of corrected flow, pressure ratio and its slope. [1/s]

    References
    ----------
    Trace of the linearised model: (A/L) dp_c/dW - (a^2/V) dW_T/dp_p.
    """
    orifice = two_way_orifice(gamma)

    def excess(flow: float, ratio: float, slope: float) -> float:
        plenum = ratio * pressure
        unit = orifice(1.0, plenum, back)
        if unit <= 0.0:
            return 1.0
        step = 1e-6 * plenum
        per_unit = _slopes_of(lambda p: orifice(1.0, p, back), plenum, step)
        passed = per_unit / unit * flow * to_actual
        driven = slope * pressure / to_actual
        grows = inertance * driven - stiffness * passed
        return max(grows, driven - 1.0 / passed if passed > 0.0 else grows)

    return excess
