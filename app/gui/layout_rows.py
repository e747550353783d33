"""Rows of the belt layout's editor: pulleys in order, and the tensioner."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.fields import Units
from app.gui.widgets.quantity_box import FRAME
from app.present.belt_typed import (
    PULLEY_CELLS,
    TENSIONER_CELLS,
    Cell,
    TypedLayout,
    TypedPulley,
    TypedTensioner,
)

ROLES = {"blower": "blower", "accessory": "accessory", "idler": "idler"}
FACES = {"grooved": "grooves", "back": "back"}
KINDS = {"arm": "arm, swings about a pivot", "slide": "slide, moves straight"}
NO_TENSIONER = "none, every pulley stands still"

NAME_ROOM, CELL_ROOM = "alternator 2", "-0000.000"
"""Texts that the boxes have room for."""


COLUMNS = ("name", "role", "x", "y", "diameter", "face", "power")
"""Boxes of a row, from the left."""


def set_wrong(box: QWidget, wrong: bool) -> None:
    """Mark a box as at fault, or not."""
    if bool(box.property("wrong")) != wrong:
        box.setProperty("wrong", wrong)
        box.style().unpolish(box)
        box.style().polish(box)


class TextBox(QLineEdit):
    """A box as wide as a text, in whatever size texts are shown."""

    def __init__(self, room: str, name: str, *, right: bool = True) -> None:
        super().__init__()
        self._room = room
        self.setAccessibleName(name)
        self.setAlignment(Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft)
        self._fit()

    def _fit(self) -> None:
        self.setMinimumWidth(self.fontMetrics().horizontalAdvance(self._room) + FRAME)

    def changeEvent(self, event: QEvent) -> None:
        """Grow with the text."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()


def cell_box(cell: Cell, name: str) -> TextBox:
    """Box of a cell; what is typed stands in the cell at once."""
    box = TextBox(CELL_ROOM, name)
    box.setText(cell.text)
    box.setCursorPosition(0)
    box.textEdited.connect(lambda text: setattr(cell, "text", text))
    return box


def choice_box(words: Mapping[str, str], chosen: str, name: str) -> QComboBox:
    """List of words; the wheel is left to the page."""
    box = QComboBox()
    for key, word in words.items():
        box.addItem(word, key)
    box.setCurrentIndex(max(0, box.findData(chosen)))
    box.setAccessibleName(name)
    box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
    return box


class PulleyRows(QWidget):
    """The pulleys in the belt's order; the crank is the first and stays there.

    Signals
    -------
    changed()
        Something was typed, chosen, added, moved or taken away.
    """

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._typed = TypedLayout()
        self._own: dict[str, str] = {}
        self._units: Units = "si"
        self.boxes: list[dict[str, QWidget]] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(3)

    def show_typed(self, typed: TypedLayout, own: Mapping[str, str], units: Units) -> None:
        """Show a layout, with the diameters of crank and blower as text; emits nothing."""
        self._typed, self._own, self._units = typed, dict(own), units
        self._rebuild()

    def add(self) -> None:
        """Add an idler at the end and put the cursor there."""
        names = {one.name for one in self._typed.pulleys}
        number = next(k for k in range(1, 99) if f"idler {k}" not in names)
        self._typed.pulleys.append(TypedPulley(f"idler {number}", "idler", "back"))
        self._rebuild()
        self.boxes[-1]["x"].setFocus()
        self.changed.emit()

    def mark(self, row: int | None, key: str) -> None:
        """Mark the box at fault, and no other."""
        for k, boxes in enumerate(self.boxes):
            for name, box in boxes.items():
                set_wrong(box, k == row and name == key)

    def _rebuild(self) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.blockSignals(True)
                widget.hide()
                widget.deleteLater()
        self.boxes = []
        cells = {key: column.heading(self._units) for key, column in PULLEY_CELLS.items()}
        words = {"name": "Name", "role": "Role", "face": "Belt's side", **cells}
        for column, key in enumerate(COLUMNS):
            label = QLabel(words[key])
            label.setObjectName("headline")
            self._grid.addWidget(label, 0, column + 1)
        for k, one in enumerate(self._typed.pulleys):
            self._add_row(k, one)

    def _add_row(self, k: int, one: TypedPulley) -> None:
        called = f"pulley {k + 1}"
        name = TextBox(NAME_ROOM, f"Name of {called}", right=False)
        name.setText(one.name)
        name.textEdited.connect(lambda text: self._take(one, "name", text))
        roles = {"crank": "crank"} if k == 0 else ROLES
        role = choice_box(roles, one.role, f"Role of {called}")
        role.setEnabled(k > 0)
        role.currentIndexChanged.connect(lambda _: self._take_role(one, role))
        boxes: dict[str, QWidget] = {"name": name, "role": role}
        for key, column in PULLEY_CELLS.items():
            box = cell_box(one.cells[key], f"{column.label} of {called}")
            box.textEdited.connect(self.changed)
            boxes[key] = box
        face = choice_box(FACES, one.face, f"Belt's side on {called}")
        face.currentIndexChanged.connect(lambda _: self._take(one, "face", face.currentData()))
        boxes["face"] = face
        self._grid.addWidget(QLabel(f"{k + 1}"), k + 1, 0)
        for column, key in enumerate(COLUMNS):
            self._grid.addWidget(boxes[key], k + 1, column + 1)
        self._grid.addWidget(self._buttons(k), k + 1, 8)
        self.boxes.append(boxes)
        self._enable(one, boxes)

    def _buttons(self, k: int) -> QWidget:
        """Buttons that move a row and take it away; the crank's stays."""
        whole = QWidget()
        row = QHBoxLayout(whole)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(1)
        last = len(self._typed.pulleys) - 1
        for sign, tip, able, act in (
            ("\u25b2", "Earlier in the belt's order", k > 1, lambda: self._move(k, -1)),
            ("\u25bc", "Later in the belt's order", 0 < k < last, lambda: self._move(k, 1)),
            ("\u2715", "Take this pulley away", k > 0, lambda: self._remove(k)),
        ):
            button = QToolButton()
            button.setText(sign)
            button.setToolTip(tip)
            button.setAccessibleName(f"{tip}: pulley {k + 1}")
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            button.setEnabled(able)
            button.clicked.connect(act)
            row.addWidget(button)
        return whole

    def _enable(self, one: TypedPulley, boxes: dict[str, QWidget]) -> None:
        """Close what the role has no use for; what was typed there stays."""
        of_drive = one.role in ("crank", "blower")
        diameter, power = boxes["diameter"], boxes["power"]
        for box, able, words in (
            (diameter, not of_drive, self._own.get(one.role, "")),
            (power, one.role == "accessory", ""),
        ):
            key = "diameter" if box is diameter else "power"
            box.setEnabled(able)
            box.setText(one.cells[key].text if able else words)  # type: ignore[attr-defined]
        face = boxes["face"]
        face.setEnabled(not of_drive)
        with QSignalBlocker(face):
            shown = "grooved" if of_drive else one.face
            face.setCurrentIndex(face.findData(shown))  # type: ignore[attr-defined]
        tip = "An input of the drive, as it is on the panel" if of_drive else ""
        diameter.setToolTip(tip)

    def _take(self, one: TypedPulley, key: str, value: str) -> None:
        setattr(one, key, value)
        self.changed.emit()

    def _take_role(self, one: TypedPulley, box: QComboBox) -> None:
        one.role = box.currentData()
        self._enable(one, self.boxes[self._typed.pulleys.index(one)])
        self.changed.emit()

    def _move(self, k: int, by: int) -> None:
        pulleys = self._typed.pulleys
        pulleys[k], pulleys[k + by] = pulleys[k + by], pulleys[k]
        self._rebuild()
        self.boxes[k + by]["name"].setFocus()
        self.changed.emit()

    def _remove(self, k: int) -> None:
        gone = self._typed.pulleys.pop(k)
        if self._typed.tensioner.pulley is gone:
            self._typed.tensioner.pulley = None
        self._rebuild()
        self.boxes[min(k, len(self.boxes) - 1)]["name"].setFocus()
        self.changed.emit()


