"""Row at the top: the scene chosen, its question, and what becomes of it in the build."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.gui.places.surge.knobs import ListBox
from engine_model.inputs import Scene

MOST_LETTERS = 60
"""Longest name of a scene; chosen here."""

MOST_QUESTION = 300
"""Longest question; chosen here."""


class SceneBar(QWidget):
    """Scene chooser. Setters never emit.

    Signals
    -------
    chosen(name)
        Another scene.
    asked(what)
        ``save``, ``save_as``, ``rename``, ``delete`` or ``reset``.
    """

    chosen = Signal(str)
    asked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.combo = ListBox()
        self.combo.setAccessibleName("Scene")
        self.combo.setToolTip("Scene (Page Up, Page Down); those of the build come last")
        self.combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.combo.activated.connect(lambda k: self.chosen.emit(self.combo.itemData(k)))
        self.question = QLabel()
        self.question.setWordWrap(True)
        self.question.setAccessibleName("Question of the scene")
        font = self.question.font()
        font.setBold(True)
        self.question.setFont(font)
        self.question.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.changed = QLabel()
        self.changed.setObjectName("headline")
        self.more = QToolButton()
        self.more.setText("S&cene")
        self.more.setToolTip("Save, rename or delete a scene of this build; one undo step each")
        self.more.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(self.more)
        self.acts: dict[str, QAction] = {}
        for what, words in (
            ("save", "&Save in the build"),
            ("save_as", "Save &as…"),
            ("rename", "&Name and question…"),
            ("delete", "&Delete from the build"),
            ("reset", "&Knobs as they were"),
        ):
            act = menu.addAction(words)
            act.triggered.connect(lambda _=False, what=what: self.asked.emit(what))
            self.acts[what] = act
        self.more.setMenu(menu)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 0)
        row.addWidget(self.combo)
        row.addWidget(self.more)
        row.addWidget(self.changed)
        row.addWidget(self.question, 1)

    def show_scenes(self, scenes: dict[str, Scene], own: frozenset[str], name: str) -> None:
        """Show the scenes there are, and the one chosen."""
        every = [(f"{one} (build)" if one in own else one, one) for one in scenes]
        shown = [
            (self.combo.itemText(k), self.combo.itemData(k)) for k in range(self.combo.count())
        ]
        if every != shown:
            self.combo.clear()
            for words, one in every:
                self.combo.addItem(words, one)
        self.combo.setCurrentIndex(self.combo.findData(name))

    def show_scene(self, question: str, *, is_own: bool, is_changed: bool) -> None:
        """Show the question, and what can be done with the scene."""
        self.question.setText(question)
        self.changed.setText("changed" if is_changed else "")
        self.changed.setVisible(is_changed)
        self.changed.setToolTip("The knobs stand otherwise than in the scene; save it to keep them")
        self.acts["save"].setEnabled(is_own and is_changed)
        self.acts["rename"].setEnabled(is_own)
        self.acts["delete"].setEnabled(is_own)

    def step(self, count: int) -> None:
        """Choose the next scene, or the one before."""
        if not self.combo.count():
            return
        index = (self.combo.currentIndex() + count) % self.combo.count()
        self.combo.setCurrentIndex(index)
        self.chosen.emit(self.combo.itemData(index))

    def set_bare(self, bare: bool) -> None:
        """Leave out what edits, for a class."""
        self.more.setVisible(not bare)


class SceneDialog(QDialog):
    """Asks for name and question of a scene.

    Parameters
    ----------
    title : str
        Title of the dialog.
    scene : Scene
        What is offered.
    taken : frozenset of str
        Names that other scenes have.
    parent : QWidget, optional
        Over which it stands.
    """

    def __init__(
        self, title: str, scene: Scene, taken: frozenset[str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._taken = taken
        self.setWindowTitle(title)
        self.name, self.question = QLineEdit(scene.name), QLineEdit(scene.question)
        self.name.setMaxLength(MOST_LETTERS)
        self.question.setMaxLength(MOST_QUESTION)
        self.question.setMinimumWidth(420)
        self.name.selectAll()
        self.fault = QLabel()
        self.fault.setObjectName("sentence")
        self.fault.setWordWrap(True)
        form = QFormLayout()
        form.addRow("&Name", self.name)
        form.addRow("&Question", self.question)
        kinds = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(kinds.Ok | kinds.Cancel)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addLayout(form)
        column.addWidget(self.fault)
        column.addWidget(self.buttons)
        self.name.textChanged.connect(self._judge)
        self._judge()

    def _judge(self) -> None:
        name = self.name.text().strip()
        words = ""
        if not name:
            words = "A scene needs a name."
        elif name in self._taken:
            words = f"There is a scene “{name}” already: another name, please."
        self.fault.setText(words)
        self.fault.setVisible(bool(words))
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(not words)
