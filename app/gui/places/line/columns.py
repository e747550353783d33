"""How the Line place shares its room: between panels and charts, between map and strips."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSplitter

LEFT, RIGHT = 228, 262
"""Widths of the panels where there is no room to spare [px]."""

FULL, SHARE = 1360, 0.12
"""Width of the place up to which all room goes to the charts [px], and what each panel takes of
the rest [-]."""


STRIPS_SHARE, MOST_STRIPS = 0.25, 0.42
"""Height of the strips at the usual text, and at most, to that of map and strips [-]."""


def widths_of(total: int) -> tuple[int, int, int]:
    """Widths of left panel, charts and right panel in a place of a width [px].

    Examples
    --------
    >>> widths_of(1234)
    (228, 744, 262)
    """
    more = round(SHARE * max(total - FULL, 0))
    return LEFT + more, total - LEFT - RIGHT - 2 * more, RIGHT + more


class Columns(QSplitter):
    """Left panel, charts, right panel; once the user has moved a handle, the charts take the rest.

    To be given its three widgets in that order.
    """

    def __init__(self) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self._is_users = False
        self.setChildrenCollapsible(False)
        self.splitterMoved.connect(self._on_moved)

    def _on_moved(self, *_: int) -> None:
        self._is_users = True

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the width anew, as long as it is not the user's."""
        super().resizeEvent(event)
        if not self._is_users and self.count() == 3:
            self.setSizes(widths_of(self.width()))


class Pictures(QSplitter):
    """Map over strips, which need more height under larger texts; a handle moved by the user stays.

    To be given its two widgets in that order.
    """

    def __init__(self) -> None:
        super().__init__(Qt.Orientation.Vertical)
        self._is_users, self._share = False, STRIPS_SHARE
        self.setChildrenCollapsible(False)
        self.splitterMoved.connect(self._on_moved)

    def _on_moved(self, *_: int) -> None:
        self._is_users = True

    def set_text_scale(self, scale: float) -> None:
        """Size of the texts in the charts over the usual."""
        share = min(STRIPS_SHARE * max(scale, 1.0), MOST_STRIPS)
        if share != self._share:
            self._share = share
            self._put()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the height anew, as long as it is not the user's."""
        super().resizeEvent(event)
        self._put()

    def _put(self) -> None:
        if not self._is_users and self.count() == 2:
            strips = round(self._share * self.height())
            self.setSizes([self.height() - strips, strips])
