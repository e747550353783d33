"""The model's functions for the reference rows of surge, and plants that the tests share."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from engine_model.compressor.surge_characteristic import characteristic, zero_flow_ratio
from engine_model.compressor.surge_plant import BypassValve, SurgePlant, speed_row
from engine_model.compressor.surge_small_signal import (
    critical_b,
    greitzer_b,
    helmholtz_frequency,
)

Values = Mapping[str, float]

# the literature's set: cubic on rho U^2/2, throttle through phi 0.4
H, W, AT_NO_FLOW, PHI = 0.18, 0.25, 0.30, 0.4
B_CRITICAL = 0.68174589

# air of 1.2 kg/m3 at 1 bar and 1 m/s: pressures so small that the orifice is incompressible
AMBIENT, DENSITY, SPEED, SOUND, AREA, LENGTH = 1e5, 1.2, 1.0, 340.0, 0.01, 1.0
HALF_HEAD = 0.5 * DENSITY * SPEED**2
UNIT_FLOW = DENSITY * SPEED * AREA
ENGINE_SPEED = 1000.0


def cubic(phi, h=H, w=W, at_no_flow=AT_NO_FLOW):
    x = np.asarray(phi) / w - 1.0
    return at_no_flow + h * (1.0 + 1.5 * x - 0.5 * x**3)


def cubic_slope(phi, h=H, w=W):
    return 1.5 * h / w * (1.0 - (np.asarray(phi) / w - 1.0) ** 2)


def literature_plant(b, flat=False, **values):
    """Plant of the literature's set at a B, the throttle leading to the open."""
    phi = np.linspace(-0.6, 1.2, 181)
    psi, slope = cubic(phi), cubic_slope(phi)
    if flat:
        psi, slope = np.full(phi.size, cubic(PHI)), np.zeros(phi.size)
    temperature = AMBIENT / DENSITY / 287.053
    row = speed_row(
        (ENGINE_SPEED, ENGINE_SPEED),
        (2.0 * W * UNIT_FLOW, UNIT_FLOW),
        phi * UNIT_FLOW,
        (AMBIENT + HALF_HEAD * psi, HALF_HEAD * slope / UNIT_FLOW),
        1.0 / np.sqrt(287.053 * temperature),
    )
    volume = (2.0 * b * SOUND / SPEED) ** 2 * AREA * LENGTH
    return SurgePlant((row,), LENGTH, AREA, volume, 1.0, SOUND, AMBIENT, even_share=1e-9, **values)


def literature_throttle():
    """Effective area through (0.4, psi(0.4)) of the incompressible throttle."""
    return PHI * UNIT_FLOW / np.sqrt(2.0 * DENSITY * HALF_HEAD * float(cubic(PHI)))


def literature_start(push=0.005):
    """Settled at phi 0.4 and pushed off it in flow."""
    return [(PHI + push) * UNIT_FLOW, AMBIENT + HALF_HEAD * float(cubic(PHI)), AMBIENT,
            0.0, 0.0, 0.0, 0.0]  # fmt: skip


def no_valve():
    return BypassValve()


def _stability(x: Values) -> Values:
    slope = float(cubic_slope(x["phi0"], x["H"], x["W"]))
    psi = float(cubic(x["phi0"], x["H"], x["W"], x["psi_c0"]))
    throttle = 2.0 * psi / x["phi0"]  # of phi = g sqrt(psi)
    curve = _curve(x)
    return {
        "dpsi_c_dphi": curve.slope(x["phi0"]),
        "dpsi_t_dphi": throttle,
        "B_crit": critical_b(curve.slope(x["phi0"]), throttle),
        # the same numbers read on rho U^2 are twice as steep on rho U^2/2
        "B_crit_if_psi_is_dp_over_rhoU2": critical_b(2.0 * slope, 2.0 * throttle),
    }


def _curve(x: Values):
    """The model's characteristic of a line that is level at surge (2 W)."""
    top = x["psi_c0"] + 2.0 * x["H"]
    flow = 2.0 * x["W"] * np.array([1.0, 1.1, 1.2])
    return characteristic(flow, [top, top, 0.9 * top], x["psi_c0"])


def _cubic(x: Values) -> Values:
    curve = _curve(x)
    return {
        "psi_at_0": curve.value(0.0),
        "psi_at_W": curve.value(x["W"]),
        "psi_at_2W": curve.value(2.0 * x["W"]),
        "slope_at_W": curve.slope(x["W"]),
    }


def _without_flow(x: Values) -> Values:
    turn = x["N"] * np.pi / 30.0
    u2, u1 = turn * x["r2"], turn * x["r1"]
    return {"PR0": float(zero_flow_ratio(u2, u1, x["T01"], x["cp"]))}


def _greitzer(x: Values) -> Values:
    duct = (x["Vp"], x["Ac"], x["Lc"])
    return {
        "B": greitzer_b(x["U2"], x["a"], *duct),
        "f_H": helmholtz_frequency(x["a"], *duct),
    }


FUNCTIONS: dict[str, Callable[[Values], Values]] = {
    "Greitzer B": _greitzer,
    "surge cubic": _cubic,
    "surge stability": _stability,
    "ratio without flow": _without_flow,
}
