"""Rows of the table of editable inputs for surge in time."""

from __future__ import annotations

from app.fields.field import Field
from app.fields.field import field_of as _f

SURGE_FIELDS: tuple[Field, ...] = (
    _f(
        "surge.duct_length",
        "Duct length",
        "Of the air that moves as one between filter and plenum: a length to tune by",
    ),
    _f(
        "surge.duct_area",
        "Duct area",
        "Of that air; the compressor's outlet where not given",
        "small_area",
    ),
    _f("surge.plenum_volume", "Volume to the throttle", "Pipes, charge cooler and end tanks"),
    _f("surge.manifold_volume", "Manifold volume", "Behind the throttle"),
    _f("surge.throttle_diameter", "Throttle", "Bore of the throttle body"),
    _f("surge.throttle_leak", "Throttle leak", "Share of its area open when shut", "share"),
    _f(
        "surge.discharge_coefficient",
        "Discharge coefficient",
        "Effective over geometric area, of throttle and bypass valve",
    ),
    _f("surge.lift_time", "Time of a lift", "In which the throttle shuts"),
    _f("surge.closing_time", "Time of slow closing", "In which the throttle shuts", "duration"),
    _f("surge.duration", "Time shown", "From the start of a scene to its end", "duration"),
    _f("surge.engine_speed", "at engine speed", "At which a scene begins"),
    _f("surge.speed_fall", "Fall in gear", "Engine speed lost in a second after the lift"),
    _f("surge.valve_diameter", "Bypass valve", "Bore of the valve before the throttle"),
    _f("surge.valve_opening_pressure", "Valve opens at", "Pressure across it, from which it opens"),
    _f("surge.valve_lag", "Valve lag", "Time constant of its motion"),
    _f(
        "surge.valve_feels",
        "Pressure across it",
        "Counted from the volume before the throttle to the manifold, or to the valve's outlet",
    ),
    _f("surge.inducer_hub_ratio", "Inducer hub ratio", "Hub over tip diameter of the inducer"),
    _f(
        "surge.zero_flow_radius",
        "Inducer radius",
        "That counts for the pressure ratio without flow",
    ),
    _f("surge.characteristic_lag", "Compressor lag", "Time constant behind its characteristic"),
)
"""Section ``surge``, in reading order."""
