"""Title and notes of a build."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from engine_model.inputs import Build

NO_TITLE = "New build"
"""Title of a build that got none."""

MOST_LETTERS = 120
"""Longest title typed; chosen here."""


class TitleDialog(QDialog):
    """Asks for title and notes of a build.

    Parameters
    ----------
    build : Build
        The build as it is.
    is_new : bool
        Whether the build is about to be made: the title is then typed afresh.
    parent : QWidget, optional
        Over which it stands.
    """

    def __init__(self, build: Build, is_new: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._build = build
        self.setWindowTitle("New build" if is_new else "Title and notes")
        self.title = QLineEdit("" if is_new else build.title)
        self.title.setPlaceholderText(NO_TITLE)
        self.title.setMaxLength(MOST_LETTERS)
        self.title.setAccessibleName("Title of the build")
        self.title.selectAll()
        self.notes = QPlainTextEdit(build.notes)
        self.notes.setTabChangesFocus(True)
        self.notes.setAccessibleName("Notes")
        head = QLabel("Whose engine it is, or what is tried. The title heads window and exports.")
        head.setObjectName("headline")
        head.setWordWrap(True)
        form = QFormLayout()
        form.addRow("&Title", self.title)
        form.addRow("&Notes", self.notes)
        kinds = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(kinds.Ok | kinds.Cancel)
        self.buttons.button(kinds.Ok).setText("Make the build" if is_new else "Take over")
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(head)
        layout.addLayout(form)
        layout.addWidget(self.buttons)
        self.resize(460, 280)

    def build(self) -> Build:
        """The build with title and notes as typed."""
        title = " ".join(self.title.text().split()) or NO_TITLE
        return replace(self._build, title=title, notes=self.notes.toPlainText().strip())
