"""A canvas on the screen with a hand that presses, moves and types, for the tests of tracing."""

import numpy as np
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QImage, QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.gui.places.trace.canvas import TraceCanvas
from app.gui.places.trace.shapes import CurveView
from app.gui.places.trace.view import View

NONE, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
CONTROL = Qt.KeyboardModifier.ControlModifier
LEFT, MIDDLE = Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton
Key = Qt.Key

SIGNALS = (
    "placed",
    "point_moved",
    "clicked",
    "hovered",
    "finished",
    "taken_back",
    "abandoned",
    "node_moved",
    "node_inserted",
    "node_deleted",
    "node_chosen",
    "curve_chosen",
    "menu_asked",
)


class Hand:
    """Sends events to a canvas and writes down what it says.

    The picture is 200 x 150; at the start a picture pixel takes two widget pixels and (0, 0) lies
    at (10, 20): widget (110, 220) is the picture point (50, 100).
    """

    def __init__(self, qtbot, picture=None):
        self.canvas = TraceCanvas()
        qtbot.addWidget(self.canvas)
        self.canvas.resize(420, 340)
        self.canvas.set_picture(
            picture if picture is not None else np.full((150, 200, 3), 255, dtype=np.uint8)
        )
        self.canvas.show()
        qtbot.waitExposed(self.canvas)
        self.canvas.activateWindow()
        self.canvas.setFocus()
        qtbot.waitUntil(self.canvas.hasFocus)
        self.canvas.set_view(View(2.0, 10.0, 20.0))
        self.said = []
        for name in SIGNALS:
            signal = getattr(self.canvas, name)
            signal.connect(lambda *values, name=name: self.said.append((name, *values)))
        self._held = Qt.MouseButton.NoButton

    def heard(self, name):
        """Values of one signal, in order."""
        return [values for said, *values in self.said if said == name]

    def press(self, x, y, button=LEFT, modifiers=NONE):
        self._held = button
        self._send(QEvent.Type.MouseButtonPress, x, y, button, modifiers)

    def move(self, x, y, modifiers=NONE):
        self._send(QEvent.Type.MouseMove, x, y, Qt.MouseButton.NoButton, modifiers)

    def release(self, x, y, button=LEFT, modifiers=NONE):
        self._held = Qt.MouseButton.NoButton
        self._send(QEvent.Type.MouseButtonRelease, x, y, button, modifiers)

    def click(self, x, y, modifiers=NONE):
        self.press(x, y, modifiers=modifiers)
        self.release(x, y, modifiers=modifiers)

    def double_press(self, x, y, modifiers=NONE):
        self.click(x, y, modifiers)
        self._held = LEFT
        self._send(QEvent.Type.MouseButtonDblClick, x, y, LEFT, modifiers)

    def double(self, x, y, modifiers=NONE):
        self.double_press(x, y, modifiers)
        self.release(x, y, modifiers=modifiers)

    def wheel(self, x, y, turn):
        at = QPointF(x, y)
        event = QWheelEvent(
            at,
            self.canvas.mapToGlobal(at),
            QPoint(),
            QPoint(0, turn),
            Qt.MouseButton.NoButton,
            NONE,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(self.canvas, event)
        return event.isAccepted()

    def menu(self, x, y, reason=QContextMenuEvent.Reason.Mouse):
        at = QPointF(x, y).toPoint()
        event = QContextMenuEvent(reason, at, self.canvas.mapToGlobal(at))
        QApplication.sendEvent(self.canvas, event)

    def key(self, key, modifiers=NONE):
        QTest.keyClick(self.canvas, key, modifiers)

    def _send(self, kind, x, y, button, modifiers):
        at = QPointF(x, y)
        held = self._held
        event = QMouseEvent(kind, at, self.canvas.mapToGlobal(at), button, held, modifiers)
        QApplication.sendEvent(self.canvas, event)


def straight(key=0, kind="speed", *, start=(20.0, 50.0), end=(120.0, 50.0), nodes=3, **more):
    """A straight curve of 101 points with equally spaced nodes."""
    path = np.column_stack([np.linspace(a, b, 101) for a, b in zip(start, end, strict=True)])
    picked = path[np.linspace(0, 100, nodes).round().astype(int)]
    return CurveView(key, kind, f"line {key}", path, picked, **more)


def colour(image, x, y):
    """Colour "#rrggbb" of a pixel."""
    return image.pixelColor(x, y).name()


def rendered(canvas, ratio=1):
    """A canvas as an image, at so many pixels a widget pixel."""
    image = QImage(canvas.size() * ratio, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    canvas.render(image, QPoint())
    return image


def pixels(image):
    """Blue, green, red of an image, height x width x 3."""
    data = np.frombuffer(image.constBits(), dtype=np.uint8).astype(int)
    return data.reshape(image.height(), image.width(), 4)[:, :, :3]
