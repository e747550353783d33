"""Belt sections: a table, every figure with its origin."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from engine_model.errors import InputError


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure and where it comes from.

    Parameters
    ----------
    value : float or None
        The figure, SI; None where no source gives it.
    origin : str
        Where it comes from, or whose figure it has to be.
    """

    value: float | None
    origin: str

    def known(self, field: str) -> float:
        """Return the figure, or raise an :class:`InputError` that asks for it."""
        if self.value is None:
            raise InputError(field, None, f"a value ({self.origin})")
        return self.value


MAKERS = "maker's figure: enter yours"
ISO_9981 = "ISO 9981:2020"
ISO_9982 = "ISO 9982, read second hand"
ISO_9982_MEMORY = "ISO 9982, from memory, fairly sure"
UNSURE = "from memory, unsure"
CALIBRATED = (
    "calibrated on the trade fact that six ribs serve about 440-450 hp and eight about 500 hp at "
    "one pulley diameter (common practice, no source), which is then no independent check"
)
_MAKERS = Figure(None, MAKERS)


@dataclass(frozen=True, slots=True)
class BeltSection:
    """A belt section.

    Parameters
    ----------
    name : str
        Its name.
    slips : bool
        Whether it drives by friction; a toothed belt does not slip, it jumps or breaks.
    rib_pitch : Figure
        Distance of the ribs, or of the teeth. [m]
    groove_angle : Figure
        Angle between the flanks of a groove. [rad]
    pitch_offset : Figure
        Height of the pitch line over the pulley's effective diameter. [m]
    back_offset : Figure
        Depth of the pitch line under the belt's back. [m]
    height : Figure
        Height of the belt over all. [m]
    smallest_pulley : Figure
        Smallest recommended effective diameter. [m]
    mass_per_rib : Figure
        Mass of a rib; of a toothed belt, of its whole width. [kg/m]
    tension_allowance : Figure
        Allowed tight-side tension of a rib; of a toothed belt, of its whole width. [N]
    sprung_tension : Figure
        Slack-span tension over the centrifugal one that a spring idler holds, a rib. [N]
    fixed_tension : Figure
        Static tension between fixed centres, a rib. [N]
    """

    name: str
    slips: bool = True
    rib_pitch: Figure = _MAKERS
    groove_angle: Figure = _MAKERS
    pitch_offset: Figure = _MAKERS
    back_offset: Figure = _MAKERS
    height: Figure = _MAKERS
    smallest_pulley: Figure = _MAKERS
    mass_per_rib: Figure = _MAKERS
    tension_allowance: Figure = _MAKERS
    sprung_tension: Figure = _MAKERS
    fixed_tension: Figure = _MAKERS


_FORTY_DEGREES = 40.0 * pi / 180.0

_ROWS = (
    BeltSection(
        "PK",
        rib_pitch=Figure(3.56e-3, f"{ISO_9981}, SAE J1459"),
        groove_angle=Figure(_FORTY_DEGREES, f"{ISO_9981}, SAE J1459"),
        pitch_offset=Figure(2.0e-3, f"{ISO_9981}, 5.4: nominal, for the speed ratio"),
        back_offset=Figure(1.0e-3, UNSURE),
        height=Figure(6.0e-3, ISO_9982_MEMORY),
        smallest_pulley=Figure(45e-3, f"{ISO_9981}, 5.2: recommended"),
        mass_per_rib=Figure(0.020, UNSURE),
        tension_allowance=Figure(165.0, CALIBRATED),
        sprung_tension=Figure(25.0, CALIBRATED),
        fixed_tension=Figure(120.0, CALIBRATED),
    ),
    BeltSection(
        "PH",
        rib_pitch=Figure(1.60e-3, ISO_9982),
        groove_angle=Figure(_FORTY_DEGREES, ISO_9982_MEMORY),
        pitch_offset=Figure(0.8e-3, ISO_9982_MEMORY),
        height=Figure(3.0e-3, ISO_9982_MEMORY),
        smallest_pulley=Figure(13e-3, ISO_9982_MEMORY),
    ),
    BeltSection(
        "PJ",
        rib_pitch=Figure(2.34e-3, ISO_9982),
        groove_angle=Figure(_FORTY_DEGREES, ISO_9982_MEMORY),
        pitch_offset=Figure(1.2e-3, ISO_9982_MEMORY),
        height=Figure(4.0e-3, ISO_9982_MEMORY),
        smallest_pulley=Figure(20e-3, ISO_9982_MEMORY),
    ),
    BeltSection(
        "PL",
        rib_pitch=Figure(4.70e-3, ISO_9982),
        groove_angle=Figure(_FORTY_DEGREES, ISO_9982_MEMORY),
        pitch_offset=Figure(3.0e-3, ISO_9982_MEMORY),
        height=Figure(10e-3, ISO_9982_MEMORY),
        smallest_pulley=Figure(75e-3, ISO_9982_MEMORY),
    ),
    BeltSection(
        "PM",
        rib_pitch=Figure(9.40e-3, ISO_9982),
        groove_angle=Figure(_FORTY_DEGREES, ISO_9982_MEMORY),
        pitch_offset=Figure(4.0e-3, ISO_9982_MEMORY),
        height=Figure(17e-3, ISO_9982_MEMORY),
        smallest_pulley=Figure(180e-3, ISO_9982_MEMORY),
    ),
    BeltSection("toothed", slips=False),
)

BELT_SECTIONS: dict[str, BeltSection] = {row.name: row for row in _ROWS}
"""Every belt section by its name."""


def belt_section(name: str, field: str = "drive.belt_section") -> BeltSection:
    """Belt section of a name, or an :class:`InputError` that lists the known ones.

    Parameters
    ----------
    name : str
        Name of the section.
    field : str
        Path of the field that asks.

    Returns
    -------
    BeltSection
        The row of the table.

    Examples
    --------
    >>> belt_section("PK").rib_pitch.value
    0.00356
    """
    if name not in BELT_SECTIONS:
        raise InputError(field, name, "one of " + ", ".join(BELT_SECTIONS))
    return BELT_SECTIONS[name]
