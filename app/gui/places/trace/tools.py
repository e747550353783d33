"""What mouse and keys do in each mode of the canvas: look, points and pen."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QKeyEvent

if TYPE_CHECKING:
    from app.gui.places.trace.canvas import TraceCanvas

Key, Cursor = Qt.Key, Qt.CursorShape

TREMBLE = 3
"""Widget pixels a pressed pointer may move before it drags."""

REST = 400
"""Milliseconds without an arrow key after which a nudge is final."""


class Tool:
    """A mode: positions come in widget pixels; what is outside the picture is not pressed.

    Parameters
    ----------
    canvas : TraceCanvas
        Whose scene is changed and whose signals are emitted.
    """

    help = "Arrow keys move the crosshair."
    loupe_at_start = False

    def __init__(self, canvas: TraceCanvas) -> None:
        self.canvas, self.scene = canvas, canvas.scene

    def cursor(self) -> Cursor:
        """Shape of the pointer."""
        return Cursor.ArrowCursor

    def pans(self, at: QPointF) -> bool:
        """Whether the left button pushes the picture from here."""
        return False

    def press(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Left button down."""

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Pointer or crosshair moved, whatever the button."""

    def release(self, at: QPointF) -> None:
        """Left button up."""

    def double(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Left button pressed a second time."""

    def key(self, event: QKeyEvent) -> bool:
        """Key down; whether it meant something."""
        return False

    def nudge(self, right: float, down: float) -> bool:
        """Arrow key, in picture pixels; whether something chosen was moved."""
        return False

    def menu(self, at: QPointF, where: QPoint) -> None:
        """Context menu asked for."""

    def leave(self) -> None:
        """The mode ends, or the gesture is lost."""


class LookTool(Tool):
    """Left drag pushes the picture."""

    help = "Drag pushes the picture, the wheel zooms, plus and minus zoom, Home shows all."

    def cursor(self) -> Cursor:
        """Return an open hand."""
        return Cursor.OpenHandCursor

    def pans(self, at: QPointF) -> bool:
        """Everywhere."""
        return True


class NudgeTool(Tool):
    """A tool whose chosen thing is moved by drag and by arrow keys; one drag, one final word."""

    def __init__(self, canvas: TraceCanvas) -> None:
        super().__init__(canvas)
        self._grip: QPointF | None = None
        self._pressed = QPointF()
        self._start = self._last = (0.0, 0.0)
        self._dragged = self._nudging = False
        self._rest = QTimer(canvas)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST)
        self._rest.timeout.connect(self.settle)

    def chosen_spot(self) -> tuple[float, float] | None:
        """Picture point of what is chosen."""
        raise NotImplementedError

    def tell(self, x: float, y: float, final: bool) -> None:
        """Emit where it stands."""
        raise NotImplementedError

    def grip(self, at: QPointF, start: tuple[float, float]) -> None:
        """Take hold, at widget pixels, of the chosen thing that stands at a picture point."""
        self._start = self._last = start
        self._grip = QPointF(*self.canvas.view.to_widget(*start)) - at
        self._pressed, self._dragged = QPointF(at), False

    @property
    def gripped(self) -> bool:
        """Whether something is held."""
        return self._grip is not None

    def drag(self, at: QPointF) -> None:
        """Move what is held; a hand that only trembles moves nothing."""
        assert self._grip is not None
        if not self._dragged and (at - self._pressed).manhattanLength() < TREMBLE:
            return
        self._dragged = True
        self._put(*self.canvas.spot(at + self._grip))

    def let_go(self) -> None:
        """End of a drag."""
        dragged, self._grip, self._dragged = self._dragged, None, False
        if dragged:
            self._finish()

    def nudge(self, right: float, down: float) -> bool:
        """Move what is chosen by picture pixels."""
        spot = self.chosen_spot()
        if spot is None:
            return False
        if self.gripped:
            return True
        if not self._nudging:
            self._nudging, self._start, self._last = True, spot, spot
        self._rest.start()
        # from where it was put, not from where the owner may have snapped it to
        self._put(*self.canvas.clamped(self._last[0] + right, self._last[1] + down))
        self.canvas.aim_at(*self._last, by_keys=True)
        return True

    def settle(self) -> None:
        """Make a nudge final now."""
        self._rest.stop()
        nudging, self._nudging = self._nudging, False
        if nudging:
            self._finish()

    def cancel(self) -> bool:
        """Put what is held back where it was; whether something was."""
        held = self._dragged or self._nudging
        self._grip, self._dragged, self._nudging = None, False, False
        self._rest.stop()
        self._last = self._start
        if held:
            self._finish()
        return held

    def leave(self) -> None:
        """A drag that is lost ends where it is."""
        self.let_go()
        self.settle()

    def _put(self, x: float, y: float) -> None:
        # what is drawn follows even where the owner is slow; the owner's answer lets go of it
        self._last = self.scene.moved = (x, y)
        self.canvas.paced.offer(partial(self.tell, x, y, False))
        self.canvas.refresh()

    def _finish(self) -> None:
        self.canvas.paced.drop()
        self.scene.moved = None
        self.tell(*self._last, True)
        self.canvas.refresh()


