"""The strips across engine speed: one row of the registry each."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.present.series_axes import ChartUnits
from engine_model.fuel_run import fuel_run
from engine_model.inputs import Build
from engine_model.results import Match, OperatingLine

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Strip:
    """One row of the registry.

    Parameters
    ----------
    key : str
        Stable name.
    title : str
        What the strip shows.
    quantity : str
        Quantity of the table of units.
    unit_of : callable
        Its display unit among the charts' units.
    fields : tuple of (str, str, str)
        Field of the operating line or of ``COMPUTED``, name of its curve, style.
    bounds : callable
        Bounds of a match, SI: (value, words with {} for its text, forbidden side).
    from_zero : bool
        Whether the range always holds zero.
    target : bool
        Whether the promised power belongs here.
    floor : float
        The range goes no lower than this, SI; what lies under it harms nothing.
    held : bool
        Whether the first curve is also shown as if the belt held, where it slips.
    of_knock : bool
        Whether the fields are those of the estimate of knock.
    """

    key: str
    title: str
    quantity: str
    unit_of: Callable[[ChartUnits], str]
    fields: tuple[tuple[str, str, str], ...]
    bounds: Callable[[Match], Iterable[tuple[float | None, str, str]]] = lambda match: ()
    from_zero: bool = True
    target: bool = False
    floor: float = float("-inf")
    held: bool = False
    of_knock: bool = False


def _grip_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    if match.build.drive.kind == "belt":
        yield 1.0, "grip {}", "above"


def _retard_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.knock_retard, "most {}", "above"


def _cylinder_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.cylinder_pressure, "bound {}", "above"


def _impeller_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    blower = match.build.blower
    cmap = blower.compressor_map
    if match.build.drive.kind == "none" or cmap is None:
        return
    known = [v for v in (cmap.maximum_speed, blower.maximum_impeller_speed) if v is not None]
    yield min(known, default=None), "maximum {}", "above"


def _surge_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    bounds = match.build.bounds
    judged = f"judged above PR {bounds.surge_judged_above:.2f}"
    yield bounds.surge_margin, f"least {{}}, {judged}", "below"


def _choke_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.choke_margin, "least {}", "below"


def _charge_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.charge_temperature, "bound {}", "above"


def _duty_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.injector_duty, "bound {}", "above"


def _exhaust_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.exhaust_pressure, "bound {}", "above"


def _torque_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.torque, "bound {}", "above"


def _power_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.power, "bound, flywheel {}", "above"


def _exhaust_gauge(build: Build, line: OperatingLine) -> Floats:
    ambient = line.manifold_pressure_pa - line.boost_gauge_pa
    return np.asarray(line.exhaust_pressure_pa - ambient)


COMPUTED: dict[str, Callable[[Build, OperatingLine], Floats]] = {
    "injector_duty": lambda build, line: fuel_run(build, line).duty,
    "exhaust_gauge_pa": _exhaust_gauge,
}
"""Curves that are no field of the operating line."""


def curve_values(build: Build, line: OperatingLine, name: str) -> Floats:
    """Values of a curve of a strip along a line, SI."""
    if name in COMPUTED:
        return COMPUTED[name](build, line)
    return np.asarray(getattr(line, name))


def _boost_bound(match: Match) -> Iterable[tuple[float | None, str, str]]:
    yield match.build.bounds.boost, "bound {}", "above"
    yield match.build.bypass.boost_cap, "bypass cap {}", "none"


STRIPS: tuple[Strip, ...] = (
    Strip(
        "boost",
        "Boost, gauge",
        "pressure",
        lambda u: u.pressure,
        (("boost_gauge_pa", "boost", "main"),),
        _boost_bound,
        held=True,
    ),
    Strip(
        "power",
        "Power, as on the day",
        "power",
        lambda u: u.power,
        (("flywheel_power_w", "flywheel", "main"), ("wheel_power_w", "wheel", "second")),
        _power_bound,
        target=True,
    ),
    Strip(
        "torque",
        "Torque, flywheel",
        "torque",
        lambda u: u.torque,
        (("flywheel_torque_nm", "flywheel", "main"),),
        _torque_bound,
    ),
    Strip(
        "charge_temperature",
        "Charge temperature",
        "temperature",
        lambda u: u.temperature,
        (("manifold_temperature_k", "manifold", "main"),),
        _charge_bound,
        from_zero=False,
    ),
    Strip(
        "impeller_speed",
        "Impeller speed",
        "speed",
        lambda u: "rpm",
        (("impeller_speed_rpm", "impeller", "main"),),
        _impeller_bound,
        held=True,
    ),
    Strip(
        "corrected_speed",
        "Corrected speed",
        "speed",
        lambda u: "rpm",
        (("corrected_speed_rpm", "corrected", "main"),),
    ),
    Strip(
        "efficiency",
        "Compressor efficiency",
        "dimensionless",
        lambda u: "%",
        (("efficiency", "efficiency", "main"),),
        from_zero=False,
    ),
    Strip(
        "surge_margin",
        "Surge margin",
        "dimensionless",
        lambda u: "%",
        (
            ("surge_margin", "margin", "main"),
            ("surge_margin_low", "lower edge", "edge"),
            ("surge_margin_high", "upper edge", "edge"),
        ),
        _surge_bound,
        floor=-0.10,
    ),
    Strip(
        "choke_margin",
        "Choke margin",
        "dimensionless",
        lambda u: "%",
        (("choke_margin", "margin", "main"),),
        _choke_bound,
        floor=-0.10,
    ),
    Strip(
        "drive_power",
        "Drive power of the blower",
        "power",
        lambda u: u.power,
        (("drive_power_w", "drive", "main"),),
    ),
    Strip(
        "knock",
        "Less advance than stock, estimate",
        "angle",
        lambda u: "deg",
        (
            ("retard_deg", "about", "main"),
            ("retard_low_deg", "lower edge", "edge"),
            ("retard_high_deg", "upper edge", "edge"),
        ),
        _retard_bound,
        of_knock=True,
    ),
    Strip(
        "cylinder_pressure",
        "Peak cylinder pressure, estimate",
        "pressure",
        lambda u: u.pressure,
        (
            ("peak_pressure_unretarded_pa", "stock spark", "main"),
            ("peak_pressure_pa", "advance given up", "second"),
        ),
        _cylinder_bound,
        of_knock=True,
    ),
    Strip(
        "belt",
        "Belt: grip asked, slip",
        "dimensionless",
        lambda u: "%",
        (("belt_grip_used", "grip asked", "main"), ("belt_slip", "slip", "second")),
        _grip_bound,
    ),
    Strip(
        "belt_tension",
        "Belt: effective tension",
        "force",
        lambda u: "lbf" if u.power == "hp" else "N",
        (("belt_effective_tension_n", "effective tension", "main"),),
        held=True,
    ),
    Strip(
        "injector_duty",
        "Injector duty",
        "dimensionless",
        lambda u: "%",
        (("injector_duty", "duty", "main"),),
        _duty_bound,
        held=True,
    ),
    Strip(
        "fuel_flow",
        "Fuel flow",
        "mass_flow",
        lambda u: "lb/h" if u.power == "hp" else "kg/h",
        (("fuel_flow_kg_s", "fuel", "main"),),
        held=True,
    ),
    Strip(
        "exhaust_pressure",
        "Exhaust pressure at the port, gauge",
        "pressure",
        lambda u: u.pressure,
        (("exhaust_gauge_pa", "exhaust", "main"),),
        _exhaust_bound,
        held=True,
    ),
)
"""Every strip, in the order offered."""

STRIP_OF: dict[str, Strip] = {strip.key: strip for strip in STRIPS}

HELD = "if the belt holds"
"""Name of a curve with no belt slip."""

USUAL_STRIPS = ("boost", "power", "charge_temperature", "surge_margin")
"""The strips shown unless the user chooses others."""
