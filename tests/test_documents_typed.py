"""What is typed but not entered yet goes into a save and into the question before leaving."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QSpinBox, QTableWidget, QVBoxLayout, QWidget

from app.fields import FIELD
from app.gui.document import Document
from app.gui.safety import finish_typing
from app.gui.widgets.quantity_box import QuantityBox
from engine_model.files.build_file import load_build

SAMPLE = Path(__file__).parent.parent / "sample_maps" / "road-six.build.json"
PATH = "engine.displacement"


@pytest.fixture
def window(qtbot):
    made = QWidget()
    qtbot.addWidget(made)
    layout = QVBoxLayout(made)
    layout.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
    made.resize(400, 300)
    return made


def show_with(window, widget):
    window.layout().addWidget(widget)
    window.show()
    QTest.qWaitForWindowActive(window)
    widget.setFocus()
    return widget


def test_a_typed_value_is_in_the_saved_file(qtbot, window, tmp_path):
    document = Document(load_build(SAMPLE))
    box = QuantityBox(FIELD[PATH])
    box.set_value(document.build.value(PATH))
    box.entered.connect(lambda value: document.edit(PATH, value))
    show_with(window, box).selectAll()
    qtbot.keyClicks(box, "3.5 L")
    assert document.is_saved  # nobody has heard of it
    finish_typing()
    assert not document.is_saved
    assert box.hasFocus()  # the person stays where he was
    document.save(tmp_path / "a.build.json")
    assert load_build(tmp_path / "a.build.json").engine.displacement == pytest.approx(0.0035)
    finish_typing()
    assert document.undo.count() == 1


def test_a_typed_value_that_is_not_allowed_changes_nothing(qtbot, window):
    document = Document(load_build(SAMPLE))
    box, refused = QuantityBox(FIELD[PATH]), []
    box.set_value(document.build.value(PATH))
    box.entered.connect(lambda value: document.edit(PATH, value))
    box.refused.connect(refused.append)
    show_with(window, box).selectAll()
    qtbot.keyClicks(box, "3.5 bar")
    finish_typing()
    assert document.is_saved
    assert refused[-1].startswith("3.5 bar given; allowed: a volume")
    assert box.text() == "3.5 bar"


def test_number_boxes_and_table_cells_too(qtbot, window):
    spin = QSpinBox()
    spin.setKeyboardTracking(False)
    spin.setRange(0, 9999)
    show_with(window, spin).selectAll()
    qtbot.keyClicks(spin, "4321")
    said = []
    spin.valueChanged.connect(said.append)
    finish_typing()
    assert said == [4321]
    table = QTableWidget(2, 1)
    show_with(window, table).setCurrentCell(0, 0)
    table.edit(table.model().index(0, 0))
    editor = table.findChild(QLineEdit)
    qtbot.keyClicks(editor, "0.87")
    assert table.item(0, 0) is None
    finish_typing()
    assert table.item(0, 0).text() == "0.87"


def test_nothing_in_focus_is_no_matter(qapp):
    finish_typing()
    assert qapp.focusWidget() is None
