"""What the canvas of the Trace place shows: view, loupe, layers, names, odd pictures."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QWidget

from app.chart_tools.palette import DARK
from app.gui.places.trace.canvas import TraceCanvas
from app.gui.places.trace.view import (
    LARGEST_ZOOM,
    View,
    fitted,
    in_sight,
    showing,
    smallest_zoom,
)
from tests.trace_hand import MIDDLE, Hand, Key, colour, pixels, rendered, straight

zooms = st.floats(0.02, 64.0)
places = st.floats(-5000.0, 5000.0)
sizes = st.integers(1, 5000)


@pytest.fixture
def hand(qtbot):
    return Hand(qtbot)


# transform


@given(zooms, places, places, places, places)
def test_there_and_back(zoom, left, top, x, y):
    view = View(zoom, left, top)
    assert view.to_picture(*view.to_widget(x, y)) == pytest.approx((x, y), abs=1e-6)
    assert view.place(np.array([[x, y]]))[0] == pytest.approx(view.to_widget(x, y), abs=1e-6)


@given(zooms, places, places, st.floats(0.1, 10.0), st.floats(0, 1400), st.floats(0, 850))
def test_zooming_keeps_what_lies_under(zoom, left, top, factor, x, y):
    view = View(zoom, left, top)
    closer = view.zoomed(factor, x, y, 0.01)
    assert closer.zoom == pytest.approx(min(max(zoom * factor, 0.01), LARGEST_ZOOM))
    assert closer.to_picture(x, y) == pytest.approx(view.to_picture(x, y), rel=1e-6, abs=1e-6)


@given(sizes, sizes, st.integers(240, 3000), st.integers(180, 2000))
def test_a_fitted_picture_lies_whole_and_in_the_middle(wide, tall, width, height):
    view = fitted(wide, tall, width, height)
    left, top = view.to_widget(-0.5, -0.5)
    right, bottom = view.to_widget(wide - 0.5, tall - 0.5)
    assert 0.0 <= left < right <= width
    assert 0.0 <= top < bottom <= height
    assert left + right == pytest.approx(width)
    assert top + bottom == pytest.approx(height)
    assert smallest_zoom(wide, tall, width, height) < view.zoom


@given(zooms, places, places, sizes, sizes)
def test_some_of_the_picture_stays_in_sight(zoom, left, top, wide, tall):
    view = in_sight(View(zoom, left, top), wide, tall, 800, 600)
    x0, y0 = view.to_widget(-0.5, -0.5)
    x1, y1 = view.to_widget(wide - 0.5, tall - 0.5)
    assert min(x1, 800) - max(x0, 0) >= min(48.0, x1 - x0) - 1e-6
    assert min(y1, 600) - max(y0, 0) >= min(48.0, y1 - y0) - 1e-6


@given(zooms, places, places, st.floats(0, 2000), st.floats(0, 2000))
def test_a_point_is_brought_in_sight(zoom, left, top, x, y):
    view = View(zoom, left, top)
    shown = showing(view, x, y, 800, 600, 40)
    across, down = shown.to_widget(x, y)
    assert 40 - 1e-6 <= across <= 760 + 1e-6
    assert 40 - 1e-6 <= down <= 560 + 1e-6
    assert showing(shown, x, y, 800, 600, 40).left == pytest.approx(shown.left)


# view by mouse and keys


def test_the_wheel_zooms_about_the_pointer_only_with_the_focus(hand):
    before = hand.canvas.view
    assert hand.wheel(110, 220, 120)
    assert hand.canvas.view.zoom == pytest.approx(2.4)
    assert hand.canvas.view.to_picture(110, 220) == pytest.approx((50.0, 100.0))
    hand.canvas.set_view(before)
    hand.canvas.clearFocus()
    assert not hand.wheel(110, 220, 120)
    assert hand.canvas.view == before


@pytest.mark.parametrize("way", ["middle", "space"])
@pytest.mark.parametrize("mode", ["look", "points", "pen", "edit"])
def test_the_picture_is_pushed_in_every_mode(hand, way, mode):
    hand.canvas.set_mode(mode)
    button = MIDDLE if way == "middle" else Qt.MouseButton.LeftButton
    if way == "space":
        QTest.keyPress(hand.canvas, Key.Key_Space)
    hand.press(100, 100, button)
    hand.move(110, 95)
    hand.release(110, 95, button)
    QTest.keyRelease(hand.canvas, Key.Key_Space)
    assert hand.canvas.view == View(2.0, 20.0, 15.0)
    assert hand.said == []
    hand.press(100, 100)
    hand.move(110, 95)
    hand.release(110, 95)
    moved = View(2.0, 30.0, 10.0) if mode in ("look", "edit") else View(2.0, 20.0, 15.0)
    assert hand.canvas.view == moved, "without Space the left button pushes only free ground"


def test_a_quick_second_press_pushes_too(hand):
    hand.double_press(100, 100)
    hand.move(110, 95)
    hand.release(110, 95)
    assert hand.canvas.view == View(2.0, 20.0, 15.0)


def test_the_crosshair_of_the_keys_goes_with_the_focus(hand):
    told = []
    hand.canvas.told.connect(told.append)
    hand.key(Key.Key_Right)
    assert told == ["100.0, 75.0 px"]
    hand.canvas.clearFocus()
    assert told[-1] == ""


def test_view_keys(hand):
    zoomed = []
    hand.canvas.view_changed.connect(zoomed.append)
    hand.key(Key.Key_Plus)
    hand.key(Key.Key_Minus)
    hand.key(Key.Key_Home)
    assert zoomed == pytest.approx([3.0, 2.0, (420 - 24) / 200])
    hand.canvas.resize(300, 340)
    assert hand.canvas.view.zoom == pytest.approx((300 - 24) / 200), "a fitted picture stays so"
    for _ in range(40):
        hand.key(Key.Key_Plus)
    assert hand.canvas.view.zoom == LARGEST_ZOOM


def test_keep_view(hand):
    hand.canvas.set_picture(np.zeros((150, 200, 3), dtype=np.uint8), keep_view=True)
    assert hand.canvas.view == View(2.0, 10.0, 20.0)
    hand.canvas.set_picture(np.zeros((150, 200, 3), dtype=np.uint8))
    assert hand.canvas.view.zoom == pytest.approx((420 - 24) / 200)


def test_tab_leaves_and_names_are_there(qtbot):
    host = QWidget()
    qtbot.addWidget(host)
    canvas, line = TraceCanvas(host), QLineEdit(host)
    host.show()
    host.activateWindow()
    canvas.set_picture(np.zeros((20, 20, 3), dtype=np.uint8))
    canvas.setFocus()
    qtbot.waitUntil(canvas.hasFocus)
    said = []
    for mode in ("look", "points", "pen", "edit"):
        canvas.set_mode(mode)
        said.append(canvas.accessibleDescription())
    assert canvas.accessibleName()
    assert len(set(said)) == 4
    qtbot.keyClick(canvas, Key.Key_Tab)
    assert line.hasFocus()


# loupe and layers

COLOURS = {
    (2, 1): (200, 30, 40),
    (3, 1): (20, 120, 60),
    (3, 2): (30, 60, 180),
    (2, 2): (250, 210, 0),
}


def coloured():
    picture = np.full((6, 8, 3), 255, dtype=np.uint8)
    for (x, y), shade in COLOURS.items():
        picture[y, x] = shade
    return picture


@pytest.mark.parametrize("ratio", [1, 2])
def test_the_loupe_shows_the_pixel_under_the_pointer_enlarged(qtbot, ratio):
    hand = Hand(qtbot, coloured())
    hand.canvas.set_mode("points")
    hand.canvas.set_dimming(0.7)
    hand.canvas.set_view(View(4.0, 200.0, 150.0))
    hand.move(212, 158)  # the middle of pixel (3, 2)
    image = rendered(hand.canvas, ratio)
    # four times four widget pixels a picture pixel: its square reaches 8 to each side
    for (x, y), shade in COLOURS.items():
        for dx, dy in ((-6, -6), (6, -6), (-6, 6), (6, 6)):
            across, down = 212 + 16 * (x - 3) + dx, 158 + 16 * (y - 2) + dy
            seen = image.pixelColor(ratio * across, ratio * down).getRgb()[:3]
            assert seen == shade, (x, y, dx, dy)
    hand.key(Key.Key_M)
    bare = rendered(hand.canvas, ratio)
    assert bare.pixelColor(ratio * 196, ratio * 142) != image.pixelColor(ratio * 196, ratio * 142)
    dimmed = bare.pixelColor(ratio * 212, ratio * 158).getRgb()[:3]
    assert dimmed == pytest.approx((188, 197, 233), abs=2)  # 30 % of the colour, 70 % white


def test_the_loupe_goes_with_the_mode_and_the_keys(hand):
    states = []
    for mode in ("points", "pen", "points"):
        hand.canvas.set_mode(mode)
        states.append(hand.canvas.scene.loupe)
        hand.key(Key.Key_M)
    assert states == [True, False, False]
    hand.canvas.set_loupe(True)
    assert hand.canvas.cursor().shape() == Qt.CursorShape.BlankCursor


def test_squares_stay_sharp_at_twice_the_pixels(qtbot):
    hand = Hand(qtbot, coloured())
    hand.canvas.set_view(View(8.0, 100.0, 100.0))
    image = rendered(hand.canvas, 2)
    # the edge between pixels (2, 1) and (3, 1) lies at widget 120: device pixels 239 and 240
    assert image.pixelColor(239, 216).getRgb()[:3] == COLOURS[2, 1]
    assert image.pixelColor(240, 216).getRgb()[:3] == COLOURS[3, 1]


def test_dimming_goes_towards_the_ground(hand):
    hand.canvas.set_ground(DARK)
    hand.canvas.set_dimming(0.5)
    image = rendered(hand.canvas, 1)
    assert image.pixelColor(210, 170).getRgb()[:3] == pytest.approx((138, 140, 142), abs=2)
    hand.canvas.set_dimming(0.0)
    assert colour(rendered(hand.canvas, 1), 210, 170) == "#ffffff"


def test_pushed_layers_show_what_a_fresh_drawing_shows(qtbot):
    rng = np.random.default_rng(4)
    picture = rng.integers(0, 255, (150, 200, 3), dtype=np.uint8)
    curves = [straight(1, start=(5, 5), end=(190, 140)), straight(2, start=(5, 140), end=(190, 9))]
    curves = [replace(one, label="") for one in curves]
    pushed, fresh = Hand(qtbot, picture).canvas, Hand(qtbot, picture).canvas
    for canvas in (pushed, fresh):
        canvas.clearFocus()
        canvas.set_curves(curves)
        canvas.set_view(View(5.0, 3.2, 2.2))  # no square edge half way between pixels
    pushed.repaint()
    for right, down in ((-60, 0), (-60, -70), (-130, -70), (20, 30), (-200, 0)):
        pushed.set_view(pushed.view.moved(right, down))
        pushed.repaint()
    fresh.set_view(pushed.view)
    one, other = (pixels(rendered(canvas, 1)) for canvas in (pushed, fresh))
    assert np.abs(one - other).max() <= 40, "edges may differ by a shade"
    assert (np.abs(one - other).max(axis=2) > 3).mean() < 0.002


def test_a_zoomed_view_is_drawn_properly_once_it_rests(hand, qtbot):
    hand.canvas.clearFocus()
    hand.canvas.set_curves([replace(straight(1), label="")])
    rendered(hand.canvas, 1)
    hand.canvas.zoom_by(4.0, QPointF(150, 120))  # on the curve
    stretched = pixels(rendered(hand.canvas, 1))
    qtbot.waitUntil(lambda: not hand.canvas._painting.draft, timeout=500)
    settled = pixels(rendered(hand.canvas, 1))
    dark = [(image.min(axis=2) < 128).sum() for image in (stretched, settled)]
    assert dark[0] > 2 * dark[1] > 0, "the stretched stroke is thicker"
