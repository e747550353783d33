"""The left column: fields, days, compressor maps and pins, made when first looked at."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QTabWidget, QWidget

from app.fields import FIELD
from app.gui.document import Document
from app.gui.panels.fields_panel import FieldsPanel
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.gui.theme import PALETTES, state_colors

FIELDS, DAYS, MAPS, PINS = range(4)


class Leaf(QScrollArea):
    """A tab that scrolls where its panel has no room: no panel makes the column wider."""

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Bring what gets the focus into sight."""
        moved = super().focusNextPrevChild(forward)
        focused = self.focusWidget()
        if moved and focused is not None and self.isAncestorOf(focused):
            self.ensureWidgetVisible(focused)
        return moved


class SidePanel(QTabWidget):
    """Tabs of what is put in.

    Signals
    -------
    ghosts_changed(ghosts)
        Lines of the pins to draw, a list of (OperatingLine, name).
    """

    ghosts_changed = Signal(object)

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._preferences = document, preferences
        self._snapshot: Snapshot | None = None
        self.fields = FieldsPanel(document, recompute, preferences)
        self.days: QWidget | None = None
        self.maps: QWidget | None = None
        self.pins: QWidget | None = None
        self.setDocumentMode(True)
        self.setUsesScrollButtons(False)
        self._makers: dict[int, Callable[[], QWidget]] = {
            DAYS: self._make_days, MAPS: self._make_maps, PINS: self._make_pins
        }  # fmt: skip
        self.addTab(self.fields, "Fields")
        for word in ("Days", "Map", "Pins"):
            self.addTab(Leaf(), word)
        self.currentChanged.connect(self._make)

    def _make(self, index: int) -> None:
        maker = self._makers.pop(index, None)
        if maker is not None:
            self.widget(index).setWidget(maker())

    def _make_days(self) -> QWidget:
        from app.gui.panels.days_panel import DaysPanel

        self.days = DaysPanel(self._document, self._preferences)
        return self.days

    def _make_maps(self) -> QWidget:
        from app.gui.panels.map_chooser import MapChooser

        self.maps = MapChooser(self._document, self._preferences)
        return self.maps

    def _make_pins(self) -> QWidget:
        from app.gui.panels.pins_panel import PinsPanel

        panel = PinsPanel(self._document, self._preferences)
        panel.ghosts_changed.connect(self.ghosts_changed)
        self.pins = panel
        self.set_look()
        if self._snapshot is not None:
            panel.show_snapshot(self._snapshot)
        return panel

    def set_look(self) -> None:
        """Pass colours and units on; emits nothing."""
        choices = self._preferences.choices
        if self.pins is not None:
            self.pins.set_look(
                PALETTES[choices.theme], state_colors(choices.theme), choices.units_shown
            )

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Pass a new state on."""
        self._snapshot = snapshot
        if self.pins is None and snapshot.match.build.pins:
            self._make(PINS)
        if self.pins is not None:
            self.pins.show_snapshot(snapshot)

    def reveal(self, paths: frozenset[str]) -> None:
        """Show where an edit acted."""
        if "pins" in paths:
            self.setCurrentIndex(PINS)
        elif "days" in paths:
            self.setCurrentIndex(DAYS)
        elif paths & frozenset(FIELD):
            self.setCurrentIndex(FIELDS)
            self.fields.reveal(paths)
