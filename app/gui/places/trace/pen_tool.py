"""What mouse and keys do while a curve is drawn."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence

from app.gui.places.trace.tools import Cursor, Key, Tool

SHIFT = Qt.KeyboardModifier.ShiftModifier


class PenTool(Tool):
    """Clicks along a curve; the owner draws what follows the ink between them."""

    help = (
        "Click along the curve; hold Shift, or press F, for a stretch that does not follow the "
        "ink. Double click or Enter ends it, a click on its first point closes it, Backspace "
        "takes the last point back, Escape gives it up. Arrow keys move the crosshair: Enter "
        "then clicks, a second Enter ends. M is the loupe."
    )

    def __init__(self, canvas) -> None:
        super().__init__(canvas)
        self._sticky = False
        self._clicked_at: tuple[float, float] | None = None
        self._ended = False

    def cursor(self) -> Cursor:
        """Nothing where the loupe has its own crosshair."""
        if self.scene.loupe:
            return Cursor.BlankCursor
        return Cursor.PointingHandCursor if self.scene.closes else Cursor.CrossCursor

    def press(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """One more point, or the end at the first one."""
        self._ended = self.scene.at_start(self.canvas.view, at.x(), at.y())
        self._set_free(modifiers)
        if self._ended:
            self._end(closed=True)
            return
        self._click(*self.canvas.spot(at))

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Say where the pointer is, once a frame."""
        self.scene.closes = self.scene.at_start(self.canvas.view, at.x(), at.y())
        self._set_free(modifiers)
        self._hover()

    def double(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """End where the first press was."""
        if not self._ended:
            self._end(closed=False)
        self._ended = False

    def key(self, event: QKeyEvent) -> bool:
        """Enter, Backspace, Ctrl+Z, F, Shift, Escape."""
        pressed, scene = event.key(), self.scene
        if pressed in (Key.Key_Return, Key.Key_Enter):
            at = scene.aim
            if scene.by_keys and at is not None and at != self._clicked_at:
                if self.scene.at_start(self.canvas.view, *self.canvas.view.to_widget(*at)):
                    self._end(closed=True)
                else:
                    self._click(*at)
            else:
                self._end(closed=False)
        elif pressed == Key.Key_Backspace or event.matches(QKeySequence.StandardKey.Undo):
            self._clicked_at = None
            self.canvas.paced.drop()
            self.canvas.taken_back.emit()
        elif pressed == Key.Key_F:
            self._sticky = not self._sticky
            self._set_free(Qt.KeyboardModifier.NoModifier)
            self._hover()
        elif pressed == Key.Key_Shift and not scene.by_keys:  # there it means ten pixels
            self._set_free(SHIFT)
            self._hover()
        elif pressed == Key.Key_Escape:
            self._reset()
            self.canvas.abandoned.emit()
        else:
            return False
        self.canvas.refresh()
        return True

    def shift_released(self) -> None:
        """Follow the ink again."""
        self._set_free(Qt.KeyboardModifier.NoModifier)
        self._hover()

    def leave(self) -> None:
        """The pen is put down: the curve is the owner's to keep or drop."""
        self._reset()

    def _set_free(self, modifiers: Qt.KeyboardModifier) -> None:
        self.scene.free = self._sticky or bool(modifiers & SHIFT)

    def _hover(self) -> None:
        if self.scene.aim is not None:
            x, y = self.scene.aim
            self.canvas.paced.offer(partial(self.canvas.hovered.emit, x, y, self.scene.free))
            self.canvas.refresh()

    def _click(self, x: float, y: float) -> None:
        self._clicked_at = (x, y)
        self.canvas.paced.drop()
        self.canvas.clicked.emit(x, y, self.scene.free)

    def _end(self, *, closed: bool) -> None:
        self._reset()
        self.canvas.finished.emit(closed)

    def _reset(self) -> None:
        self._clicked_at, self._sticky = None, False
        self.scene.closes = self.scene.free = False
        self.canvas.paced.drop()
