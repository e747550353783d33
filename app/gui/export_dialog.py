"""Which chart, as what kind of file, how large."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from app.gui.places.line.chart_export import KINDS

SCALES = {1.0: "1 (as on the screen)", 2.0: "2 (for a page)", 4.0: "4 (for a poster)"}
"""Pixels of a PNG to one of the screen, with their words."""

FOOT = {
    "png": "Shows zoom, pins and cursor as they stand. A caption names build, day and date.",
    "svg": "Stays sharp at any size; texts stay texts. A caption names build, day and date.",
    "csv": "Every curve and pin of the chart in the units shown, named in the first row.",
}
"""What a file of each kind holds."""


@dataclass(frozen=True, slots=True)
class ExportChoice:
    """What is exported: name of the chart, kind of file, scale of a PNG [-]."""

    chart: str
    kind: str = "png"
    scale: float = 2.0


class ExportDialog(QDialog):
    """Asks for a chart, a kind and a scale; the name of the file is asked for after it."""

    def __init__(
        self, charts: Mapping[str, str], choice: ExportChoice, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Export a chart")
        self.chart, self.kind, self.scale = QComboBox(), QComboBox(), QComboBox()
        self.foot = QLabel()
        self.foot.setObjectName("headline")
        self.foot.setWordWrap(True)
        form = QFormLayout()
        for label, box, rows, chosen in (
            ("&Chart", self.chart, charts, choice.chart),
            ("&Kind of file", self.kind, KINDS, choice.kind),
            ("&Scale of the PNG", self.scale, SCALES, choice.scale),
        ):
            for value, words in rows.items():
                box.addItem(words, value)
            box.setCurrentIndex(max(0, box.findData(chosen)))
            box.setAccessibleName(label.replace("&", ""))
            form.addRow(label, box)
        kinds = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(kinds.Ok | kinds.Cancel)
        self.buttons.button(kinds.Ok).setText("Choose the file…")
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addWidget(self.foot)
        layout.addWidget(self.buttons)
        self.setMinimumWidth(420)
        self.kind.currentIndexChanged.connect(self._on_kind)
        self._on_kind()

    def _on_kind(self, *_: object) -> None:
        kind = self.kind.currentData()
        self.scale.setEnabled(kind == "png")
        self.foot.setText(FOOT[kind])

    @property
    def choice(self) -> ExportChoice:
        """What is chosen."""
        return ExportChoice(
            self.chart.currentData(), self.kind.currentData(), self.scale.currentData()
        )
