"""The table of typed points: cells keep what was typed, faults are told cell by cell."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor

from app.gui.places.trace.panels.points_text import (
    BLANK,
    CURVE,
    FLOW,
    NAMES,
    RATIO,
    VALUE,
    Cells,
    Read,
    TypedPoint,
    read_rows,
    write_rows,
)

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole

TIPS = (
    "Speed line, surge line, choke line or island; blank: as in the row above",
    "Corrected speed, or efficiency as 72 %, 72 or 0.72; blank: as in the row above",
    "In the unit of the flow axis, or with its own",
    "Pressure ratio",
)


class PointsModel(QAbstractTableModel):
    """Rows of text, with an empty one at the end to type into.

    Signals
    -------
    taken(points)
        All rows are without fault and come to other points than before.
    judged()
        The rows were read anew.
    """

    taken = Signal(object)
    judged = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.cells: list[Cells] = [BLANK]
        self.points: tuple[TypedPoint, ...] = ()
        self.read = Read((), {}, {})
        self.fault_color = QColor("#a03030")
        self._unit: str | None = None
        self._is_volume = False
        self._thousands = False
        self._row = -1
        self._told: dict[int, str] = {}

    # from outside: emits nothing but what views need

    def set_points(self, points: Sequence[TypedPoint]) -> None:
        """Show points; where they are those already there, cells stay as typed."""
        if tuple(points) == self.points:
            return
        self.points = tuple(points)
        self._told = {}
        self._put(write_rows(points))
        self._judge()

    def set_row_faults(self, faults: dict[int, str]) -> None:
        """Show sentences at rows, until the next edit."""
        self._told = dict(faults)
        self._repaint()
        self.judged.emit()

    def set_reading(self, unit: str | None, is_volume: bool, thousands: bool) -> None:
        """Read bare flows and speeds in other units."""
        if (unit, is_volume, thousands) == (self._unit, self._is_volume, self._thousands):
            return
        self._unit, self._is_volume, self._thousands = unit, is_volume, thousands
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, RATIO)
        self._judge()

    def set_current(self, row: int) -> None:
        """Row the user is in: what is missing there is not a fault yet."""
        if row != self._row:
            self._row = row
            self._repaint()
            self.judged.emit()

    # by the user

    def put_cells(self, top: int, left: int, rows: Sequence[Sequence[str]]) -> None:
        """Write a block of cells, further rows as they are needed."""
        new = [list(row) for row in self.cells]
        new += [list(BLANK) for _ in range(top + len(rows) - len(new))]
        for down, row in enumerate(rows):
            for across, text in enumerate(row):
                new[top + down][left + across] = text
        self._put([(row[0], row[1], row[2], row[3]) for row in new])
        self.take()

    def insert_row(self, row: int) -> None:
        """Put an empty row before a row."""
        self.beginInsertRows(QModelIndex(), row, row)
        self.cells.insert(row, BLANK)
        self.endInsertRows()
        self.take()

    def remove(self, rows: Sequence[int]) -> None:
        """Take rows away."""
        gone = set(rows)
        self._put([cells for number, cells in enumerate(self.cells) if number not in gone])
        self.take()

    def clear_cells(self, indexes: Sequence[Index]) -> None:
        """Empty cells."""
        new = [list(row) for row in self.cells]
        for index in indexes:
            new[index.row()][index.column()] = ""
        self.cells = [(row[0], row[1], row[2], row[3]) for row in new]
        self.take()

    def take(self) -> None:
        """Read the rows, and tell the points where none is at fault."""
        self._told = {}
        self._judge()
        if self.read.faults or self.read.missing or self.read.points == self.points:
            return
        self.points = self.read.points
        self.judged.emit()
        self.taken.emit(self.points)

    def _put(self, cells: Sequence[Cells]) -> None:
        self.beginResetModel()
        self.cells = list(cells)
        self.endResetModel()

    def _judge(self) -> None:
        while len(self.cells) > 1 and not any(self.cells[-1]) and not any(self.cells[-2]):
            self.beginRemoveRows(QModelIndex(), len(self.cells) - 1, len(self.cells) - 1)
            self.cells.pop()
            self.endRemoveRows()
        if not self.cells or any(self.cells[-1]):
            self.beginInsertRows(QModelIndex(), len(self.cells), len(self.cells))
            self.cells.append(BLANK)
            self.endInsertRows()
        self.read = read_rows(self.cells, self._unit, self._is_volume, self._thousands)
        self._repaint()
        self.judged.emit()

    def _repaint(self) -> None:
        self.dataChanged.emit(self.index(0, 0), self.index(len(self.cells) - 1, RATIO))

    def faults(self) -> dict[tuple[int, int], str]:
        """Sentences by row and column, without what is missing in the row the user is in."""
        late = {place: words for place, words in self.read.missing.items() if place[0] != self._row}
        told = {(row, CURVE): words for row, words in self._told.items()}
        return dict(sorted({**told, **self.read.faults, **late}.items()))

    def pending(self) -> str:
        """What is still to be typed in the row the user is in."""
        words = [text for place, text in self.read.missing.items() if place[0] == self._row]
        return words[0] if words else ""

    # what views ask

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Rows with the empty one."""
        return 0 if parent.isValid() else len(self.cells)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Curve, value, flow, pressure ratio."""
        return 0 if parent.isValid() else len(NAMES)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Every cell can be edited."""
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEditable

    def heading(self, column: int) -> str:
        """Title of a column, with the unit of a bare number."""
        if column == FLOW and self._unit:
            return f"Flow [{self._unit}]"
        if column == VALUE and self._thousands:
            return "Value [1000 rpm, %]"
        return NAMES[column]

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> object:
        """Titles; rows are numbered."""
        if orientation == Qt.Orientation.Vertical:
            return section + 1 if role == Role.DisplayRole else None
        if role == Role.DisplayRole:
            return self.heading(section).replace(" ", "\n", 1)
        return TIPS[section] if role == Role.ToolTipRole else None

    def data(self, index: Index, role: int = Role.DisplayRole) -> object:
        """Texts as typed; a cell at fault has its colour and its sentence."""
        place = (index.row(), index.column())
        if role in (Role.DisplayRole, Role.EditRole):
            return self.cells[place[0]][place[1]]
        if role == Role.TextAlignmentRole and place[1] != CURVE:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        if role not in (Role.ToolTipRole, Role.BackgroundRole, Role.AccessibleDescriptionRole):
            return None
        words = self.faults().get(place)
        if role == Role.BackgroundRole:
            return self.fault_color if words else None
        return words or TIPS[place[1]]

    def setData(self, index: Index, value: object, role: int = Role.EditRole) -> bool:
        """Take what was typed."""
        if role != Role.EditRole:
            return False
        row = list(self.cells[index.row()])
        row[index.column()] = str(value).strip()
        self.cells[index.row()] = (row[0], row[1], row[2], row[3])
        self.take()
        return True
