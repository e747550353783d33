"""Colours of the charts, light and dark: plain text, no Qt.

The ramp of the efficiency islands is a straight line in OKLab between two ends, so equal steps
look equal; lightness falls all the way, so it reads in grey print and without colour vision.

References
----------
B. Ottosson, "A perceptual color space for image processing", 2020: OKLab and its matrices.
"""

from __future__ import annotations

from dataclasses import dataclass

Lab = tuple[float, float, float]
RAMP_STEPS = 64


def _gamma(linear: float) -> float:
    """Return the sRGB transfer function of IEC 61966-2-1."""
    if linear <= 0.0031308:
        return 12.92 * max(linear, 0.0)
    return float(1.055 * min(linear, 1.0) ** (1.0 / 2.4) - 0.055)


def oklab_to_hex(colour: Lab) -> str:
    """Return "#rrggbb" of an OKLab colour, clipped to sRGB.

    Examples
    --------
    >>> oklab_to_hex((1.0, 0.0, 0.0))
    '#ffffff'
    """
    lightness, a, b = colour
    long = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3
    middle = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3
    short = (lightness - 0.0894841775 * a - 1.2914855480 * b) ** 3
    rgb = (
        4.0767416621 * long - 3.3077115913 * middle + 0.2309699292 * short,
        -1.2684380046 * long + 2.6097574011 * middle - 0.3413193965 * short,
        -0.0041960863 * long - 0.7034186147 * middle + 1.7076147010 * short,
    )
    return "#" + "".join(f"{round(255.0 * _gamma(part)):02x}" for part in rgb)


def oklab_ramp(first: Lab, last: Lab, steps: int = RAMP_STEPS) -> tuple[str, ...]:
    """Colours on the straight line between two OKLab colours."""
    return tuple(
        oklab_to_hex(
            (
                first[0] + (last[0] - first[0]) * k / (steps - 1),
                first[1] + (last[1] - first[1]) * k / (steps - 1),
                first[2] + (last[2] - first[2]) * k / (steps - 1),
            )
        )
        for k in range(steps)
    )


@dataclass(frozen=True, slots=True)
class Palette:
    """Every colour a chart uses, as "#rrggbb", and the size of its texts over the usual.

    ``clear``, ``close``, ``over`` and ``blank`` are the four states of a limit; ``ghosts`` are
    taken in turn by the pins; ``trio`` colours compressor maps laid over each other, of different
    lightness so that grey print tells them apart; ``ramp`` runs from low to high efficiency.
    """

    name: str
    background: str
    canvas: str
    text: str
    faint_text: str
    grid: str
    frame: str
    outside: str
    speed_line: str
    outline: str
    limit: str
    line: str
    second: str
    stock: str
    target: str
    cursor: str
    clear: str
    close: str
    over: str
    blank: str
    ghosts: tuple[str, ...]
    trio: tuple[str, ...]
    ramp: tuple[str, ...]
    text_scale: float = 1.0

    def sized(self, pixels: float) -> float:
        """Pixels that grow with the texts [px]."""
        return pixels * self.text_scale

    def shade(self, share: float) -> str:
        """Colour of the ramp at a share of its length, 0 to 1."""
        return self.ramp[round(min(max(share, 0.0), 1.0) * (len(self.ramp) - 1))]

    def state(self, name: str) -> str:
        """Colour of a state by its word."""
        return {"clear": self.clear, "close": self.close, "over": self.over}.get(name, self.blank)


LIGHT = Palette(
    name="light",
    background="#f6f7f8",
    canvas="#ffffff",
    text="#1d2731",
    faint_text="#5a6672",
    grid="#e4e8ec",
    frame="#a9b3bd",
    outside="#ffffff",
    speed_line="#51616f",
    outline="#7f919c",
    limit="#2f3b46",
    line="#0d2238",
    second="#3b7f93",
    stock="#9aa5b0",
    target="#6a4b8a",
    cursor="#3c4854",
    clear="#4a6fa5",
    close="#b3761a",
    over="#8e1f43",
    blank="#8a949e",
    ghosts=("#6f7fb5", "#a3794c", "#5f9a74", "#a4668f"),
    trio=("#1b3f86", "#b4560e", "#2f9c86"),
    ramp=oklab_ramp((0.968, -0.004, 0.030), (0.735, -0.075, -0.040)),
)
"""For light desktops and for print."""

DARK = Palette(
    name="dark",
    background="#1b2026",
    canvas="#14181d",
    text="#e6ebf0",
    faint_text="#9aa7b3",
    grid="#262d35",
    frame="#4a5561",
    outside="#14181d",
    speed_line="#93a3b1",
    outline="#6d8792",
    limit="#c3ced8",
    line="#f6f9fc",
    second="#6cbcd0",
    stock="#6f7c88",
    target="#b79ad8",
    cursor="#b9c4ce",
    clear="#8fb0e0",
    close="#e2b25c",
    over="#e5718f",
    blank="#8a949e",
    ghosts=("#9aa8e0", "#d0a878", "#86c49c", "#cf93bb"),
    trio=("#a9c8ff", "#ef9a45", "#32967d"),
    ramp=oklab_ramp((0.265, 0.000, 0.012), (0.520, -0.075, -0.045)),
)
"""For dark desktops and the classroom's projector."""

PALETTES: tuple[Palette, ...] = (LIGHT, DARK)
