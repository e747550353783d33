"""Copying tables as text, with tabs between the cells, as spreadsheets paste it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QAction, QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QLineEdit, QPlainTextEdit, QWidget

from app.present.pin_table import difference_text

Rows = Sequence[Sequence[str]]
COPY_TABLE = "Copy table"
"""Name of the entry in the menu of every table."""


def put_rows(rows: Rows) -> None:
    """Put rows on the clipboard."""
    QGuiApplication.clipboard().setText(difference_text(rows))


def offer_copy(
    view: QAbstractItemView,
    every: Callable[[], Rows],
    chosen: Callable[[], Rows] | None = None,
) -> None:
    """Give a table a menu that copies it, and the copy keys where rows can be chosen.

    Parameters
    ----------
    view : QAbstractItemView
        The table, tree or list.
    every : callable
        All rows, titles first.
    chosen : callable, optional
        Rows chosen, titles first; without it the copy keys are the view's own.
    """
    if chosen is not None:
        add_copy_action(view, "Copy the chosen rows", lambda: put_rows(chosen()), keys=True)
    add_copy_action(view, COPY_TABLE, lambda: put_rows(every()))


def add_copy_action(
    view: QWidget, words: str, act: Callable[[], None], *, keys: bool = False
) -> None:
    """Put an entry into the menu of a widget, with the copy keys or without."""
    action = QAction(words, view)
    if keys:
        action.setShortcut(QKeySequence(QKeySequence.StandardKey.Copy))
        action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
    action.triggered.connect(lambda _=False: act())
    view.addAction(action)
    view.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)


class TextCopy(QObject):
    """In a box of text that is part of a table: the copy keys without a selection copy it all.

    Parameters
    ----------
    edit : QLineEdit or QPlainTextEdit
        The box; owns this. Its own menu gets one more entry.
    rows : callable
        All rows of the table, titles first.
    """

    def __init__(self, edit: QLineEdit | QPlainTextEdit, rows: Callable[[], Rows]) -> None:
        super().__init__(edit)
        self._edit, self._rows = edit, rows
        edit.installEventFilter(self)
        edit.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        edit.customContextMenuRequested.connect(self._open)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take the copy keys where the box would copy nothing."""
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        if event.matches(QKeySequence.StandardKey.Copy) and not self._has_selection():
            put_rows(self._rows())
            return True
        return False

    def _has_selection(self) -> bool:
        edit = self._edit
        if isinstance(edit, QLineEdit):
            return edit.hasSelectedText()
        return edit.textCursor().hasSelection()

    def _open(self, place: QPoint) -> None:
        menu = self._edit.createStandardContextMenu()
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.addSeparator()
        menu.addAction(COPY_TABLE, lambda: put_rows(self._rows()))
        menu.popup(self._edit.mapToGlobal(place))
