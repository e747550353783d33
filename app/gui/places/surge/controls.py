"""Left column of the Surge place: the knobs of the scene, and its numbers."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.fields import Units
from app.gui.places.surge.knobs import KNOBS, KnobRow, ListBox
from app.gui.widgets.fold import Fold
from app.present.cautions import CAUTIONS
from engine_model.inputs import Build, Scene

OPENED = ("Engine", "Bypass valve")
"""Groups that stand open to begin with."""


class Controls(QScrollArea):
    """Knobs in folding groups. Setters never emit.

    Signals
    -------
    turned(path, value)
        A knob was turned. [SI]
    day_chosen(name)
        Another day is shown.
    refused(sentence)
        What was typed is not allowed; empty when it is again.
    """

    turned = Signal(str, object)
    day_chosen = Signal(str)
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.rows: dict[str, KnobRow] = {}
        self._folds: list[tuple[Fold, list[KnobRow]]] = []
        self.day = ListBox()
        self.day.setAccessibleName("Day")
        self.day.setToolTip("The day shown, in every place")
        self.day.activated.connect(lambda _: self.day_chosen.emit(self.day.currentText()))
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(8, 4, 6, 4)
        column.setSpacing(3)
        across = QHBoxLayout()
        label = QLabel("&Day")
        label.setBuddy(self.day)
        across.addWidget(label, 1)
        across.addWidget(self.day)
        column.addLayout(across)
        for title, knobs in KNOBS:
            fold, rows = Fold(title, title in OPENED), []
            for knob in knobs:
                row = KnobRow(knob)
                row.turned.connect(self.turned)
                row.refused.connect(self.refused)
                if row.slider is not None:
                    row.slider.valueChanged.connect(lambda _: self.restore())
                fold.rows.addWidget(row)
                rows.append(row)
                self.rows[knob.path] = row
            column.addWidget(fold)
            self._folds.append((fold, rows))
        self.numbers = QLabel()
        self.numbers.setWordWrap(True)
        self.numbers.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.numbers.setAccessibleName("The run in numbers")
        self.in_numbers = Fold("In numbers", True)
        self.in_numbers.rows.addWidget(self.numbers)
        column.addWidget(self.in_numbers)
        column.addStretch(1)
        self.caution = QLabel(f"No holding an engine in surge.\n\n{CAUTIONS['general']}")
        self.caution.setObjectName("caution")
        self.caution.setWordWrap(True)
        column.addWidget(self.caution)
        self.setWidget(inner)

    def minimumSizeHint(self) -> QSize:
        """Room for the widest knob beside the scroll bar."""
        bar = self.verticalScrollBar().sizeHint().width()
        widest = max(row.minimumSizeHint().width() for row in self.rows.values())
        return QSize(widest + bar + 26, super().minimumSizeHint().height())

    def show_scene(self, scene: Scene, build: Build, changed: Build, units: Units) -> None:
        """Show the knobs of a scene: those of its kind, where the build with it stands."""
        for fold, rows in self._folds:
            own = [row for row in rows if scene.kind in row.knob.kinds]
            fold.setVisible(bool(own))
            for row in rows:
                row.setVisible(row in own)
                row.show_value(changed.value(row.knob.path), changed, units)
        names = list(build.known_days())
        if names != [self.day.itemText(k) for k in range(self.day.count())]:
            self.day.clear()
            self.day.addItems(names)

    def restore(self) -> None:
        """Put values back where what was typed was refused."""
        for row in self.rows.values():
            row.restore()

    def show_day(self, name: str) -> None:
        """Show the day."""
        self.day.setCurrentText(name)

    def show_numbers(self, lines: list[str]) -> None:
        """Show the run in numbers."""
        self.numbers.setText("\n\n".join(line for line in lines if line))
        self.in_numbers.setVisible(bool(lines))

    def set_units(self, units: Units) -> None:
        """Show in other units."""
        for row in self.rows.values():
            row.set_units(units)
