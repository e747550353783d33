"""A window on the Trace place with hands: mouse and keys on the canvas, values typed in panels.

The truth of the pictures is the samples' own drawing code and the sample map's file, read by hand.
"""

from __future__ import annotations

import functools
import time

import numpy as np
import shapely
from PySide6.QtCore import QEvent, QPointF, QSettings, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from trace_panel_hands import pick, press, write
from trace_pictures import FOLDER, draw

from app.gui.document import Document
from app.gui.preferences import Preferences
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build

NONE, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
CONTROL = Qt.KeyboardModifier.ControlModifier
LEFT = Qt.MouseButton.LeftButton
Key = Qt.Key

SAMPLE = "frame-95-middle"
PRINT, PHOTO = FOLDER / "practice-print.png", FOLDER / "practice-photo.jpg"
CORNERS = ((0.0, 1.0), (0.7, 1.0), (0.7, 2.8), (0.0, 2.8))
"""Values printed at the frame's corners: flow [kg/s], pressure ratio."""


@functools.cache
def seen(size=(1600, 1200), tilt=0.0):
    """The sample's print, or a photo of it, drawn again: where every value lies."""
    picture = draw.draw_print(draw.read_record(SAMPLE), size=size, oversampling=2)
    return draw.tilted(picture, tilt) if tilt else picture


@functools.cache
def small_picture(folder):
    """A file of the print at half the size, quickly made ready."""
    path = folder / "small-print.png"
    seen((800, 600)).image.save(path)
    return path


@functools.cache
def truth(kind, value=None):
    """Fine points of a curve as drawn: flow [kg/s], pressure ratio."""
    return next(
        one.points
        for one in seen().curves
        if one.kind == kind and (value is None or one.value == value)
    )


def along(points, count, closed=False):
    """Places spread evenly along a curve, on its share of the frame."""
    steps = np.hypot(*(np.diff(points, axis=0) / (0.7, 1.8)).T)
    length = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0.0, length[-1], count, endpoint=not closed)
    return np.column_stack([np.interp(at, length, column) for column in points.T])


def off(path, points, picture):
    """How far a path lies off a curve's truth: median and most [pixel]."""
    line = shapely.LineString(picture.to_pixels(points))
    drawn = shapely.segmentize(shapely.LineString(path), 1.0)
    apart = shapely.distance(line, shapely.points(shapely.get_coordinates(drawn)))
    return float(np.median(apart)), float(apart.max())


