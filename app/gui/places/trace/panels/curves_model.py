"""Rows of the list of traced curves; labels are edited in place, the owner changes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from PySide6.QtGui import QIcon

from app.gui.places.trace.panels.typed import Typed, efficiency, speed
from app.present.trace_words import KINDS, curve_title, value_text
from engine_model.errors import InputError
from engine_model.tracing.trace import LABELLED, CurveKind

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole

KIND, VALUE, POINTS, OFF = range(4)
"""Columns."""

TITLES = ("Curve", "Value", "Points", "Off")
TIPS = (
    "Kind of the curve",
    "Corrected speed or efficiency; F2 or a double click edits it",
    "Points set by the pen",
    "How far the curve lies off what its neighbours say",
)


@dataclass(frozen=True, slots=True)
class CurveRow:
    """A curve of the list.

    Parameters
    ----------
    kind : str
        One of the model's `CURVE_KINDS`.
    value : float, optional
        Corrected speed [rpm], efficiency as a share.
    points : int
        Points set by the pen.
    closed : bool
        Whether it returns to its first point.
    state : str
        ``clear``, ``close``, ``over`` or ``blank``.
    off : str
        How far it lies off its neighbours, for the cell.
    words : str
        The same as a sentence, with what is wrong with it.
    """

    kind: CurveKind
    value: float | None = None
    points: int = 0
    closed: bool = False
    state: str = "blank"
    off: str = ""
    words: str = ""


class CurvesModel(QAbstractTableModel):
    """The list of curves.

    Signals
    -------
    relabelled(index, value)
        A value was typed; None for blank. The model itself does not change.
    refused(sentence)
        What was typed is not allowed; an empty sentence when it is again.
    """

    relabelled = Signal(int, object)
    refused = Signal(str)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: tuple[CurveRow, ...] = ()
        self.in_thousands = False
        self._dials: dict[str, QIcon] = {}

    def set_rows(self, rows: Sequence[CurveRow]) -> None:
        """Show other curves; where their number stays, what is chosen stays."""
        new = tuple(rows)
        if len(new) != len(self.rows):
            self.beginResetModel()
            self.rows = new
            self.endResetModel()
            return
        self.rows = new
        if new:
            self.dataChanged.emit(self.index(0, 0), self.index(len(new) - 1, OFF))

    def set_dials(self, dials: dict[str, QIcon]) -> None:
        """Show other dials of the states."""
        self._dials = dials
        if self.rows:
            self.dataChanged.emit(self.index(0, OFF), self.index(len(self.rows) - 1, OFF))

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Curves."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Kind, value, points, state."""
        return 0 if parent.isValid() else len(TITLES)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> object:
        """Titles; rows are numbered."""
        if orientation == Qt.Orientation.Vertical:
            return section + 1 if role == Role.DisplayRole else None
        if role == Role.DisplayRole:
            return TITLES[section]
        return TIPS[section] if role == Role.ToolTipRole else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Values of speed lines and islands can be edited."""
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if index.column() == VALUE and self.rows[index.row()].kind in LABELLED:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def typed(self, row: int) -> Typed:
        """How the value of a row is typed."""
        is_island = self.rows[row].kind == "island"
        return efficiency() if is_island else speed(self.in_thousands)

    def data(self, index: Index, role: int = Role.DisplayRole) -> object:
        """Texts, dial, tooltip."""
        row, column = self.rows[index.row()], index.column()
        if role == Role.DisplayRole:
            return self._text(row, column)
        if role == Role.EditRole and column == VALUE:
            return value_text(row.kind, row.value)
        if role == Role.DecorationRole and column == OFF:
            return self._dials.get(row.state)
        if role == Role.TextAlignmentRole and column in (VALUE, POINTS):
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        if role in (Role.ToolTipRole, Role.AccessibleDescriptionRole):
            closed = ", closed" if row.closed else ""
            return row.words or curve_title(row.kind, row.value) + closed
        if role == Role.AccessibleTextRole and column == OFF:
            return f"{row.state} {row.off}".strip()
        return None

    @staticmethod
    def _text(row: CurveRow, column: int) -> str:
        if column == KIND:
            return KINDS[row.kind]
        if column == VALUE:
            if row.kind not in LABELLED:
                return ""
            return value_text(row.kind, row.value) or "to be said"
        return str(row.points) if column == POINTS else row.off

    def setData(self, index: Index, value: object, role: int = Role.EditRole) -> bool:
        """Take a typed value; the owner changes the curve."""
        if role != Role.EditRole or index.column() != VALUE:
            return False
        text, row = str(value).strip(), self.rows[index.row()]
        if text == value_text(row.kind, row.value):
            self.refused.emit("")
            return False
        try:
            found = self.typed(index.row()).read(text, "si") if text else None
        except InputError as error:
            head = f"Row {index.row() + 1}, {error.field}"
            self.refused.emit(f"{head}: {error.value} given; allowed: {error.allowed}")
            return False
        self.refused.emit("")
        if found != row.value:
            self.relabelled.emit(index.row(), found)
        return True
