"""Hands and ears for the tests of the Trace panels."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QSlider,
    QSpinBox,
)

from app.gui.places.trace.panels.column import PanelColumn

NARROWEST = 300 - 26
"""Room for a panel in the narrowest column, beside scroll bar and margins [px]."""


def heard(panel):
    """Every signal of a panel with what it carried, in order."""
    told = []
    kind = type(panel)
    for name, value in vars(kind).items():
        if isinstance(value, Signal):
            getattr(panel, name).connect(lambda *given, name=name: told.append((name, *given)))
    return told


def write(box, text, key=Qt.Key.Key_Return):
    box.setFocus()
    box.selectAll()
    QTest.keyClick(box, Qt.Key.Key_Delete)
    QTest.keyClicks(box, text)
    if key is not None:
        QTest.keyClick(box, key)


def press(button):
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def pick(combo, words):
    """Choose an item of a list by keys."""
    combo.setFocus()
    place = combo.findText(words)
    assert place >= 0
    while combo.currentIndex() < place:
        QTest.keyClick(combo, Qt.Key.Key_Down)
    while combo.currentIndex() > place:
        QTest.keyClick(combo, Qt.Key.Key_Up)


def click_row(table, row, column=0, modifier=Qt.KeyboardModifier.NoModifier):
    place = table.visualRect(table.model().index(row, column)).center()
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, modifier, place)


def edit(table, row, column, text):
    """Type over a cell and press Enter."""
    table.setFocus()
    table.setCurrentIndex(table.model().index(row, column))
    QTest.keyClick(table, Qt.Key.Key_F2)
    box = table.viewport().findChildren(QLineEdit)[-1]
    box.selectAll()
    QTest.keyClick(box, Qt.Key.Key_Delete)
    QTest.keyClicks(box, text)
    QTest.keyClick(box, Qt.Key.Key_Return)
    QApplication.processEvents()


def pick_row(view, row):
    place = view.visualItemRect(view.item(row)).center()
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=place)


def controls(panel):
    """Everything a user can set or press in a panel."""
    sorts = (QAbstractButton, QComboBox, QLineEdit, QPlainTextEdit, QSlider, QSpinBox)
    found = [one for sort in sorts for one in panel.findChildren(sort)]
    found = [one for one in found if not isinstance(one.parent(), QSpinBox)]
    return [one for one in found if one.metaObject().className() != "QTableCornerButton"]


def narrowest(hosted, panel):
    """Width that a panel needs in a narrow column."""
    column = hosted(PanelColumn())
    column.add("Panel", panel)
    column.resize(300, 600)
    QApplication.processEvents()
    return column.widget().minimumSizeHint().width()
