"""Points and pen on the canvas of the Trace place, by mouse and by keys: what each signal says."""

import numpy as np
import pytest
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

from app.gui.places.trace.canvas import TraceCanvas
from app.gui.places.trace.shapes import KnownPoint
from app.gui.places.trace.view import View
from tests.trace_hand import CONTROL, NONE, SHIFT, Hand, Key, straight


@pytest.fixture
def hand(qtbot):
    return Hand(qtbot)


@pytest.fixture
def points(hand):
    hand.canvas.set_mode("points")
    return hand


@pytest.fixture
def pen(hand):
    hand.canvas.set_mode("pen")
    return hand


# points


def test_a_click_places_a_point_where_the_button_is_let_go(points):
    points.click(110, 220)
    points.press(50, 60)
    points.move(52, 64)
    points.release(53, 65)
    assert points.said == [("placed", 50.0, 100.0), ("placed", 21.5, 22.5)]


def test_a_click_beside_the_picture_lands_on_its_edge_and_far_off_on_nothing(points):
    points.click(4, 120)  # the edge of the picture is at 9
    points.canvas.set_view(View(1.0, 100.0, 100.0))
    points.click(40, 150)
    assert points.said == [("placed", -0.5, 50.0)]


def test_dragging_a_known_point_keeps_the_grip_and_ends_once(points, qtbot):
    points.canvas.set_points([KnownPoint(10.0, 10.0, "1"), KnownPoint(50.0, 40.0, "2")])
    points.press(113, 101)  # the second one lies at (110, 100)
    for step in range(1, 11):
        points.move(113 + 2 * step, 101)
    assert points.canvas.scene.moved == (60.0, 40.0)
    points.release(133, 101)
    heard = points.heard("point_moved")
    assert heard[0][0] == 1
    assert heard[0][3] is False
    assert heard[-1] == [1, 60.0, 40.0, True]
    assert [final for *_, final in heard].count(True) == 1
    assert len(heard) < 8, "ten moves within a frame are told once or twice"
    assert points.heard("placed") == []
    qtbot.wait(40)
    assert points.heard("point_moved") == heard, "nothing comes late"


def test_a_trembling_click_on_a_known_point_moves_nothing(points):
    points.canvas.set_points([KnownPoint(50.0, 40.0, "1")])
    points.press(110, 100)
    points.move(111, 100)
    points.release(111, 101)
    assert points.said == []


def test_escape_puts_a_dragged_point_back(points):
    points.canvas.set_points([KnownPoint(50.0, 40.0, "1")])
    points.press(110, 100)
    points.move(150, 100)
    points.key(Key.Key_Escape)
    points.release(150, 100)
    assert points.heard("point_moved")[-1] == [0, 50.0, 40.0, True]
    assert points.heard("placed") == []


def test_points_by_keys_alone(points):
    for key, modifiers in (
        (Key.Key_Right, NONE),  # shows the crosshair in the middle: widget (210, 170)
        (Key.Key_Right, NONE),
        (Key.Key_Down, SHIFT),
        (Key.Key_Left, CONTROL),
        (Key.Key_Up, NONE),
    ):
        points.key(key, modifiers)
    points.key(Key.Key_Return)
    ((x, y),) = points.heard("placed")
    assert (x, y) == pytest.approx((100.0 + 1.0 - 0.2, 75.0 + 10.0 - 1.0))


def test_the_crosshair_stops_at_the_edge_and_the_view_follows_it(points):
    for _ in range(12):
        points.key(Key.Key_Right, SHIFT)
    points.key(Key.Key_Enter)
    assert points.heard("placed") == [[199.5, 75.0]]
    x, _ = points.canvas.view.to_widget(199.5, 75.0)
    assert 0.0 <= x <= points.canvas.width()


def test_a_point_chosen_by_keys_is_final_after_a_rest(points, qtbot):
    points.canvas.set_points([KnownPoint(10.0, 10.0, "1"), KnownPoint(50.0, 40.0, "2")])
    points.key(Key.Key_N, SHIFT)
    points.key(Key.Key_Up)
    points.key(Key.Key_Up)
    assert all(final is False for *_, final in points.heard("point_moved"))
    qtbot.waitUntil(lambda: points.heard("point_moved")[-1] == [1, 50.0, 38.0, True], timeout=900)
    points.key(Key.Key_Return)
    assert points.heard("placed") == [], "Enter lets go of a chosen point"
    points.key(Key.Key_Return)
    assert points.heard("placed") == [[50.0, 38.0]]


# pen


