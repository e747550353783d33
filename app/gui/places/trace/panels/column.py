"""The column of panels: folds in a scroll area, one over the other."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QEvent, QSize, Qt
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from app.gui.panels.fields_panel import Fold

NARROWEST = 300
"""Width that every panel fits in at the usual size of text [px]."""


class PanelColumn(QScrollArea):
    """Panels under headings that fold them; the focused widget is scrolled into sight."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.folds: dict[str, Fold] = {}
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        inner = QWidget()
        self._layout = QVBoxLayout(inner)
        self._layout.setContentsMargins(4, 4, 6, 4)
        self._layout.setSpacing(2)
        self._layout.addStretch(1)
        self.setWidget(inner)

    def add(self, title: str, panel: QWidget, *, opened: bool = True) -> Fold:
        """Put a panel under the others, in a fold."""
        fold = Fold(title, opened)
        fold.head.setAccessibleName(title)
        fold.head.setToolTip(f"Fold or unfold: {title}")
        fold.head.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        fold.rows.addWidget(panel)
        self._layout.insertWidget(self._layout.count() - 1, fold)
        self.folds[title] = fold
        return fold

    def show_panel(self, title: str) -> None:
        """Unfold a panel and scroll to it."""
        fold = self.folds[title]
        fold.head.setChecked(True)
        self._settle(fold)
        self.ensureWidgetVisible(fold, 0, 0)
        self.ensureWidgetVisible(fold.head, 0, 8)
        self.horizontalScrollBar().setValue(0)

    def _settle(self, fold: Fold) -> None:
        """Lay out what was just unfolded; until then it has no place to scroll to."""
        fold.body.layout().activate()
        fold.layout().activate()
        self._layout.activate()
        inner = self.widget()
        height = max(inner.sizeHint().height(), inner.minimumSizeHint().height())
        if inner.hasHeightForWidth():
            height = max(height, inner.heightForWidth(self.viewport().width()))
        inner.resize(self.viewport().width(), max(height, self.viewport().height()))
        QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)

    def minimumSizeHint(self) -> QSize:
        """Room for the panels in the size of their text, beside the scroll bar."""
        bar = self.verticalScrollBar().sizeHint().width()
        needed = self.widget().minimumSizeHint().width() + bar + 2 * self.frameWidth()
        return QSize(max(NARROWEST, needed), super().minimumSizeHint().height())
