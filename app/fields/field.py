"""One editable input as a person sees it."""

from __future__ import annotations

from dataclasses import dataclass

from app.fields.display import Units, decimals_of, step_of, unit_of
from engine_model.default_row import Default
from engine_model.defaults import DEFAULTS

_BOOST_PATHS = ("bypass.boost_cap", "bounds.boost", "drive.boost_schedule")
_RAIL_PATHS = tuple(
    f"fuel_system.{name}"
    for name in ("injector_rating_pressure", "rail_pressure", "pump_pressure", "pump_shut_off")
)

_ABSOLUTE_PATHS = ("bounds.manifold_sensor", "bounds.cylinder_pressure")
_DISPLAYS = {
    "bounds.cylinder_pressure": "cylinder",
    "bounds.manifold_sensor": "bound_pressure",
    "bounds.exhaust_pressure": "bound_pressure",
    "engine.octane": "octane",
}


@dataclass(frozen=True, slots=True)
class Field:
    """One editable input.

    Parameters
    ----------
    path : str
        Path of the input.
    label : str
        Its name on the panel.
    group : str
        Folding group it stands in.
    help : str
        What it is.
    display : str
        Key of the display table.
    ten : bool
        Whether it is one of the ten that matter.
    slider : bool
        Whether a slider makes sense.
    """

    path: str
    label: str
    group: str
    help: str
    display: str
    ten: bool = False
    slider: bool = False

    @property
    def row(self) -> Default:
        """Default, range, spread and origin."""
        return DEFAULTS[self.path]

    @property
    def quantity(self) -> str:
        """Kind of unit of the input."""
        return self.row.quantity

    @property
    def basis(self) -> str:
        """Said after the unit of a pressure that counts from a vacuum; else empty."""
        return " abs" if self.path in _ABSOLUTE_PATHS else ""

    @property
    def is_number(self) -> bool:
        """Whether the input is a number with a unit."""
        kind = self.quantity
        return kind not in ("choice", "text", "day", "integer") and not kind.startswith("table:")

    def unit(self, units: Units) -> str:
        """Display unit; an input without a unit has a plain number's."""
        return unit_of(self.display, units) if self.is_number else "-"

    def decimals(self, units: Units) -> int:
        """Decimals shown."""
        return decimals_of(self.display, units) if self.is_number else 0

    def step(self, units: Units) -> float:
        """Step of the arrow keys, in the display unit."""
        return step_of(self.display, units) if self.is_number else 1.0


_GROUPS = {
    "engine": "Engine",
    "blower": "Blower",
    "drive": "Drive",
    "bypass": "Bypass",
    "inlet": "Inlet",
    "cooler": "Charge cooler",
    "exhaust": "Exhaust",
    "fuel_system": "Fuel system",
    "driveline": "Driveline",
    "vehicle": "Vehicle",
    "weighting": "Where the engine lives",
    "surge": "Surge",
    "bounds": "Bounds",
    "target": "Target",
    "day": "Day",
}


def field_of(
    path: str,
    label: str,
    help_text: str,
    display: str = "",
    *,
    ten: bool = False,
    slider: bool = False,
) -> Field:
    """Field of an input, in the group of its section."""
    row = DEFAULTS[path]
    if not display:
        display = "boost" if path in _BOOST_PATHS else row.quantity
        display = "fuel_pressure" if path in _RAIL_PATHS else display
        display = _DISPLAYS.get(path, display)
    group = _GROUPS[path.partition(".")[0]]
    return Field(path, label, group, help_text, display, ten, slider)
