"""Pictures at hand: the latest few, so that undo finds the former one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from engine_model.digitise.picture import Picture
from engine_model.tracing.trace import PictureRef

MOST = 3
"""Pictures kept."""


class KeptPictures:
    """The latest pictures by hash and page."""

    def __init__(self) -> None:
        self._kept: dict[tuple[str, int], Picture] = {}

    def of(self, ref: PictureRef | None) -> Picture | None:
        """Picture that a trace tells of; none while it is not at hand."""
        return None if ref is None else self._kept.get((ref.sha256, ref.page))

    def keep(self, ref: PictureRef, picture: Picture) -> None:
        """Keep a picture in the size that the trace tells places in."""
        key = ref.sha256, ref.page
        self._kept.pop(key, None)
        self._kept[key] = resized(picture, ref)
        for old in list(self._kept)[:-MOST]:
            del self._kept[old]


def reference_to(picture: Picture) -> PictureRef:
    """What a trace tells of a picture."""
    width, height = picture.size
    return PictureRef(picture.sha256, picture.source, width, height, picture.page, picture.scale)


def resized(picture: Picture, ref: PictureRef) -> Picture:
    """Picture in the size that the places of a trace are told in."""
    if (ref.width, ref.height) in (picture.size, (0, 0)):
        return picture
    from PIL import Image

    image = Image.fromarray(picture.rgb).resize((ref.width, ref.height), Image.Resampling.BICUBIC)
    return replace(picture, rgb=np.asarray(image))
