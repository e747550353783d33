"""Words that float over the work: nothing under them moves when they come and go."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, QTimer
from PySide6.QtWidgets import QLabel, QWidget

MARGIN = 8
"""Room at the sides of what floats [px]."""

DONE_MS = 6000
"""How long a sentence about something done stays [ms]."""


Place = Callable[[], tuple[int, int, int]] | None
"""Left, top and most width of what floats [px], or the anchor's own edges."""


class Float(QObject):
    """Keeps a widget at the upper edge of another one, over it, within its sides.

    Parameters
    ----------
    widget, anchor : QWidget
        What floats, and over what.
    place : callable, optional
        Left, top and most width over the anchor [px], in place of its edges.
    """

    def __init__(self, widget: QWidget, anchor: QWidget, *, place: Place = None) -> None:
        super().__init__(widget)
        self._widget, self._anchor = widget, anchor
        self._place = place
        widget.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        anchor.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the other widget."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.Show):
            self.put()
        return False

    def put(self) -> None:
        """Take the place."""
        widget, anchor, host = self._widget, self._anchor, self._widget.parentWidget()
        if host is None or not host.isAncestorOf(anchor):
            return
        left, free, room = MARGIN, 2, anchor.width() - 2 * MARGIN
        if self._place is not None:
            left, free, room = self._place()
        room = max(room, 1)
        width = min(room, widget.sizeHint().width())
        if widget.hasHeightForWidth():
            width = room if widget.heightForWidth(width) > widget.heightForWidth(room) else width
            height = widget.heightForWidth(width)
        else:
            height = widget.sizeHint().height()
        corner = anchor.mapTo(host, QPoint(left, 0))
        widget.setGeometry(corner.x(), corner.y() + free, width, height)
        widget.raise_()


class PassingWords(QLabel):
    """A sentence over a widget: what is wrong stays, what is done passes."""

    def __init__(self, parent: QWidget, anchor: QWidget, place: Place = None) -> None:
        super().__init__(parent)
        self.setObjectName("said")
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._float = Float(self, anchor, place=place)
        self._done = QTimer(self)
        self._done.setSingleShot(True)
        self._done.setInterval(DONE_MS)
        self._done.timeout.connect(self.hide)
        self.hide()

    def say(self, sentence: str) -> None:
        """Show what is wrong; an empty sentence takes it away, and leaves what was done."""
        if sentence or not self._done.isActive():
            self._show(sentence, done=False)

    def say_done(self, sentence: str) -> None:
        """Show calmly what was done; it goes by itself."""
        self._show(sentence, done=True)
        self._done.start()

    def _show(self, sentence: str, *, done: bool) -> None:
        self._done.stop()
        self.setText(sentence)
        if self.property("done") != done:
            self.setProperty("done", done)
            self.style().unpolish(self)
            self.style().polish(self)
        self.setVisible(bool(sentence))
        if sentence:
            self.ensurePolished()
            self._float.put()

    def changeEvent(self, event: QEvent) -> None:
        """Take the room that another text size needs."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange and self.isVisible():
            QTimer.singleShot(0, self._float.put)
