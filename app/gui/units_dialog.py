"""A unit of the user's own for any kind of quantity, on top of SI or US."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.fields import kinds, unit_of, units_of
from app.gui.preferences import Preferences

PLAIN = ("dimensionless", "gear")
"""Kinds without units to choose from: plain numbers."""

NAMES = {
    "boost": "boost (over the day's pressure)",
    "bound_pressure": "bounds on pressures",
    "pressure": "other pressures",
    "altitude": "altitude",
    "share": "shares and margins",
    "length": "lengths and diameters",
    "volume": "displacement",
    "volume_flow": "injector flow",
    "pump_flow": "fuel pump flow",
    "fuel_pressure": "fuel pressure",
    "fuel_density": "fuel density",
    "mass_flow": "air flow",
    "coolant_volume": "coolant",
    "duration": "pulls and pauses",
    "vehicle_mass": "mass of the car",
}


class UnitsDialog(QDialog):
    """One list a kind; a choice acts at once and is kept between runs."""

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.setWindowTitle("Units")
        self.boxes: dict[str, QComboBox] = {}
        self.head = QLabel()
        self.head.setObjectName("headline")
        self.head.setWordWrap(True)
        inner = QWidget()
        grid = QGridLayout(inner)
        for number, kind in enumerate(k for k in kinds() if self._has_choice(k)):
            name = NAMES.get(kind, kind.replace("_", " "))
            box = QComboBox()
            box.setAccessibleName(f"Unit of {name}")
            box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
            label = QLabel(name[:1].upper() + name[1:])
            label.setBuddy(box)
            grid.addWidget(label, number, 0)
            grid.addWidget(box, number, 1)
            box.currentIndexChanged.connect(lambda _, kind=kind: self._chosen(kind))
            self.boxes[kind] = box
        grid.setColumnStretch(0, 1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inner)
        kinds_of_button = QDialogButtonBox.StandardButton
        buttons = QDialogButtonBox(kinds_of_button.Close | kinds_of_button.Reset)
        self.reset = buttons.button(kinds_of_button.Reset)
        self.reset.setText("All back to the system's")
        self.reset.setAutoDefault(False)
        self.reset.clicked.connect(lambda: preferences.change(units=()))
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(self.head)
        layout.addWidget(scroll, 1)
        layout.addWidget(buttons)
        preferences.changed.connect(self.refresh)
        self.refresh()
        self.resize(420, 520)

    @staticmethod
    def _has_choice(kind: str) -> bool:
        return kind not in PLAIN and len(units_of(kind)) > 1

    def _chosen(self, kind: str) -> None:
        choice = self._preferences.choices.units_shown
        symbol = self.boxes[kind].currentData()
        self._preferences.change(units=choice.with_unit(kind, symbol).overrides)

    def refresh(self, *_: object) -> None:
        """Show the choices as they are; emits nothing."""
        choice = self._preferences.choices.units_shown
        system = "US" if choice.system == "us" else "SI"
        count = len(choice.overrides)
        self.head.setText(
            f"{system} units are shown, {count or 'no'} of your own on top. "
            "Files always carry SI. A value may be typed in any unit, whatever is shown."
        )
        self.reset.setEnabled(count > 0)
        for kind, box in self.boxes.items():
            with QSignalBlocker(box):
                box.clear()
                box.addItem(f"{unit_of(kind, choice.system)}  (as {system})", None)
                for symbol in units_of(kind):
                    box.addItem(symbol, symbol)
                own = choice.own(kind)
                box.setCurrentIndex(box.findData(own) if own else 0)