class TensionerForm(QWidget):
    """Which pulley moves, and how.

    Signals
    -------
    changed()
        Something was typed or chosen.
    """

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._typed = TypedLayout()
        self._units: Units = "si"
        self.boxes: dict[str, TextBox] = {}
        self.pulley = choice_box({}, "", "Pulley of the tensioner")
        self.kind = choice_box(KINDS, "arm", "Kind of the tensioner")
        self.pulley.currentIndexChanged.connect(self._take_pulley)
        self.kind.currentIndexChanged.connect(self._take_kind)
        self._cells = QWidget()
        self._cells_grid = QGridLayout(self._cells)
        self._cells_grid.setContentsMargins(0, 0, 0, 0)
        label = QLabel("Te&nsioner on")
        label.setBuddy(self.pulley)
        across = QHBoxLayout()
        for widget in (label, self.pulley, self.kind):
            across.addWidget(widget)
        across.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(across)
        column.addWidget(self._cells)

    @property
    def _one(self) -> TypedTensioner:
        return self._typed.tensioner

    def show_typed(self, typed: TypedLayout, units: Units) -> None:
        """Show a layout's tensioner; emits nothing."""
        self._typed, self._units = typed, units
        with QSignalBlocker(self.kind):
            self.kind.setCurrentIndex(self.kind.findData(self._one.kind))
        self.show_names()
        self._rebuild()

    def show_names(self) -> None:
        """Show the pulleys that may be moved under their names as typed; emits nothing."""
        pulleys = self._typed.pulleys[1:]
        with QSignalBlocker(self.pulley):
            self.pulley.clear()
            self.pulley.addItem(NO_TENSIONER)
            for k, one in enumerate(pulleys):
                self.pulley.addItem(one.name.strip() or f"pulley {k + 2}")
            moved = self._one.pulley
            self.pulley.setCurrentIndex(0 if moved is None else pulleys.index(moved) + 1)
        self._enable()

    def mark(self, key: str) -> None:
        """Mark the box at fault, and no other."""
        for name, box in self.boxes.items():
            set_wrong(box, name == key or (key == "travel" and name in ("low", "high")))

    def _rebuild(self) -> None:
        while (item := self._cells_grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.blockSignals(True)
                widget.hide()
                widget.deleteLater()
        self.boxes = {}
        for k, (key, column) in enumerate(TENSIONER_CELLS[self._one.kind].items()):
            box = cell_box(self._one.cells[self._one.kind][key], f"{column.label} (tensioner)")
            box.textEdited.connect(self.changed)
            label = QLabel(column.heading(self._units))
            label.setBuddy(box)
            self._cells_grid.addWidget(label, k // 2, 2 * (k % 2))
            self._cells_grid.addWidget(box, k // 2, 2 * (k % 2) + 1)
            self.boxes[key] = box
        self._cells_grid.setColumnStretch(4, 1)
        self._enable()

    def _enable(self) -> None:
        moves = self._one.pulley is not None
        self.kind.setEnabled(moves)
        self._cells.setEnabled(moves)

    def _take_pulley(self, index: int) -> None:
        self._one.pulley = self._typed.pulleys[index] if index > 0 else None
        self._enable()
        self.changed.emit()

    def _take_kind(self, _: int) -> None:
        self._one.kind = self.kind.currentData()
        self._rebuild()
        self.changed.emit()
