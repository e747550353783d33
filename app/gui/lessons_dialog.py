"""The one-page lessons: read in the bench, the answer for the class shown when asked for."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QListWidget,
    QPushButton,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from app.paths import lessons

ANSWER = "## Answer"
"""Heading from which on a lesson is covered until it is asked for."""

SIZE = (900, 680)


def parted(text: str) -> tuple[str, str]:
    r"""Title of a lesson and its text without the mark of the title.

    Examples
    --------
    >>> parted("# Lesson 1: air\n\nText")
    ('Lesson 1: air', 'Text')
    """
    title, _, rest = text.partition("\n")
    return title.removeprefix("# ").strip(), rest.strip()


class LessonsDialog(QDialog):
    """Lessons at the left, the page at the right.

    Parameters
    ----------
    parent : QWidget, optional
        Over which it stands.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Lessons")
        self.setModal(False)
        self._texts = [file.read_text(encoding="utf-8") for file in lessons()]
        self.names, self.page = QListWidget(), QTextBrowser()
        self.names.setAccessibleName("Lessons")
        self.names.setWordWrap(True)
        self.names.addItems([parted(text)[0] for text in self._texts])
        self.names.setFixedWidth(210)
        self.page.setAccessibleName("The lesson")
        self.answer = QPushButton("Show the &answer")
        self.answer.setCheckable(True)
        self.answer.setAutoDefault(False)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.addButton(self.answer, QDialogButtonBox.ButtonRole.ActionRole)
        buttons.rejected.connect(self.reject)
        across = QHBoxLayout()
        across.addWidget(self.names)
        across.addWidget(self.page, 1)
        column = QVBoxLayout(self)
        column.addLayout(across, 1)
        column.addWidget(buttons)
        self.resize(*SIZE)
        self.names.currentRowChanged.connect(self._turn)
        self.answer.toggled.connect(lambda _: self._show())
        self.names.setCurrentRow(0)

    def _turn(self, _: int) -> None:
        """Another lesson: its answer is covered again."""
        if self.answer.isChecked():
            self.answer.setChecked(False)
        else:
            self._show()

    def _show(self) -> None:
        row = self.names.currentRow()
        if not 0 <= row < len(self._texts):
            return
        text = self._texts[row]
        asked, answer = text.partition(ANSWER)[::2]
        shown = self.answer.isChecked()
        self.page.setMarkdown(f"{asked}{ANSWER}{answer}" if shown else asked)
        self.answer.setText("Cover the &answer" if shown else "Show the &answer")
        bar = self.page.verticalScrollBar()
        bar.setValue(bar.maximum() if shown else 0)
        self.page.setFocus(Qt.FocusReason.OtherFocusReason)
