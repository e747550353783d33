"""Rows of the table of defaults for surge in time: ducts, throttle, bypass valve, scenes."""

from __future__ import annotations

from typing import Final

from engine_model.default_row import CHOSEN, Default

_D = Default
_OUTLET: Final = "derived: a circle of 0.65 of the impeller's outlet diameter, " + CHOSEN
_THROTTLE: Final = "derived: 40 mm times the root of the displacement in litres, " + CHOSEN
_LENGTH: Final = "a length to tune by, of the air that moves as one; " + CHOSEN
_OPENS: Final = "full open at 1.5 times that; " + CHOSEN
_RADIUS: Final = "authors differ: a band between none and tip; " + CHOSEN

SURGE_ROWS: Final[tuple[Default, ...]] = (
    _D("surge.duct_length", 0.5, "length", 0.02, 10.0, 0.15, _LENGTH),
    _D("surge.duct_area", None, "area", 5e-5, 0.1, 3e-4, _OUTLET, (), True),
    _D("surge.plenum_volume", 8e-3, "volume", 1e-4, 1.0, 3e-3, CHOSEN),
    _D(
        "surge.manifold_volume",
        None,
        "volume",
        1e-4,
        0.2,
        1e-3,
        "derived: the engine's displacement, " + CHOSEN,
        (),
        True,
    ),
    _D("surge.throttle_diameter", None, "length", 0.01, 0.3, 5e-3, _THROTTLE, (), True),
    _D("surge.throttle_leak", 0.02, "dimensionless", 1e-4, 0.5, 0.01, CHOSEN),
    _D("surge.discharge_coefficient", 0.8, "dimensionless", 0.3, 1.0, 0.1, CHOSEN),
    _D("surge.lift_time", 0.10, "time", 0.005, 5.0, 0.05, CHOSEN),
    _D("surge.closing_time", 6.0, "time", 0.5, 60.0, 2.0, CHOSEN),
    _D("surge.duration", 2.0, "time", 0.2, 60.0, 0.5, CHOSEN),
    _D(
        "surge.engine_speed",
        None,
        "speed",
        500.0,
        2e4,
        50.0,
        "derived: the limiter, where a lift is hardest, " + CHOSEN,
        (),
        True,
    ),
    _D("surge.speed_fall", 0.0, "speed", 0.0, 5e3, 300.0, "in a second, in gear; " + CHOSEN),
    _D("surge.valve_diameter", None, "length", 2e-3, 0.15, 1e-3, "blank: no valve", (), True),
    _D("surge.valve_opening_pressure", 3e4, "pressure", 1e3, 3e5, 1e4, _OPENS),
    _D("surge.valve_lag", 0.04, "time", 1e-3, 1.0, 0.02, CHOSEN),
    _D(
        "surge.valve_feels",
        "manifold",
        "choice",
        origin="a hose to the manifold: common practice, no source",
        choices=("manifold", "outlet"),
    ),
    _D("surge.inducer_hub_ratio", 0.35, "dimensionless", 0.1, 0.8, 0.05, CHOSEN),
    _D(
        "surge.zero_flow_radius",
        "mean",
        "choice",
        origin=_RADIUS,
        choices=("none", "mean", "tip"),
    ),
    _D("surge.characteristic_lag", 0.0, "time", 0.0, 0.5, 0.01, "none: at once; " + CHOSEN),
)
"""Section ``surge``: read by the studies of surge alone, the match does not."""

SURGE_PATHS: Final = frozenset(row.path for row in SURGE_ROWS)
"""Their paths."""

OUTLET_SHARE: Final = 0.65
"""Diameter of the compressor's outlet over the impeller's [-]; chosen here."""

INDUCER_SHARE: Final = 0.68
"""Inducer's tip diameter over the impeller's, where the map tells none [-]; chosen here."""

THROTTLE_PER_ROOT_LITRE: Final = 0.040
"""Throttle diameter over the root of the displacement in litres [m]; chosen here."""

VALVE_CODE: Final = "bypass_valve"
"""Code of the entry of the ledger that sizing the valve gives."""