class Bench:
    """The window on the Trace place, and what a user does there."""

    def __init__(self, folder, size=(1400, 850), build="road-six"):
        settings = QSettings(str(folder / "set.ini"), QSettings.Format.IniFormat)
        preferences = Preferences(settings)
        preferences.change(hints_seen=True)
        self.build = Document(load_build(sample_builds()[build]), None)
        self.folder = folder
        self.window = Window(self.build, preferences, folder / "journal")
        self.window.resize(*size)
        self.window.show()
        self.to_front()
        self.window.rail.show_place("trace")
        self.place = self.window.places_by_key["trace"]
        self.canvas, self.desk = self.place.canvas, self.place.desk
        self.document = self.place.document
        self.stack = self.document.undo_stack
        self.picture, self.ready = None, 0
        QApplication.processEvents()

    def to_front(self):
        """Let the keys go to this window."""
        self.window.activateWindow()
        self.until(self.window.isActiveWindow)

    def close(self):
        """Close the window without its questions."""
        self.stack.setClean()
        self.build.undo.setClean()
        self.window.close()
        self.window.deleteLater()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)

    @staticmethod
    def until(what, seconds=10.0):
        """Let the window work until something is so."""
        end = time.monotonic() + seconds
        while not what():
            assert time.monotonic() < end, f"not within {seconds} s"
            QApplication.processEvents()
            time.sleep(0.003)

    def wait(self, seconds):
        """Let the window work for a while."""
        QTest.qWait(round(1000 * seconds))

    def calibrated(self):
        """Put a small print on the table, with its axes known: `fresh` comes back to here."""
        self.open(small_picture(self.folder), seen((800, 600)))
        self.calibrate()
        self.ready = self.stack.index()
        return self

    def fresh(self):
        """No curves, the pen in hand, nothing in the making; the history stays."""
        self.to_front()
        self.window.rail.show_place("trace")
        self.desk.abandon()
        self.place.pen.set_kind("speed_line")
        self.desk.take_pen("speed_line", None)
        while self.stack.index() > self.ready:
            self.stack.undo()
        self.document.path, self.document.embed = None, False
        self.place.picture.set_embed(False)
        self.canvas.fit()
        self.place.words.hide()
        self.rest()
        assert not self.trace.curves
        return self

    @property
    def trace(self):
        return self.document.trace

    @property
    def words(self):
        """What stands over the picture; nothing while hidden."""
        return self.place.words.text() if self.place.words.isVisible() else ""

    # the picture

    def open(self, path, picture=None):
        """Open a picture's file as the button does once its name is known."""
        self.picture = picture
        self.place.files.take_path(path)
        self.rest()

    def rest(self):
        """Wait until pictures are read and made ready, and the trace is judged."""
        document, feed = self.document, self.place.feed
        self.until(
            lambda: (
                not self.place.busy.words
                and not document._rest.isActive()
                and not feed._judge.isActive()
            )
        )

    def spot(self, values):
        """Place on the canvas of a flow and a pressure ratio, by the truth of the picture."""
        x, y = self.picture.to_pixels([values])[0]
        return self.spot_of((x, y))

    def spot_of(self, place):
        """Place on the canvas of a pixel of the picture as it was opened."""
        return QPointF(*self.canvas.view.to_widget(*self.desk.to_canvas([place])[0]))

    # mouse and keys on the canvas

    def _send(self, kind, at, button, held, modifiers):
        event = QMouseEvent(kind, at, self.canvas.mapToGlobal(at), button, held, modifiers)
        QApplication.sendEvent(self.canvas, event)

    def move(self, at, modifiers=NONE, held=Qt.MouseButton.NoButton):
        self._send(QEvent.Type.MouseMove, at, Qt.MouseButton.NoButton, held, modifiers)

    def click(self, at, modifiers=NONE):
        self.canvas.setFocus(Qt.FocusReason.MouseFocusReason)
        self.move(at, modifiers)
        self._send(QEvent.Type.MouseButtonPress, at, LEFT, LEFT, modifiers)
        self._send(QEvent.Type.MouseButtonRelease, at, LEFT, Qt.MouseButton.NoButton, modifiers)

    def double(self, at, modifiers=NONE):
        self.click(at, modifiers)
        self._send(QEvent.Type.MouseButtonDblClick, at, LEFT, LEFT, modifiers)
        self._send(QEvent.Type.MouseButtonRelease, at, LEFT, Qt.MouseButton.NoButton, modifiers)

    def drag(self, start, stop):
        self._send(QEvent.Type.MouseButtonPress, start, LEFT, LEFT, NONE)
        for share in (0.3, 0.7, 1.0):
            self.move(start + share * (stop - start), held=LEFT)
            self.wait(0.02)
        self._send(QEvent.Type.MouseButtonRelease, stop, LEFT, Qt.MouseButton.NoButton, NONE)

    def key(self, key, modifiers=NONE):
        """A key to whatever has the focus, through the window's shortcuts."""
        QTest.keyClick(QApplication.focusWidget() or self.window, key, modifiers)

    # whole steps

    def calibrate(self, jitter=2.0):
        """Click the corners, say what the axes show, type the corners' values."""
        for corner, off in zip(CORNERS, ((1, -1), (-1, 0.6), (0.7, 1), (-1, -1)), strict=True):
            self.click(self.spot(corner) + jitter * QPointF(*off))
        self.say_axes()
        self.type_corners()
        self.rest()

    def say_axes(self):
        axes = self.place.axes
        pick(axes.kind, "corrected mass flow")
        pick(axes.unit, "kg/s")
        pick(axes.pair, "25 \u00b0C, 100 kPa")
        pick(axes.basis, "total to total")

    def type_corners(self):
        for row, (flow, ratio) in zip(self.place.axes.points.rows, CORNERS, strict=False):
            write(row.flow, f"{flow:g}", Key.Key_Tab)
            write(row.ratio, f"{ratio:g}", Key.Key_Tab)

    def pen(self, kind, label=None):
        """Take the pen for a kind of curve; type its label, unless the guess is taken."""
        press(self.place.pen.buttons[kind])
        if label is not None:
            write(self.place.pen.box, label)

    def draw(self, kind, points, count, label=None, closed=False):
        """Draw a curve by clicks along its true places; an island is closed at its first one."""
        self.pen(kind, label)
        spots = [self.spot(values) for values in along(points, count, closed)]
        for at in spots:
            self.click(at)
        if closed:
            self.click(spots[0])
        else:
            self.key(Key.Key_Return)

    def lines(self, *speeds, count=4):
        for speed in speeds:
            self.draw("speed_line", truth("speed", float(speed)), count, str(speed))

    def shown(self):
        """Curves on the canvas: kind, label, nodes on the picture as it was opened."""
        return [
            (one.kind, one.label, len(one.nodes), one.closed) for one in self.canvas.scene.curves
        ]