class PointsTool(NudgeTool):
    """Places known points and moves them."""

    help = (
        "Click places a point, drag moves one. Arrow keys move the crosshair, Enter places; "
        "N and Shift+N choose a point for the arrow keys, Escape lets it go. M is the loupe."
    )
    loupe_at_start = True

    def __init__(self, canvas: TraceCanvas) -> None:
        super().__init__(canvas)
        self._placing = False

    def cursor(self) -> Cursor:
        """Nothing where the loupe has its own crosshair."""
        if self.scene.loupe:
            return Cursor.BlankCursor
        return Cursor.SizeAllCursor if self.scene.point_under >= 0 else Cursor.CrossCursor

    def chosen_spot(self) -> tuple[float, float] | None:
        """Picture point of the chosen known point."""
        number = self.scene.point_chosen
        if number < 0:
            return None
        return self.scene.points[number].x, self.scene.points[number].y

    def tell(self, x: float, y: float, final: bool) -> None:
        """Emit where the chosen point stands."""
        self.canvas.point_moved.emit(self.scene.point_chosen, x, y, final)

    def press(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Take hold of a point, or begin to aim a new one."""
        self.settle()
        number = self.scene.find_point(self.canvas.view, at.x(), at.y())
        self.scene.point_chosen = number
        self._placing = number < 0
        if number >= 0:
            self.grip(at, (self.scene.points[number].x, self.scene.points[number].y))

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Drag, or look what is under."""
        if self.gripped:
            self.drag(at)
            self.canvas.aim_at(*self._last, by_keys=False)
            return
        self.scene.point_under = self.scene.find_point(self.canvas.view, at.x(), at.y())

    def release(self, at: QPointF) -> None:
        """Place where the button is let go: aimed while it was held."""
        placing, self._placing = self._placing, False
        if self.gripped:
            self.let_go()
            self.scene.point_chosen = -1
        elif placing and self.canvas.on_picture(at):
            self.canvas.placed.emit(*self.canvas.spot(at))

    def key(self, event: QKeyEvent) -> bool:
        """Enter places, N walks, Escape lets go."""
        pressed = event.key()
        if pressed in (Key.Key_Return, Key.Key_Enter) and self.scene.aim is not None:
            self.settle()
            if self.scene.point_chosen < 0:
                self.canvas.placed.emit(*self.scene.aim)
            self.scene.point_chosen = -1
        elif pressed == Key.Key_N and self.scene.points:
            self.settle()
            back = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            count, now = len(self.scene.points), self.scene.point_chosen
            if now < 0:
                now = 0 if back else -1
            self.scene.point_chosen = (now + (-1 if back else 1)) % count
            spot = self.chosen_spot()
            assert spot is not None
            self.canvas.aim_at(*spot, by_keys=True)
        elif pressed == Key.Key_Escape:
            held = self._placing
            self._placing = False
            chosen, moved = self.scene.point_chosen, self.cancel()
            self.scene.point_chosen = -1
            return held or moved or chosen >= 0
        else:
            return False
        self.canvas.refresh()
        return True

    def leave(self) -> None:
        """Forget what was aimed."""
        super().leave()
        self._placing = False
        self.scene.point_chosen = self.scene.point_under = -1
