"""Units of a pictured flow axis, mass or volume, as plain factors to kg/s."""

from __future__ import annotations

from typing import Final

from engine_model.errors import InputError
from engine_model.units import QUANTITIES, to_si

_QUANTITY: Final = {
    "mass": "mass_flow",
    "corrected_mass": "mass_flow",
    "volume": "volume_flow",
}


def flow_factor(flow_kind: str, flow_unit: str, density: float | None = None) -> float:
    """Mass flow of one unit of a flow axis [kg/s].

    Parameters
    ----------
    flow_kind : str
        ``mass``, ``corrected_mass`` or ``volume``.
    flow_unit : str
        Unit of the axis, such as ``lb/min`` or ``cfm``.
    density : float, optional
        Density at which a volume flow is stated; needed for that alone. [kg/m3] above 0

    Returns
    -------
    float
        Factor from the unit. [kg/s]

    Raises
    ------
    InputError
        When the unit is none of the kind, or the density is missing.

    Notes
    -----
    A mass flow is taken with the reference state at the inlet, so that it is the corrected flow.

    Examples
    --------
    One pound is 0.45359237 kg by definition; 1000 cfm are 0.47195 m3/s (NIST SP 811).

    >>> flow_factor("mass", "lb/min")
    0.007559872
    >>> round(1000.0 * flow_factor("volume", "cfm", 1.2), 5)
    0.56634
    """
    if flow_kind not in _QUANTITY:
        raise InputError("trace.flow_kind", flow_kind, "one of " + ", ".join(_QUANTITY))
    try:
        factor = to_si(1.0, flow_unit, _QUANTITY[flow_kind])
    except InputError as error:
        raise InputError("trace.flow_unit", flow_unit, error.allowed) from error
    if flow_kind != "volume":
        return factor
    if density is None or not density > 0.0:
        raise InputError("trace.density", density, "a density above 0 kg/m3 with a volume flow")
    return factor * density


def flow_units(flow_kind: str) -> tuple[str, ...]:
    """Symbols of the units of a kind of flow axis, as `flow_factor` takes them."""
    if flow_kind not in _QUANTITY:
        raise InputError("trace.flow_kind", flow_kind, "one of " + ", ".join(_QUANTITY))
    return tuple(unit.symbol for unit in QUANTITIES[_QUANTITY[flow_kind]].units)
