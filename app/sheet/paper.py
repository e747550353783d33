"""Sizes of paper, in points of 96 to the inch: the pixels in which everything is laid out."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QPageSize

DOTS = 96.0
"""Layout pixels to the inch [-]."""

MARGIN = 0.55 * DOTS
"""Margin at every side [px]; also outside what printers can reach."""

FOOT = 26.0
"""Height of the foot of a page, within the margins [px]."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper.

    Parameters
    ----------
    key : str
        Its name on the command line.
    title : str
        Its name in words.
    size : QPageSize.PageSizeId
        Its size.
    width, height : float
        The whole page. [px]
    """

    key: str
    title: str
    size: QPageSize.PageSizeId
    width: float
    height: float

    @property
    def room(self) -> float:
        """Width between the margins [px]."""
        return self.width - 2.0 * MARGIN

    @property
    def depth(self) -> float:
        """Height between the upper margin and the foot [px]."""
        return self.height - 2.0 * MARGIN - FOOT


PAPERS: dict[str, Paper] = {
    # ISO 216: 210 mm by 297 mm; ANSI/ASME Y14.1 size A: 8.5 in by 11 in
    "a4": Paper("a4", "A4", QPageSize.PageSizeId.A4, 210 / 25.4 * DOTS, 297 / 25.4 * DOTS),
    "letter": Paper("letter", "Letter", QPageSize.PageSizeId.Letter, 8.5 * DOTS, 11 * DOTS),
}
"""Every size offered."""

DEFAULT_PAPER = "a4"
