"""The belt layout's dialog: typing, faults told, nothing lost, one step, removal, export."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QDialog

from app.gui.export_dialog import ExportChoice
from app.gui.layout_dialog import LAYOUT_PATHS, LayoutDialog
from app.gui.places.line.side import SidePanel
from app.gui.recompute import Recompute
from engine_model.plan_examples import two_pulleys, with_spring_idler
from tests.belt_plans import FOUR, PAIR, SLID, laid


@pytest.fixture
def build(sample_build):
    return laid(
        sample_build("frame-95-middle"), None,
        crank_pulley_diameter=0.18, blower_pulley_diameter=0.078, fitted_pulley_diameter=0.084,
    )  # fmt: skip


@pytest.fixture
def opened(hosted, preferences, build):
    def make(plan=FOUR, draft=None):
        dialog = hosted(LayoutDialog(replace(build, layout=plan), preferences, draft))
        dialog.show()
        QApplication.processEvents()
        return dialog

    return make


def typed(qtbot, box, text):
    box.selectAll()
    qtbot.keyClicks(box, text)


def choose(box, data):
    box.setCurrentIndex(box.findData(data))


def test_a_layout_is_shown_as_it_is(opened):
    dialog = opened()
    assert [row["name"].text() for row in dialog.rows.boxes] == ["crank", "idler", "blower", "pump"]
    assert [row["x"].text() for row in dialog.rows.boxes] == ["0.0", "160.0", "300.0", "150.0"]
    # the drive's own diameters are shown and closed: the crank's, and that of the pulley that fits
    shown = [(row["diameter"].text(), row["diameter"].isEnabled()) for row in dialog.rows.boxes]
    assert shown == [("180.0", False), ("90.0", True), ("84.0", False), ("120.0", True)]
    assert dialog.rows.boxes[3]["power"].text() == "3.0"
    assert dialog.tensioner.boxes["pivot_y"].text() == "-170.0"
    assert dialog.tensioner.pulley.currentText() == "idler"
    assert dialog.back_offset.text() == "1.2"
    assert not dialog.sentence.isVisible()
    assert dialog.fit_line.text().startswith("Same belt? ")
    assert dialog.build().layout == FOUR
    assert not dialog.is_edited
    assert "hands, hair and clothing" in " ".join(
        label.text() for label in dialog.findChildren(type(dialog.sentence))
    )


def test_typing_redraws_and_tells_the_first_fault(qtbot, opened):
    dialog = opened()
    before = dialog.chart.series.outline
    box = dialog.rows.boxes[1]["y"]
    typed(qtbot, box, "-95")
    assert dialog.chart.series.circles[1].y == -95.0
    assert (
        dialog.chart.series.outline.shape != before.shape
        or (dialog.chart.series.outline != before).any()
    )
    typed(qtbot, box, "-95 m")
    assert dialog.sentence.text() == (
        "Pulley 2 (idler), y: -95 m given; allowed: -3000.0 mm to 3000.0 mm"
    )
    assert dialog.sentence.isVisible()
    assert box.property("wrong")
    # the pulleys that can be read stay drawn, without a belt
    assert [one.name for one in dialog.chart.series.circles] == ["crank", "blower", "pump"]
    assert not dialog.chart.series.outline.size
    typed(qtbot, dialog.tensioner.boxes["low"], "x")
    assert "y: -95 m given" in dialog.sentence.text()  # the first one stays the one told
    typed(qtbot, box, "-95")
    assert dialog.sentence.text().startswith("Tensioner, travel from: x given")
    assert dialog.tensioner.boxes["low"].property("wrong")
    assert not box.property("wrong")


def test_a_fault_is_not_taken_over_and_nothing_is_lost(qtbot, opened):
    dialog = opened()
    box = dialog.rows.boxes[2]["x"]
    typed(qtbot, box, "three hundred")
    dialog.accept()
    assert dialog.isVisible()
    assert box.text() == "three hundred"
    assert dialog.focusWidget() is box
    typed(qtbot, box, "100")
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.sentence.text().startswith("Belt: crank and blower with centres 100.0 mm apart")
    typed(qtbot, box, "320")
    dialog.accept()
    assert dialog.result() == QDialog.DialogCode.Accepted
    assert dialog.build().layout.pulleys[2].x == 0.32
    assert dialog.words == "Change the belt layout"


def test_rows_are_added_moved_and_taken_away(qtbot, opened):
    dialog = opened()
    rows = dialog.rows
    qtbot.mouseClick(dialog.add, Qt.MouseButton.LeftButton)
    assert [row["name"].text() for row in rows.boxes][-1] == "idler 1"
    assert dialog.sentence.text().startswith("Pulley 5 (idler 1), x: nothing given")
    rows._move(4, -1)
    assert [row["name"].text() for row in rows.boxes] == [
        "crank", "idler", "blower", "idler 1", "pump",
    ]  # fmt: skip
    rows._remove(3)
    assert dialog.build().layout == FOUR
    # the crank stays where it is, the first after it cannot pass it
    buttons = rows._grid.itemAtPosition(1, 8).widget().findChildren(object)
    assert not any(one.isEnabled() for one in buttons if hasattr(one, "click"))
    rows._remove(1)
    assert dialog.tensioner.pulley.currentIndex() == 0  # its pulley is gone
    assert dialog.build().layout.tensioner is None


def test_a_role_opens_and_closes_boxes_and_keeps_what_was_typed(qtbot, opened):
    dialog = opened()
    row = dialog.rows.boxes[3]
    choose(row["role"], "idler")
    assert not row["power"].isEnabled()
    assert dialog.build().layout.pulleys[3].power == 0.0
    choose(row["role"], "blower")
    assert (row["diameter"].isEnabled(), row["diameter"].text()) == (False, "84.0")
    assert "2 with role blower given" in dialog.sentence.text()
    choose(row["role"], "accessory")
    assert (row["diameter"].text(), row["power"].text()) == ("120.0", "3.0")
    assert dialog.build().layout == FOUR


def test_the_tensioner_follows_its_pulley_and_keeps_both_kinds(qtbot, opened):
    dialog = opened()
    form = dialog.tensioner
    typed(qtbot, dialog.rows.boxes[1]["name"], "spring")
    assert form.pulley.currentText() == "spring"
    assert dialog.build().layout.tensioner.pulley == "spring"
    choose(form.kind, "slide")
    assert dialog.sentence.text().startswith("Tensioner, direction: nothing given")
    for key, text in (("direction", "60"), ("low", "-10"), ("high", "10")):
        typed(qtbot, form.boxes[key], text)
    slide = dialog.build().layout.tensioner
    assert (slide.kind, slide.direction, slide.low, slide.high) == ("slide", 60.0, -0.01, 0.01)
    choose(form.kind, "arm")
    assert form.boxes["pivot_x"].text() == "80.0"
    form.pulley.setCurrentIndex(0)
    assert dialog.build().layout.tensioner is None
    choose(dialog.sense, "right")
    assert not dialog.chart.series.outline.size  # the other way this belt cannot run
    choose(dialog.sense, "either")
    typed(qtbot, dialog.back_offset, "")
    dialog.back_offset.textEdited.emit("")
    assert dialog.build().layout.sense == "either"


def test_it_begins_with_an_invented_layout_that_runs(qtbot, opened, build):
    dialog = opened(None)
    assert dialog.build().layout == two_pulleys(build.drive)
    assert not dialog.remove.isEnabled()
    qtbot.mouseClick(dialog.examples["With a spring idler"], Qt.MouseButton.LeftButton)
    assert dialog.build().layout == with_spring_idler(build.drive)
    typed(qtbot, dialog.rows.boxes[1]["x"], "165")
    assert not any(button.isEnabled() for button in dialog.examples.values())


def test_what_was_typed_and_left_can_be_brought_back(qtbot, opened):
    first = opened()
    assert not first.bring_back.isVisible()
    typed(qtbot, first.rows.boxes[1]["x"], "half")
    first.reject()
    again = opened(FOUR, first.typed)
    assert again.rows.boxes[1]["x"].text() == "160.0"
    qtbot.mouseClick(again.bring_back, Qt.MouseButton.LeftButton)
    assert again.rows.boxes[1]["x"].text() == "half"
    assert "x: half given" in again.sentence.text()


def test_lengths_stand_in_the_units_shown(qtbot, preferences, opened):
    preferences.change(system="us", theme="dark")
    dialog = opened(PAIR)
    headings = [dialog.rows._grid.itemAtPosition(0, k).widget().text() for k in range(1, 8)]
    assert headings == [
        "Name", "Role", "x [in]", "y [in]", "Diameter [in]", "Belt's side", "Power [hp]",
    ]  # fmt: skip
    assert dialog.rows.boxes[1]["x"].text() == "11.811"
    assert dialog.chart.series.unit == "in"
    assert dialog.build().layout == PAIR  # to the last digit


def test_every_box_has_a_name(opened):
    dialog = opened()
    boxes = [*dialog.findChildren(QComboBox), *dialog.rows.boxes[1].values()]
    boxes += dialog.tensioner.boxes.values()
    assert all(box.accessibleName() for box in boxes)
    assert dialog.chart.accessibleName().startswith("Belt layout, fitted pulley 84.0 mm: belt ")


def test_the_drawing_is_exported(opened, tmp_path):
    dialog = opened()
    for kind in ("png", "svg", "csv"):
        dialog.drawing().write(ExportChoice("belt", kind), tmp_path / f"belt.{kind}")
        assert (tmp_path / f"belt.{kind}").stat().st_size > 500
    assert (tmp_path / "belt.csv").read_text(encoding="utf-8").startswith("part,name,x [mm]")


def test_taking_over_is_one_step_and_the_panel_tells(qtbot, hosted, document, preferences, build):
    document.take(build, None)
    recompute = Recompute(document)
    side = hosted(SidePanel(document, recompute, preferences))
    row = side.fields.rows["drive.wrap"][-1]
    assert row.editor.isEnabled()
    before = row.editor.text()
    document.replace(replace(build, layout=SLID), LAYOUT_PATHS, "Change the belt layout")
    assert document.undo.count() == 1
    # 180 - 2 asin(51/300): 160.4 deg with the present pulley of 78 mm
    assert (row.editor.text(), row.editor.isEnabled()) == ("160 deg", False)
    assert row.note.text() == "told by the belt layout"
    assert not row.is_assumed
    document.edit("drive.blower_pulley_diameter", 0.100)
    assert row.editor.text() == "165 deg"
    document.undo.undo()
    document.undo.undo()
    assert (row.editor.text(), row.editor.isEnabled()) == (before, True)
    assert row.is_assumed
    assert document.build is not None
    assert document.build.layout is None
    document.undo.redo()
    document.replace(replace(document.build, layout=None), LAYOUT_PATHS, "Remove the belt layout")
    assert row.editor.isEnabled()
    with qtbot.waitSignal(side.fields.layout_asked):
        side.fields.layout_button.click()


def test_removing_returns_to_the_typed_wraps(opened):
    dialog = opened()
    dialog.remove.click()
    assert dialog.result() == QDialog.DialogCode.Accepted
    assert dialog.build().layout is None
    assert dialog.words == "Remove the belt layout"


def test_the_window_edits_the_layout_as_one_step(
    qtbot, monkeypatch, document, preferences, tmp_path
):
    from app.gui.window import Window

    window = Window(document, preferences, tmp_path)
    qtbot.addWidget(window)
    answers = iter([QDialog.DialogCode.Rejected, QDialog.DialogCode.Accepted])
    seen = []

    def answer(dialog):
        seen.append(dialog.bring_back.isHidden())
        if len(seen) == 1:
            box = dialog.rows.boxes[1]["x"]
            box.setText("310")
            box.textEdited.emit("310")
        else:
            dialog.bring_back.click()
        return next(answers)

    monkeypatch.setattr(LayoutDialog, "exec", answer)
    window.actions_by_name["edit_layout"].trigger()
    assert document.build.layout is None
    assert document.undo.count() == 0
    window.line.side.fields.layout_button.click()
    assert seen == [True, False]
    assert document.build.layout.pulleys[1].x == 0.31
    assert document.undo.undoText() == "Change the belt layout"
    window.work.undo()
    assert document.build.layout is None
    document.undo.setClean()
