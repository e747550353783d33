"""Editing curves on the canvas of the Trace place, by mouse and by keys: what each signal says."""

from dataclasses import replace

import pytest
from PySide6.QtGui import QContextMenuEvent

from app.gui.places.trace.shapes import Mark
from tests.trace_hand import CONTROL, SHIFT, Hand, Key, straight


@pytest.fixture
def edit(qtbot):
    """Nodes at picture (20, 50), (70, 50), (120, 50): widget (50, 120), (150, 120), (250, 120)."""
    hand = Hand(qtbot)
    hand.canvas.set_mode("edit")
    hand.canvas.set_curves([straight(7, selected=True), straight(8, start=(20, 90), end=(120, 90))])
    return hand


def test_a_node_is_chosen_and_dragged_while_the_owner_answers(edit, qtbot):
    def answer(key, node, x, y, final):
        curves = []
        for one in edit.canvas.scene.curves:
            nodes = one.nodes.copy()
            if one.key == key:
                nodes[node] = x, y
            curves.append(replace(one, nodes=nodes))
        edit.canvas.set_curves(curves)

    edit.canvas.node_moved.connect(answer)
    edit.press(151, 122)
    for step in range(1, 11):
        edit.move(151 + step, 122 + 2 * step)
    edit.release(161, 142)
    heard = edit.heard("node_moved")
    assert edit.heard("node_chosen") == [[7, 1]]
    assert heard[-1] == [7, 1, 75.0, 60.0, True]
    assert [final for *_, final in heard].count(True) == 1
    assert tuple(edit.canvas.scene.curve(7).nodes[1]) == (75.0, 60.0)
    assert edit.heard("curve_chosen") == [], "it was chosen already"


def test_a_node_of_another_curve_chooses_that_curve(edit):
    edit.click(150, 200)
    assert edit.said == [("curve_chosen", 8), ("node_chosen", 8, 1)]


def test_a_click_on_a_path_chooses_the_curve_and_on_ground_lets_go(edit):
    edit.click(150, 120)
    edit.click(100, 203)
    assert edit.said == [("node_chosen", 7, 1), ("node_chosen", -1, -1), ("curve_chosen", 8)]
    edit.click(150, 120)
    edit.said.clear()
    edit.click(300, 300)
    assert edit.said == [("node_chosen", -1, -1)]


@pytest.mark.parametrize("way", ["double", "control"])
def test_a_node_is_inserted_on_the_path_in_its_segment(edit, way):
    if way == "double":
        edit.double(200, 123)
    else:
        edit.click(200, 123, CONTROL)
    ((key, segment, x, y),) = edit.heard("node_inserted")
    assert (key, segment) == (7, 1)
    assert (x, y) == pytest.approx((95.0, 50.0))


def test_delete_insert_and_the_arrows_work_on_the_chosen_node(edit, qtbot):
    edit.key(Key.Key_N)
    edit.key(Key.Key_N)
    assert edit.heard("node_chosen") == [[7, 0], [7, 1]]
    edit.key(Key.Key_N, SHIFT)
    edit.key(Key.Key_N, SHIFT)
    assert edit.heard("node_chosen")[2:] == [[7, 0], [7, 2]]
    edit.key(Key.Key_Delete)
    assert edit.heard("node_deleted") == [[7, 2]]
    edit.key(Key.Key_Insert)
    assert edit.heard("node_inserted") == [[7, 1, 95.0, 50.0]]
    edit.key(Key.Key_Left, SHIFT)
    edit.key(Key.Key_Down)
    qtbot.waitUntil(lambda: edit.heard("node_moved")[-1] == [7, 2, 110.0, 51.0, True], timeout=900)


def test_leaving_the_canvas_makes_a_nudge_final(edit):
    edit.canvas.choose_node(7, 0)
    edit.key(Key.Key_Down)
    edit.canvas.clearFocus()
    assert edit.heard("node_moved")[-1] == [7, 0, 20.0, 51.0, True]


def test_escape_puts_a_dragged_node_back(edit):
    edit.press(150, 120)
    edit.move(190, 160)
    edit.key(Key.Key_Escape)
    edit.release(190, 160)
    assert edit.heard("node_moved")[-1] == [7, 1, 70.0, 50.0, True]
    edit.key(Key.Key_Escape)
    assert edit.heard("node_chosen")[-1] == [-1, -1]


def test_curves_are_walked_by_keys_and_pressed_with_the_crosshair(edit):
    edit.key(Key.Key_C)
    edit.key(Key.Key_C, SHIFT)
    assert edit.heard("curve_chosen") == [[8], [8]], "two curves: next and previous are one"
    edit.move(150, 118)
    edit.key(Key.Key_Down)
    edit.key(Key.Key_Return)
    assert edit.heard("node_chosen") == [[7, 1]]


def test_the_menu_is_asked_for_node_and_path_by_mouse_and_keys(edit):
    edit.menu(250, 121)
    edit.menu(200, 121)
    edit.menu(300, 300)
    edit.canvas.choose_node(7, 0)
    edit.key(Key.Key_N)
    edit.menu(0, 0, QContextMenuEvent.Reason.Keyboard)
    asked = edit.heard("menu_asked")
    assert [(key, node) for key, node, _ in asked] == [(7, 2), (7, -1), (7, 1)]
    assert edit.canvas.mapFromGlobal(asked[-1][2]).toTuple() == (150, 120)


def test_a_vanished_node_is_not_dragged_on(edit):
    edit.press(150, 120)
    edit.move(160, 120)
    edit.canvas.set_curves([])
    edit.said.clear()
    edit.move(170, 120)
    edit.release(170, 120)
    assert edit.heard("node_moved") == []


def test_what_lies_under_the_pointer_is_said(edit, qtbot):
    told = []
    edit.canvas.told.connect(told.append)
    edit.canvas.set_words(lambda x, y: f"{x / 100:.2f} kg/s")
    edit.move(150, 121)
    assert told[-1] == "0.70 kg/s  ·  point 2 of line 7"
    marked = replace(straight(7), marks=(Mark(2, "over", "look at point 3"),))
    edit.canvas.set_curves([marked])
    edit.move(250, 121)
    assert told[-1] == "1.20 kg/s  ·  point 3 of line 7  ·  look at point 3"
