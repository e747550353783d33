"""The table of known points of the axes: marked on the picture, their values typed."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QToolButton, QWidget

from app.gui.copying import TextCopy
from app.gui.places.trace.panels.parts import put_words, set_wrong, tool_button, words_label
from app.gui.places.trace.panels.typed import flow, ratio
from app.gui.places.trace.panels.typed_box import TypedBox

FEWEST, MOST = 4, 8
"""Known points that the table has rows for."""

CHECK = -1
"""Number of the check point."""


@dataclass(frozen=True, slots=True)
class PointEntry:
    """One known point as far as it goes.

    Parameters
    ----------
    marked : bool
        Whether its place on the picture is marked.
    flow : float, optional
        Its flow, in the unit of the axis. [any]
    pressure_ratio : float, optional
        Its pressure ratio. [-]
    """

    marked: bool = False
    flow: float | None = None
    pressure_ratio: float | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing is known of it."""
        return self == PointEntry()


class PointRow:
    """Widgets of one known point, in the grid of the table."""

    def __init__(self, owner: KnownPointsTable, number: int) -> None:
        self.number = number
        name = "check point" if number == CHECK else f"known point {number + 1}"
        self.point = PointEntry()
        self.head = QLabel("check" if number == CHECK else str(number + 1))
        self.head.setToolTip(
            "One more known point: it tests the axes and is not used to set them up"
            if number == CHECK
            else f"Known point {number + 1}: a corner of the frame, or any place whose values are "
            "known"
        )
        self.flow = TypedBox(flow(None, label=f"Flow of the {name}"))
        self.ratio = TypedBox(ratio(f"Pressure ratio of the {name}"))
        self.mark = tool_button(
            "Mark",
            f"Then click the {name} on the picture",
            lambda: owner.mark_asked.emit(number),
            f"Mark the {name}",
        )
        self.mark.setCheckable(True)
        self.clear = tool_button(
            "\u00d7",
            f"Forget place and values of the {name}",
            lambda: owner.clear_asked.emit(number),
            f"Clear the {name}",
        )
        self.clear.setAutoRaise(True)
        self.sentence = words_label("sentence")
        for box in (self.flow, self.ratio):
            box.setMinimumWidth(48)
            box.setToolTip(
                f"Flow printed at the {name}; a bare number is in the unit of the axis"
                if box is self.flow
                else f"Pressure ratio printed at the {name}"
            )
            box.entered.connect(lambda _: self._tell(owner))
            box.refused.connect(lambda words, box=box: self._refuse(box, words))
            TextCopy(box, owner.text_rows)

    @property
    def widgets(self) -> tuple[QWidget, ...]:
        """Widgets of the row, in order."""
        return (self.head, self.flow, self.ratio, self.mark, self.clear)

    def set_visible(self, shown: bool) -> None:
        """Show or hide the row."""
        for widget in self.widgets:
            widget.setVisible(shown)
        self.sentence.setVisible(shown and bool(self.sentence.text()))

    def show_point(self, point: PointEntry) -> None:
        """Show a point, keeping what is being typed; emits nothing."""
        self.point = point
        self.flow.follow(point.flow)
        self.ratio.follow(point.pressure_ratio)
        self.clear.setEnabled(not point.is_empty)
        self.show_waiting(self.mark.isChecked())

    def show_waiting(self, waiting: bool) -> None:
        """Show whether a click on the picture is awaited; emits nothing."""
        self.mark.setChecked(waiting)  # only clicks are told
        self.mark.setText("Click\u2026" if waiting else "Marked" if self.point.marked else "Mark")

    def say(self, sentence: str) -> None:
        """Show what is wrong with the row; an empty sentence clears it."""
        put_words(self.sentence, sentence)

    def _refuse(self, box: TypedBox, words: str) -> None:
        set_wrong(box, bool(words))
        head = "Flow" if box is self.flow else "Pressure ratio"
        if words or not (self.flow.is_refused or self.ratio.is_refused):
            self.say(f"{head}: {words}" if words else "")

    def _tell(self, owner: KnownPointsTable) -> None:
        owner.value_entered.emit(self.number, self.flow.value, self.ratio.value)


