"""A row of the table of defaults, and the words for where defaults come from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

Value = float | int | str | None | tuple[tuple[float, float], ...]

PRACTICE: Final = "common practice, no source"
CHOSEN: Final = "chosen here, no source"
USER: Final = "a figure of the engine or part: enter yours"
ENGINE: Final = "a figure of the engine: enter yours; spread of a tenth, chosen here, no source"


@dataclass(frozen=True, slots=True)
class Default:
    """One editable input.

    Parameters
    ----------
    path : str
        Section and name, such as ``drive.blower_pulley_diameter``.
    value : float, int, str, tuple or None
        Default, SI.
    quantity : str
        Kind of unit, ``integer``, ``choice``, ``text``, ``day`` or ``table:x:y``.
    low, high : float
        Allowed range, SI, ends included.
    spread : float
        Usual spread either side of an assumed value, SI; its origin is the row's. 0 where
        there is none: counts, choices, and bounds and targets, which the user decides.
    origin : str
        Where the default comes from.
    choices : tuple of str
        Allowed words of a choice.
    optional : bool
        Whether blank is allowed.
    """

    path: str
    value: Value
    quantity: str
    low: float = float("-inf")
    high: float = float("inf")
    spread: float = 0.0
    origin: str = CHOSEN
    choices: tuple[str, ...] = ()
    optional: bool = False


MEMORY_UNSURE: Final = "from memory, unsure"
BELT_NAMES: Final = ("PK", "PH", "PJ", "PL", "PM", "toothed")
TENSION_RATIO: Final = "0.44-0.51: tension ratio 4 or 5 at 180 deg of the arc-of-contact tables"
TWO_PULLEYS: Final = "derived: 360 deg less the blower's wrap, as of two pulleys"
_SECTIONS: Final = "derived: the belt section's; maker's figure for sections without one; "
SECTION_PITCH: Final = _SECTIONS + "PK 2 mm nominal, ISO 9981:2020, 5.4"
SECTION_MASS: Final = _SECTIONS + "PK 0.020 kg/m, from memory, unsure"
SECTION_SMALLEST: Final = _SECTIONS + "PK 45 mm recommended, ISO 9981:2020, 5.2"
SECTION_CALIBRATED: Final = (
    _SECTIONS + "PK calibrated on the trade fact that six ribs serve about 440-450 hp and eight "
    "about 500 hp at one pulley diameter (common practice, no source), which is then no "
    "independent check"
)
BELT_SPEED: Final = "close from 55 m/s (from 11/13 of it); from memory, unsure"
SHIFTS: Final = "told, not judged: a hard shift makes most belts slip for a moment, chosen here"
ACCESSORIES: Final = "none on this belt; at the limiter, taken as constant torque, chosen here"
FITTED: Final = "blank: same belt not judged"
ETHANOL: Final = (
    "derived: as the fuel's name says; retail E85 holds 51-83 % (ASTM D5798, from memory), and "
    "petrol may hold some; spread chosen here, no source"
)
OCTANE: Final = "derived: the fuel's research octane number, from memory"
HALF_BURNT: Final = (
    "after top centre at the stock torque peak; an engine that is not retarded there, hopeful if "
    "it is; chosen here, no source"
)
TOLD: Final = "blank: told, not judged"
FUEL_NAMES: Final = ("petrol", "E10", "E85", "ethanol", "methanol")
