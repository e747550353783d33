"""At most one call a frame, and always the latest."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

FRAME = 16
"""Length of a frame in milliseconds."""


class Paced(QObject):
    """Passes on calls: the first at once, then the latest once a frame; the timer never restarts.

    Parameters
    ----------
    parent : QObject
        Owner.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._waiting: Callable[[], object] | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(FRAME)
        self._timer.timeout.connect(self.flush)

    def offer(self, call: Callable[[], object]) -> None:
        """Make a call now, or in place of what waits for the next frame."""
        self._waiting = call
        if not self._timer.isActive():
            self.flush()

    def flush(self) -> None:
        """Make the call that waits, if any, now."""
        call, self._waiting = self._waiting, None
        if call is not None:
            self._timer.start()
            call()

    def drop(self) -> None:
        """Forget what waits."""
        self._waiting = None
