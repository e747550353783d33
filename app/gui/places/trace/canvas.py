"""The table of the Trace place: a picture with curves and points over it, by mouse and keys."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from app.gui.places.trace.edit_tool import EditTool
from app.gui.places.trace.paced import Paced
from app.gui.places.trace.pen_tool import PenTool
from app.gui.places.trace.shapes import Hit
from app.gui.places.trace.table import Table
from app.gui.places.trace.tools import LookTool, PointsTool, Tool

Key = Qt.Key
SHIFT, CONTROL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier

ARROWS = {Key.Key_Left: (-1, 0), Key.Key_Right: (1, 0), Key.Key_Up: (0, -1), Key.Key_Down: (0, 1)}
OWN_KEYS = frozenset(
    {*ARROWS, Key.Key_Space, Key.Key_Plus, Key.Key_Equal, Key.Key_Minus, Key.Key_Home, Key.Key_M,
     Key.Key_F, Key.Key_Delete, Key.Key_Backspace, Key.Key_Insert,
     Key.Key_Return, Key.Key_Enter, Key.Key_Escape}
)  # fmt: skip
"""Keys that stay here even where a window has them as shortcuts."""

WALKING_KEYS = frozenset({Key.Key_N, Key.Key_C})
"""The same while curves are edited: elsewhere C takes the choke line in hand."""

WHEEL_STEP, KEY_STEP = 1.2, 1.5


class TraceCanvas(Table):
    """A picture on which points are placed, curves drawn and edited.

    Signals
    -------
    placed(x, y), point_moved(number, x, y, final)
        Mode "points".
    clicked(x, y, free), hovered(x, y, free), finished(closed), taken_back(), abandoned()
        Mode "pen"; ``hovered`` at most once a frame.
    node_moved(key, node, x, y, final), node_inserted(key, segment, x, y),
    node_deleted(key, node), node_chosen(key, node), curve_chosen(key), menu_asked(key, node, where)
        Mode "edit"; ``final`` once a drag, or when the arrow keys have rested.
    """

    placed = Signal(float, float)
    point_moved = Signal(int, float, float, bool)
    clicked = Signal(float, float, bool)
    hovered = Signal(float, float, bool)
    finished = Signal(bool)
    taken_back = Signal()
    abandoned = Signal()
    node_moved = Signal(int, int, float, float, bool)
    node_inserted = Signal(int, int, float, float)
    node_deleted = Signal(int, int)
    node_chosen = Signal(int, int)
    curve_chosen = Signal(int)
    menu_asked = Signal(int, int, QPoint)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.paced = Paced(self)
        self._edit, self._pen = EditTool(self), PenTool(self)
        self._tools: dict[str, Tool] = {
            "look": LookTool(self),
            "points": PointsTool(self),
            "pen": self._pen,
            "edit": self._edit,
        }
        self._loupes = {name: tool.loupe_at_start for name, tool in self._tools.items()}
        self._tool = self._tools["look"]
        self._space = self._panned = False
        self._pan_from: QPointF | None = None
        self.set_mode("look")

    def set_mode(self, mode: str) -> None:
        """Take the tool of a mode: "look", "points", "pen" or "edit"."""
        if mode not in self._tools:
            raise ValueError(f"mode is {mode!r}; allowed: {', '.join(self._tools)}")
        self.let_go()
        self.scene.mode = mode
        self._tool = self._tools[mode]
        self.scene.loupe = self._loupes[mode]
        self.setAccessibleDescription(self._tool.help)
        self.refresh()

    def set_loupe(self, on: bool) -> None:
        """Show the loupe in this mode, or not."""
        self.scene.loupe = self._loupes[self.scene.mode] = on
        self.refresh()

    def choose_node(self, key: int, node: int) -> None:
        """Choose a node for the arrow keys and bring it in sight; node -1 lets go."""
        self.scene.chosen = Hit(key, node) if node >= 0 else None
        self.scene.forget()
        spot = self.scene.node_spot(self.scene.chosen) if self.scene.chosen is not None else None
        if spot is not None:
            self.show_spot(*spot)
        self.refresh()

    def let_go(self) -> None:
        """End what the tool is at."""
        self._tool.leave()

    def refresh(self) -> None:
        """Paint soon; show the tool's pointer."""
        super().refresh()
        panning = self._pan_from is not None
        hand = Qt.CursorShape.ClosedHandCursor if panning else Qt.CursorShape.OpenHandCursor
        shape = hand if panning or self._space else self._tool.cursor()
        if self.scene.picture is None:
            shape = Qt.CursorShape.ArrowCursor
        if self.cursor().shape() != shape:
            self.setCursor(shape)

    # mouse

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer, once the canvas has the focus."""
        turn = event.angleDelta().y()
        if not self.hasFocus() or turn == 0 or self.scene.picture is None:
            event.ignore()
            return
        self.zoom_by(WHEEL_STEP ** (turn / 120.0), event.position())
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Push the picture, or use the tool."""
        at, left = event.position(), event.button() == Qt.MouseButton.LeftButton
        if self.scene.picture is None or self._pan_from is not None:
            return
        pans = left and (self._space or self._tool.pans(at))
        if pans or event.button() == Qt.MouseButton.MiddleButton:
            self._pan_from, self._panned = at, False
        elif left and self.on_picture(at):
            self.aim_at(*self.spot(at), by_keys=False)
            self._tool.press(at, event.modifiers())
        self.refresh()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Push the picture, or follow the pointer."""
        at = event.position()
        if self._pan_from is not None:
            step = at - self._pan_from
            self._pan_from = at
            self._panned = True
            self.set_view(self.view.moved(step.x(), step.y()))
        elif self.scene.picture is not None:
            self._follow(at, event.modifiers(), held=bool(event.buttons()))

    def _follow(self, at: QPointF, modifiers: Qt.KeyboardModifier, *, held: bool) -> None:
        if held or self.on_picture(at):
            self.aim_at(*self.spot(at), by_keys=False)
        elif not self.scene.by_keys:
            self.scene.aim = None
        self._tool.move(at, modifiers)
        self.refresh()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End of a push, or of what the tool does."""
        if self._pan_from is not None:
            self._pan_from = None
            if self._panned:
                self._settle()
            elif self._tool is self._edit and not self._space:
                self._edit.ground_clicked()
        elif event.button() == Qt.MouseButton.LeftButton and self.scene.picture is not None:
            self._tool.release(event.position())
        self.refresh()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Second press: the tool's, where the first was."""
        at = event.position()
        left = event.button() == Qt.MouseButton.LeftButton
        if not left or self._space or self._tool.pans(at):
            self.mousePressEvent(event)
        elif self.on_picture(at):
            self._tool.double(at, event.modifiers())
            self.refresh()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Ask for the menu of what is under the pointer, or of what the keys have chosen."""
        if self.scene.picture is None or self._pan_from is not None:
            return
        at = QPointF(event.pos())
        where = event.globalPos()
        if event.reason() == QContextMenuEvent.Reason.Keyboard and self.scene.aim is not None:
            at = QPointF(*self.view.to_widget(*self.scene.aim))
            where = self.mapToGlobal(at.toPoint())
        self._tool.menu(at, where)

    def leaveEvent(self, event: QEvent) -> None:
        """Without a pointer nothing is aimed at; the keys' crosshair stays."""
        if not self.scene.by_keys:
            self.scene.aim = None
            self.scene.under = self.scene.mark_under = None
            self.scene.point_under = -1
            self.paced.drop()
        self.refresh()

    # keys

    def event(self, event: QEvent) -> bool:
        """Keep keys that mean something here from the window's shortcuts."""
        if event.type() == QEvent.Type.ShortcutOverride and self.scene.picture is not None:
            assert isinstance(event, QKeyEvent)
            undo = event.matches(QKeySequence.StandardKey.Undo) and self._tool is self._pen
            plain = not event.modifiers() & ~(SHIFT | Qt.KeyboardModifier.KeypadModifier)
            arrow = event.key() in ARROWS and not event.modifiers() & ~(
                SHIFT | CONTROL | Qt.KeyboardModifier.KeypadModifier
            )
            mine = event.key() in OWN_KEYS or (
                event.key() in WALKING_KEYS and self._tool is self._edit
            )
            if undo or arrow or (plain and mine):
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrow keys, view keys, then the tool's."""
        if self.scene.picture is None or not self._key(event):
            super().keyPressEvent(event)
        self.refresh()

    def _key(self, event: QKeyEvent) -> bool:
        pressed = event.key()
        if pressed in ARROWS:
            self._arrow(ARROWS[pressed], event.modifiers())
        elif pressed == Key.Key_Space:
            self._space = True
        elif pressed in (Key.Key_Plus, Key.Key_Equal):
            self.zoom_by(KEY_STEP)
        elif pressed == Key.Key_Minus:
            self.zoom_by(1.0 / KEY_STEP)
        elif pressed == Key.Key_Home:
            self.fit()
        elif pressed == Key.Key_M:
            self.set_loupe(not self.scene.loupe)
        else:
            return self._tool.key(event)
        return True

    def _arrow(self, way: tuple[int, int], modifiers: Qt.KeyboardModifier) -> None:
        step = 10.0 if modifiers & SHIFT else 0.2 if modifiers & CONTROL else 1.0
        if self._tool.nudge(step * way[0], step * way[1]):
            return
        start = self.scene.aim
        if start is None:  # the first arrow key only shows the crosshair
            middle = self.spot(QPointF(0.5 * self.width(), 0.5 * self.height()))
            spot = float(round(middle[0])), float(round(middle[1]))
        else:
            spot = self.clamped(start[0] + step * way[0], start[1] + step * way[1])
        self.aim_at(*spot, by_keys=True)
        self._tool.move(QPointF(*self.view.to_widget(*spot)), Qt.KeyboardModifier.NoModifier)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Space and Shift are held keys."""
        if event.key() == Key.Key_Space and not event.isAutoRepeat():
            self._space = False
        elif event.key() == Key.Key_Shift and self._tool is self._pen:
            self._pen.shift_released()
        else:
            super().keyReleaseEvent(event)
        self.refresh()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the frame."""
        super().focusInEvent(event)
        self.refresh()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Held keys are let go; a nudge is final."""
        super().focusOutEvent(event)
        self._space = False
        if self.scene.by_keys and event.reason() != Qt.FocusReason.PopupFocusReason:
            self.scene.aim, self.scene.by_keys = None, False
        for tool in (self._tools["points"], self._edit):
            tool.settle()
        self.refresh()