def test_pen_clicks_carry_free_from_shift_and_from_f(pen):
    pen.click(50, 60)
    pen.click(110, 220, SHIFT)
    pen.key(Key.Key_F)
    pen.click(112, 220)
    pen.key(Key.Key_F)
    pen.click(114, 220)
    assert pen.heard("clicked") == [
        [20.0, 20.0, False],
        [50.0, 100.0, True],
        [51.0, 100.0, True],
        [52.0, 100.0, False],
    ]


def test_hovering_is_told_once_a_frame_and_always_the_latest(pen, qtbot):
    for step in range(30):
        pen.move(50 + step, 60)
    assert 1 <= len(pen.heard("hovered")) < 15
    qtbot.waitUntil(lambda: pen.heard("hovered")[-1] == [34.5, 20.0, False], timeout=500)


def test_shift_alone_changes_the_preview(pen, qtbot):
    pen.move(50, 60)
    qtbot.keyPress(pen.canvas, Key.Key_Shift)
    qtbot.waitUntil(lambda: pen.heard("hovered")[-1] == [20.0, 20.0, True], timeout=500)
    qtbot.keyRelease(pen.canvas, Key.Key_Shift)
    qtbot.waitUntil(lambda: pen.heard("hovered")[-1] == [20.0, 20.0, False], timeout=500)


def test_shift_with_the_arrows_means_ten_pixels_and_follows_the_ink(pen, qtbot):
    pen.key(Key.Key_Right)
    qtbot.keyPress(pen.canvas, Key.Key_Shift)
    pen.key(Key.Key_Right, SHIFT)
    pen.key(Key.Key_Return)
    assert pen.heard("clicked") == [[110.0, 75.0, False]]


def test_a_double_click_ends_where_its_first_press_clicked(pen):
    pen.double(110, 220)
    assert pen.heard("clicked") == [[50.0, 100.0, False]]
    assert pen.heard("finished") == [[False]]


def test_enter_ends_with_the_mouse_and_clicks_with_the_keys(pen):
    pen.click(110, 220)
    pen.key(Key.Key_Return)
    assert pen.heard("finished") == [[False]]
    pen.key(Key.Key_Right)
    pen.key(Key.Key_Return)
    assert pen.heard("clicked") == [[50.0, 100.0, False], [51.0, 100.0, False]]
    assert len(pen.heard("finished")) == 1
    pen.key(Key.Key_Return)
    assert pen.heard("finished") == [[False], [False]]


@pytest.mark.parametrize("by_keys", [False, True])
def test_the_first_node_closes_the_curve(pen, by_keys):
    drawn = straight(3, "island", start=(50, 60), end=(50, 120), selected=True)
    pen.canvas.set_curves([drawn])
    if by_keys:
        pen.move(110, 144)
        pen.key(Key.Key_Up)
        pen.key(Key.Key_Return)
    else:
        pen.double(113, 142)  # the second press is swallowed
    assert pen.heard("finished") == [[True]]
    assert pen.heard("clicked") == []


def test_two_nodes_do_not_close(pen):
    pen.canvas.set_curves([straight(3, start=(50, 60), end=(50, 120), nodes=2, selected=True)])
    pen.click(110, 140)
    assert pen.heard("finished") == []
    assert pen.heard("clicked") == [[50.0, 60.0, False]]


def test_take_back_and_give_up(pen):
    pen.key(Key.Key_Backspace)
    pen.key(Key.Key_Z, CONTROL)
    pen.key(Key.Key_Escape)
    assert [name for name, *_ in pen.said] == ["taken_back", "taken_back", "abandoned"]


def test_undo_of_the_window_waits_while_the_pen_draws(qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    window.resize(300, 200)
    canvas, undone, taken = TraceCanvas(window), [], []
    action = QAction(window)
    action.setShortcut(QKeySequence.StandardKey.Undo)
    action.triggered.connect(lambda: undone.append(1))
    window.addAction(action)
    canvas.set_picture(np.zeros((20, 20, 3), dtype=np.uint8))
    canvas.taken_back.connect(lambda: taken.append(1))
    window.show()
    window.activateWindow()
    canvas.setFocus()
    qtbot.waitUntil(canvas.hasFocus)
    canvas.set_mode("pen")
    qtbot.keyClick(canvas, Key.Key_Z, CONTROL)
    assert (undone, taken) == ([], [1])
    canvas.set_mode("edit")
    qtbot.keyClick(canvas, Key.Key_Z, CONTROL)
    assert (undone, taken) == ([1], [1])