class KnownPointsTable(QWidget):
    """Rows of known points and the check point.

    Signals
    -------
    mark_asked(number)
        A point is to be marked on the picture; -1 the check point. Asked again while it is
        awaited: it is not to be marked after all.
    clear_asked(number)
        A point is to be forgotten.
    value_entered(number, flow, pressure_ratio)
        A value was typed; both as they stand now, nothing where blank.
    """

    mark_asked = Signal(int)
    clear_asked = Signal(int)
    value_entered = Signal(int, object, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._unit: tuple[str | None, bool] = (None, False)
        self._extra = 0
        self.headings = [QLabel(), QLabel("Flow"), QLabel("Pressure ratio")]
        for label in self.headings[1:]:
            label.setWordWrap(True)
            label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)
        self.rows = [PointRow(self, number) for number in range(MOST)]
        self.check = PointRow(self, CHECK)
        self.more = tool_button(
            "One more point",
            f"A row more, up to {MOST}: more points than four are fitted together",
            self._add,
        )
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 2, 0, 0)
        grid.setHorizontalSpacing(3)
        grid.setVerticalSpacing(1)
        grid.setColumnStretch(1, 3)
        grid.setColumnStretch(2, 2)
        for column, label in enumerate(self.headings):
            grid.addWidget(label, 0, column)
        for place, row in enumerate((*self.rows, self.check)):
            top = 2 * place + 1 + (1 if row is self.check else 0)
            for column, widget in enumerate(row.widgets):
                grid.addWidget(widget, top, column)
            grid.addWidget(row.sentence, top + 1, 0, 1, 5)
        grid.addWidget(self.more, 2 * MOST + 1, 0, 1, 5, Qt.AlignmentFlag.AlignLeft)
        room = self.rows[0].mark.fontMetrics().horizontalAdvance("Marked") + 14
        for row in (*self.rows, self.check):
            row.mark.setMinimumWidth(room)
        self._tab_order()
        self.set_points((), PointEntry())

    def _tab_order(self) -> None:
        chain: list[QWidget] = []
        for row in self.rows:
            chain += [row.flow, row.ratio, row.mark, row.clear]
        chain += [self.more, self.check.flow, self.check.ratio, self.check.mark, self.check.clear]
        for before, after in itertools.pairwise(chain):
            QWidget.setTabOrder(before, after)

    def row(self, number: int) -> PointRow:
        """Row of a number; -1 the check point."""
        return self.check if number == CHECK else self.rows[number]

    @property
    def mark_buttons(self) -> tuple[QToolButton, ...]:
        """Buttons that ask for a place, the check point's last."""
        return tuple(row.mark for row in (*self.rows, self.check))

    def set_unit(self, unit: str | None, is_volume: bool) -> None:
        """Read and head flows in a unit; emits nothing."""
        if (unit, is_volume) == self._unit:
            return
        self._unit = (unit, is_volume)
        self.headings[1].setText(f"Flow [{unit}]" if unit else "Flow")
        for row in (*self.rows, self.check):
            row.flow.set_typed(flow(unit, is_volume, row.flow.field.label))

    def set_points(self, points: Sequence[PointEntry], check: PointEntry) -> None:
        """Show the known points and the check point; emits nothing."""
        if not any(not point.is_empty for point in points):
            self._extra = 0
        shown = max(FEWEST, min(MOST, max(len(points), FEWEST + self._extra)))
        self._extra = shown - FEWEST
        for number, row in enumerate(self.rows):
            row.show_point(points[number] if number < len(points) else PointEntry())
            row.set_visible(number < shown)
        self.check.show_point(check)
        self.more.setVisible(shown < MOST)

    def set_waiting(self, number: int | None) -> None:
        """Show which point a click on the picture is awaited for; emits nothing."""
        for row in (*self.rows, self.check):
            row.show_waiting(row.number == number)

    def _add(self) -> None:
        self._extra += 1
        row = self.rows[FEWEST + self._extra - 1]
        row.set_visible(True)
        self.more.setVisible(self._extra < MOST - FEWEST)
        row.flow.setFocus()

    def text_rows(self) -> list[list[str]]:
        """Rows of text as they stand, titles with the unit first."""
        rows = [row for row in (*self.rows, self.check) if not row.point.is_empty]
        return [
            ["Point", self.headings[1].text(), "Pressure ratio"],
            *([row.head.text(), row.flow.text(), row.ratio.text()] for row in rows),
        ]
