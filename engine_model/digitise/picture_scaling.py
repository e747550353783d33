"""Pillow's images made upright, RGB on white, and small enough to work with."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from PIL.Image import Image as PillowImage

WORKING_SIDE = 2400
"""Long side that larger pictures are scaled down to [px]."""

STRIP_BYTES = 16_000_000
"""Room for the strips in which a large picture is scaled down, about [byte]."""


def turned(image: PillowImage, orientation: int) -> PillowImage:
    """Image turned upright by the orientation of its tag."""
    from PIL import Image

    way = Image.Transpose
    turns = {2: way.FLIP_LEFT_RIGHT, 3: way.ROTATE_180, 4: way.FLIP_TOP_BOTTOM,
             5: way.TRANSPOSE, 6: way.ROTATE_270, 7: way.TRANSVERSE, 8: way.ROTATE_90}  # fmt: skip
    return image.transpose(turns[orientation]) if orientation in turns else image


def shrunk(image: PillowImage) -> PillowImage:
    """Image in RGB on white, at most ``WORKING_SIDE`` long, by the mean over areas.

    Large ones go strip by strip through a whole factor, so that no second full image is held.
    """
    from PIL import Image

    width, height = image.size
    share = min(1.0, WORKING_SIDE / max(width, height))
    factor = max(1, int(1.0 / share))
    span = _span(image)
    if factor == 1:
        small = _on_white(image, span)
    else:
        small = Image.new("RGB", (-(-width // factor), -(-height // factor)))
        rows = max(1, STRIP_BYTES // (8 * width * factor)) * factor
        for top in range(0, height, rows):
            strip = image.crop((0, top, width, min(height, top + rows)))
            small.paste(_on_white(strip, span, image).reduce(factor), (0, top // factor))
    if share == 1.0:
        return small
    size = max(1, round(width * share)), max(1, round(height * share))
    box = (0.0, 0.0, width / factor, height / factor)
    return small.resize(size, Image.Resampling.BOX, box)


def _span(image: PillowImage) -> tuple[float, float]:
    """Values of black and white of a grey image deeper than a byte."""
    if image.mode.startswith("I;16"):
        return 0.0, 65535.0
    if image.mode not in ("I", "F"):
        return 0.0, 255.0
    low, high = (float(v) for v in image.getextrema()[:2])  # type: ignore[arg-type]
    if not (np.isfinite(low) and np.isfinite(high)):
        raise ValueError("grey values without an end")
    # a PNG of 16 bits in older Pillows; of others nobody knows what white is
    return (0.0, 65535.0) if image.format == "PNG" else (low, max(high, low + 1e-12))


def _on_white(
    image: PillowImage, span: tuple[float, float], whole: PillowImage | None = None
) -> PillowImage:
    """Image in RGB, what is transparent on white."""
    from PIL import Image

    if image.mode.startswith("I") or image.mode == "F":
        deep = np.asarray(image, dtype=np.float32)
        grey = np.clip((deep - span[0]) * (255.0 / (span[1] - span[0])), 0.0, 255.0)
        return Image.fromarray(np.round(grey).astype(np.uint8)).convert("RGB")
    info = (whole or image).info
    if "transparency" in info and image.mode in ("1", "L", "P", "RGB"):
        image.info["transparency"] = info["transparency"]
    elif image.mode not in ("LA", "PA", "RGBA", "La", "RGBa"):
        return image.convert("RGB")
    clear = image.convert("RGBA")
    ground = Image.new("RGBA", clear.size, "white")
    return Image.alpha_composite(ground, clear).convert("RGB")
