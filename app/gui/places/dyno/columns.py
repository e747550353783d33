"""The mapping step: which column of a log is what, in which unit, measured where."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.gui.copying import offer_copy
from app.present.pull_words import CHANNEL_NAMES, STANDARD_NAMES
from engine_model.files.pull_channels import AIR_TO_FUEL, BASES, CHANNEL
from engine_model.files.pull_layout import use_for, with_use
from engine_model.files.pull_record import ColumnUse, PullLayout, PullMapping
from engine_model.units import QUANTITIES

LEFT_OUT = "not read"

TITLES = ("Column", "First values", "Taken for", "Unit", "Measured", "Guessed")

SAMPLES = 3
"""Values shown of a column."""


def units_for(channel: str) -> tuple[str, ...]:
    """Units that a column of a channel may have."""
    symbols = tuple(unit.symbol for unit in QUANTITIES[CHANNEL[channel].quantity].units)
    return (*symbols, AIR_TO_FUEL) if channel == "mixture" else symbols


class ColumnsPanel(QWidget):
    """A row a column, with drop-downs. Setters never emit.

    Signals
    -------
    changed(mapping)
        The log is to be read another way.
    accepted(mapping)
        The columns are right as they are.
    """

    changed = Signal(object)
    accepted = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._layout: PullLayout | None = None
        self._mapping: PullMapping | None = None
        self.table = QTableWidget()
        self.table.setAccessibleName("Columns of the log")
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().hide()
        self.table.setColumnCount(len(TITLES))
        self.table.setHorizontalHeaderLabels(TITLES)
        head = self.table.horizontalHeader()
        head.setStretchLastSection(True)
        head.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        offer_copy(self.table, self.rows)
        self.standard = QComboBox()
        self.standard.setAccessibleName("What the log's power is corrected to")
        self.standard.setToolTip("What the dyno's own program has made of the power already")
        for key, words in STANDARD_NAMES.items():
            self.standard.addItem(words, key)
        self.standard.activated.connect(self._choose_standard)
        label = QLabel("&Power in the log is")
        label.setBuddy(self.standard)
        self.right = QPushButton("These columns are &right")
        self.right.setToolTip("Keep them for every log with these headers, and show the pull")
        self.right.clicked.connect(self._accept)
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        across = QHBoxLayout()
        across.addWidget(label)
        across.addWidget(self.standard)
        across.addStretch(1)
        across.addWidget(self.right)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(6, 6, 6, 4)
        rows.addWidget(self.table, 1)
        rows.addLayout(across)
        rows.addWidget(self.told)
        self.setEnabled(False)

    @property
    def mapping(self) -> PullMapping | None:
        """The mapping shown."""
        return self._mapping

    def show_layout(self, layout: PullLayout, mapping: PullMapping) -> None:
        """Show the columns of a file and what they are taken for."""
        self._layout, self._mapping = layout, mapping
        self.setEnabled(True)
        self.standard.setCurrentIndex(self.standard.findData(mapping.standard))
        self.table.setRowCount(len(layout.headers))
        for row, header in enumerate(layout.headers):
            self._show_row(row, header)
        self.table.resizeColumnsToContents()
        self.table.resizeRowsToContents()

    def show_nothing(self) -> None:
        """Show no log."""
        self._layout = self._mapping = None
        self.table.setRowCount(0)
        self.told.setText("")
        self.setEnabled(False)

    def show_told(self, sentences: list[str]) -> None:
        """Say what became of the rows."""
        self.told.setText("\n".join(sentences))

    def rows(self) -> list[list[str]]:
        """The table as text, titles first."""
        found = [list(TITLES)]
        for row in range(self.table.rowCount()):
            cells = []
            for column in range(len(TITLES)):
                widget = self.table.cellWidget(row, column)
                item = self.table.item(row, column)
                if isinstance(widget, QComboBox):
                    cells.append(widget.currentText())
                else:
                    cells.append("" if item is None else item.text())
            found.append(cells)
        return found

    def _use_of(self, column: int) -> ColumnUse | None:
        uses = () if self._mapping is None else self._mapping.uses
        return next((one for one in uses if one.column == column), None)

    def _samples(self, column: int) -> list[str]:
        sample = () if self._layout is None else self._layout.sample
        return [row[column] for row in sample if column < len(row)]

    def _show_row(self, row: int, header: str) -> None:
        use = self._use_of(row)
        self.table.setItem(row, 0, QTableWidgetItem(header or f"column {row + 1}"))
        self.table.setItem(row, 1, QTableWidgetItem("  ".join(self._samples(row)[:SAMPLES])))
        channels = [("", LEFT_OUT), *CHANNEL_NAMES.items()]
        self._put(row, 2, channels, "" if use is None else use.channel, "Taken for", header)
        units = [] if use is None else [(one, one) for one in units_for(use.channel)]
        if use is not None and use.unit not in dict(units):
            units.append((use.unit, use.unit))
        self._put(row, 3, units, "" if use is None else use.unit, "Unit", header)
        bases = [] if use is None else [(one, one) for one in BASES.get(use.channel, ())]
        self._put(row, 4, bases, "" if use is None else use.basis, "Measured", header)
        guessed = "" if use is None else ", ".join(use.guessed)
        self.table.setItem(row, 5, QTableWidgetItem(guessed))

    def _put(
        self, row: int, column: int, items: list[tuple[str, str]], now: str, name: str, header: str
    ) -> None:
        """Put a drop-down into a cell, or nothing where there is nothing to choose."""
        self.table.removeCellWidget(row, column)
        if not items:
            return
        box = QComboBox()
        box.setAccessibleName(f"{name}: {header}")
        box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        for key, words in items:
            box.addItem(words, key)
        box.setCurrentIndex(max(box.findData(now), 0))
        # the wheel scrolls the table
        box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
        box.activated.connect(lambda _: self._choose(row, column, box.currentData()))
        self.table.setCellWidget(row, column, box)

    def _choose(self, row: int, column: int, value: str) -> None:
        """Take a choice of a drop-down."""
        if self._mapping is None or self._layout is None:
            return
        old = self._use_of(row)
        if column == 2:
            use = use_for(self._layout, row, value) if value else None
            if use is None and old is None:
                return
            mapping = with_use(self._mapping, use, value or (old.channel if old else ""))
        elif old is None:
            return
        else:
            part = {3: "unit", 4: "basis"}[column]
            guessed = tuple(one for one in old.guessed if one != part)
            new = replace(old, guessed=guessed, **{part: value})  # type: ignore[arg-type]
            mapping = with_use(self._mapping, new, old.channel)
        self._take(mapping)

    def _choose_standard(self, _: int) -> None:
        if self._mapping is not None:
            self._take(replace(self._mapping, standard=self.standard.currentData()))

    def _take(self, mapping: PullMapping) -> None:
        if self._layout is not None and mapping != self._mapping:
            self.show_layout(self._layout, mapping)
            self.changed.emit(mapping)

    def _accept(self) -> None:
        if self._mapping is None or self._layout is None:
            return
        uses = tuple(replace(one, guessed=()) for one in self._mapping.uses)
        self.show_layout(self._layout, replace(self._mapping, uses=uses))
        self.accepted.emit(self._mapping)
