"""One candidate whole: standing, size, power day by day, room left; the button takes it."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.fields import Units
from app.gui.copying import add_copy_action, put_rows
from app.present.compressor_shown import DONE, ShownRow
from app.present.compressor_words import candidate_words, day_entries, day_lines, day_rows
from engine_model.inputs import Build

WIDE = 62
"""Letters of the column's width from which the days stand in a table."""

NONE_YET = "Choose a row to read all of its answer here."
OLD_TIP = "Wait until this row is of the build as it is now"


class Detail(QWidget):
    """Words about the row with the focus.

    Signals
    -------
    taken(key)
        The candidate shall go into the build.
    """

    taken = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._key = ""
        self._rows: list[list[str]] = []
        self._shown: tuple[ShownRow | None, Build, Units] | None = None
        self._was_wide = False
        self.take = QPushButton("&Take this one")
        self.take.setAutoDefault(False)
        self.take.clicked.connect(lambda: self.taken.emit(self._key))
        self.words = QLabel(NONE_YET)
        self.words.setWordWrap(True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.words.setTextFormat(Qt.TextFormat.RichText)
        self.words.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.words.setAccessibleName("The chosen compressor in words")
        self.words.setContentsMargins(8, 4, 8, 4)
        add_copy_action(self.words, "Copy these words", lambda: put_rows(self._rows))
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(self.words)
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 6, 4)
        column.addWidget(self.take)
        column.addWidget(area, 1)

    def minimumSizeHint(self) -> QSize:
        """Room for short lines of words."""
        return QSize(30 * self.fontMetrics().averageCharWidth(), 120)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Tell the days as a table where there is room for it."""
        super().resizeEvent(event)
        if self._is_wide != self._was_wide and self._shown is not None:
            self.show_row(*self._shown)

    @property
    def _is_wide(self) -> bool:
        return self.width() >= WIDE * self.fontMetrics().averageCharWidth()

    def show_row(self, one: ShownRow | None, build: Build, units: Units) -> None:
        """Show a candidate on the build it makes; emits nothing."""
        self._shown, self._was_wide = (one, build, units), self._is_wide
        self._key = "" if one is None else one.key
        ready = one is not None and one.status == DONE and one.answered
        self.take.setEnabled(ready)
        if one is None:
            self._rows = []
            self.words.setText(NONE_YET)
            self.take.setToolTip("")
            return
        tip = "Puts this compressor map and its best size into the build; one step, undo takes back"
        self.take.setToolTip(tip if ready else OLD_TIP)
        told = candidate_words(one, build, units)
        days = day_rows(one.row, one.speeds, units) if one.row is not None and one.row.days else []
        tight = day_entries(one.row) if days and one.row is not None else []
        self._rows = [[one.title], *([name, words] for name, words in told), *days]
        self._rows += [[name, words] for name, words in tight]
        quiet = self.palette().placeholderText().color().name()
        parts = [f"<b>{escape(one.title)}</b>"]
        parts += [
            f"<p style='margin:3px 0 0 0'><span style='color:{quiet}'>{escape(name)}:</span> "
            f"{escape(words)}</p>"
            for name, words in told
        ]
        if days:
            if self._was_wide:
                parts.append(_table(days, quiet))
            else:
                lines = day_lines(one.row, one.speeds, units) if one.row is not None else []
                parts += [f"<p style='margin:3px 0 0 0'>{escape(line)}</p>" for line in lines]
            parts.append("Tightest by day: " + escape("; ".join(f"{a}: {b}" for a, b in tight)))
        self.words.setText("".join(parts))


def _whole(text: str) -> str:
    """Text that is not parted."""
    return escape(text).replace(" ", "&nbsp;")


def _table(rows: list[list[str]], quiet: str) -> str:
    lines = []
    for number, row in enumerate(rows):
        cells = [f"<td style='color:{quiet}'>{_whole(row[0])}&nbsp;</td>"]
        for text in row[1:]:
            told = f"<b>{_whole(text)}</b>" if number == 0 else escape(text)
            cells.append(f"<td align='right'>&nbsp;{told}</td>")
        lines.append(f"<tr>{''.join(cells)}</tr>")
    return f"<table cellspacing='0' cellpadding='1'>{''.join(lines)}</table>"
