"""What the table of compressors shows: rows of candidates, columns from their table of data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QColor, QFont, QIcon

from app.fields import NOTHING, Units
from app.present.compressor_columns import (
    NAME,
    STANDING,
    Column,
    marks_short,
    marks_words,
    standing_cell,
    standing_state,
)
from app.present.compressor_shown import BROKEN, OFF, OLD, ShownRow
from app.present.compressor_tables import whose_words

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole

SPARE = "\u00a0"
"""Room between numbers and the words of the next column."""

OWN_WORDS = "in this build"
"""What stands under the title of the map that the build has."""

CENTRE = Qt.AlignmentFlag.AlignVCenter


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """Units, dials, the colour of quiet words, and what paints a thumbnail."""

    units: Units
    dials: dict[str, QIcon]
    quiet: QColor
    thumbnail: Callable[[ShownRow], QIcon | None]


def under_words(one: ShownRow) -> str:
    """What stands under the title: whether the build has it, marks, else where it comes from."""
    marks = "" if one.row is None else marks_short(one.row)
    own = f"{OWN_WORDS}; " if one.is_own else ""
    return f"{own}{marks}" if marks else one.source


def is_told(index: Index) -> bool:
    """Whether what stands under a title is not left out: marks, or that the build has it."""
    one = index.model().rows[index.row()]
    return one.is_own or (one.row is not None and bool(one.row.marks))


class CompressorModel(QAbstractTableModel):
    """Rows in the order they are given.

    Signals
    -------
    ticked(key, on)
        A candidate was chosen or not.
    """

    ticked = Signal(str, bool)

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[ShownRow, ...] = ()
        self.columns: tuple[Column, ...] = (NAME, STANDING)
        self._look: Look | None = None
        self._texts: list[list[str]] = []

    def show(self, rows: Sequence[ShownRow], columns: Sequence[Column], look: Look) -> bool:
        """Show rows; whether they are the same ones in the same order as before."""
        same = [one.key for one in rows] == [one.key for one in self.rows]
        titles = [column.title(look.units) for column in columns]
        before = None if self._look is None else [c.title(self._look.units) for c in self.columns]
        if same and titles == before:
            self.rows, self._look = tuple(rows), look
            self._write()
            last = self.index(len(self.rows) - 1, len(self.columns) - 1)
            self.dataChanged.emit(self.index(0, 0), last)
            return True
        self.beginResetModel()
        self.rows, self.columns, self._look = tuple(rows), tuple(columns), look
        self._write()
        self.endResetModel()
        return False

    def _write(self) -> None:
        """Write all texts once: every paint asks for them several times."""
        self._texts = [[self._text(one, column) for column in self.columns] for one in self.rows]

    def lines(self) -> list[list[str]]:
        """Lines of text of every column, its title's among them; sentences run across."""
        found = []
        for section, column in enumerate(self.columns):
            head = self.headerData(section, Qt.Orientation.Horizontal)
            pairs = zip(self.rows, self._texts, strict=True)
            told = [texts[section] for one, texts in pairs if one.status != BROKEN]
            if column is NAME:
                told = [one.title for one in self.rows]
            found.append([line for text in (head or "", *told) for line in text.split("\n")])
        return found

    def _text(self, one: ShownRow, column: Column) -> str:
        """Text of a cell as it is shown, in lines."""
        if self._look is None:
            return ""
        if column is NAME:
            return f"{one.title}\n{under_words(one)}"
        if column is STANDING and one.status == BROKEN:
            return one.sentence
        if column is STANDING:
            return standing_cell(one)
        text, mark = column.text(one, self._look.units), column.parted_at
        day = column.day(one) if one.row is not None and len(one.row.days) > 1 else ""
        if day and text and text != NOTHING:
            # the day of least is another one from row to row
            text, mark = f"{text},{SPARE}\n{day}", ""
        # a comma ends its line, a word begins one
        text = text.replace(mark, mark.replace(" ", "\n", 1), 1) if mark else text
        return f"{text}{SPARE}" if column.is_number else text

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Candidates."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Columns."""
        return 0 if parent.isValid() else len(self.columns)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Rows can be chosen; those that can be read can be ticked."""
        flags = super().flags(index)
        if index.column() == 0 and self.rows[index.row()].status != BROKEN:
            flags |= Qt.ItemFlag.ItemIsUserCheckable
        return flags

    def setData(self, index: Index, value: Any, role: int = Role.EditRole) -> bool:
        """Take a tick."""
        if role != Role.CheckStateRole or not index.isValid():
            return False
        on = Qt.CheckState(value) == Qt.CheckState.Checked
        self.ticked.emit(self.rows[index.row()].key, on)
        return True

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        """What a cell shows."""
        look = self._look
        if not index.isValid() or look is None:
            return None
        one, column = self.rows[index.row()], self.columns[index.column()]
        if role == Role.DisplayRole:
            return self._texts[index.row()][index.column()]
        if role in (Role.ToolTipRole, Role.AccessibleTextRole):
            return self._told(one, column, look)
        if role == Role.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if column.is_number else Qt.AlignmentFlag.AlignLeft
            return int(side | CENTRE)
        if role == Role.CheckStateRole and column is NAME and one.status != BROKEN:
            return Qt.CheckState.Unchecked if one.status == OFF else Qt.CheckState.Checked
        if role == Role.DecorationRole:
            if column is NAME:
                return look.thumbnail(one)
            if column is STANDING and (one.row is not None or one.status == BROKEN):
                return look.dials[standing_state(one)]
        if role == Role.ForegroundRole and (one.status in (OLD, OFF)):
            return look.quiet
        if role == Role.FontRole and (one.is_own or one.status == OLD):
            font = QFont()
            font.setBold(one.is_own and column is NAME)
            font.setItalic(one.status == OLD)
            return font
        return None

    def _told(self, one: ShownRow, column: Column, look: Look) -> str:
        if one.sentence:
            return f"{one.title}: {one.sentence}"
        text = column.text(one, look.units)
        head = " ".join(column.title(look.units).split())
        if column is NAME:
            marks = "" if one.row is None else marks_words(one.row)
            limit = "" if one.row is None else f"impeller speed limit: {whose_words(one.row)}"
            told = [one.title, one.source, *(words for words in (marks, limit) if words)]
            return "\n".join([*told, "Enter or double click takes it into the build"])
        day = column.day(one)
        text = f"{text}, {day} day" if day else text
        why = "" if one.row is None or column is not STANDING else one.row.why
        return f"{head}: {text}" + (f": {why}" if why else "")

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> Any:
        """Titles with units, and what the columns are."""
        if orientation == Qt.Orientation.Vertical or self._look is None:
            return None
        column = self.columns[section]
        if role == Role.DisplayRole:
            title = column.title(self._look.units)
            return title.replace("\n", f"{SPARE}\n") + SPARE if column.is_number else title
        if role == Role.ToolTipRole:
            tip = f"{column.help}. " if column.help else ""
            return f"{tip}Click to sort by it; a third click ranks by the aim again"
        if role == Role.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if column.is_number else Qt.AlignmentFlag.AlignLeft
            return int(side | CENTRE)
        return None
