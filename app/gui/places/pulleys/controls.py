"""Left column of the Pulleys place: the present pulley, worst cases, days, the work under way."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QCheckBox, QFrame, QLabel, QScrollArea, QVBoxLayout, QWidget

from app.fields import Units
from app.gui.panels.slider_ranges import PULLEY
from app.gui.widgets.day_ticks import DayTicks
from app.gui.widgets.quantity_box import QuantityBox
from app.gui.widgets.work_rows import WorkRows
from app.present.series_pulleys import PulleyMark
from engine_model.inputs import Build
from engine_model.studies.span_records import WorstCase


class Controls(QScrollArea):
    """What is asked.

    Signals
    -------
    pulley_entered(size)
        A size was typed or stepped. [m]
    refused(sentence)
        What was typed cannot be; an empty sentence when it can.
    asked()
        Worst cases or days are others.
    cancelled()
        The work under way is not wanted.
    looked()
        Fewer or more bars are wanted.
    """

    pulley_entered = Signal(float)
    refused = Signal(str)
    asked = Signal()
    cancelled = Signal()
    looked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.box = QuantityBox(PULLEY)
        self.box.set_room("0000.000 mm")
        self.box.setToolTip("The present blower pulley, outside diameter; arrow keys step it")
        self.present = QLabel()
        self.present.setWordWrap(True)
        self.shut = QCheckBox("B&ypass stuck shut")
        self.shut.setToolTip(
            "Every part must also stand the boost without the bypass's cap, on the days chosen "
            "and on the freezing day"
        )
        self.missed = QCheckBox("&Missed shift")
        self.missed.setChecked(True)
        self.brief = QCheckBox("Only days that &stop")
        self.brief.setToolTip(
            "A bar only for the days that stop a limit; so from the start where every day has "
            "no room"
        )
        self.is_brief_chosen = False
        self.day_ticks = DayTicks()
        self.work = WorkRows("the pulley span", "Judge every pulley again for the build as it is")
        self._lay_out()
        self.box.entered.connect(self._on_entered)
        self.box.refused.connect(self.refused)
        self.shut.toggled.connect(self.asked)
        self.missed.toggled.connect(self.asked)
        self.brief.clicked.connect(self._on_brief)
        self.day_ticks.changed.connect(self.asked)
        self.day_ticks.refused.connect(self.refused)
        self.work.cancel.clicked.connect(self.cancelled)
        self.work.again.clicked.connect(self.asked)

    def _lay_out(self) -> None:
        inner = QWidget()
        rows = self._rows = QVBoxLayout(inner)
        rows.setContentsMargins(8, 6, 6, 4)
        rows.setSpacing(3)
        label = QLabel("&Blower pulley")
        label.setBuddy(self.box)
        for widget in (label, self.box, self.present):
            rows.addWidget(widget)
        rows.addSpacing(8)
        rows.addWidget(heading("Worst cases"))
        rows.addWidget(self.shut)
        rows.addWidget(self.missed)
        rows.addSpacing(8)
        rows.addWidget(heading("Days judged"))
        rows.addWidget(self.day_ticks)
        rows.addWidget(self.brief)
        rows.addStretch(1)
        self.caution = QLabel()
        self.caution.setObjectName("caution")
        self.caution.setWordWrap(True)
        rows.addWidget(self.work)
        rows.addSpacing(6)
        rows.addWidget(self.caution)
        self.setWidget(inner)

    def _on_brief(self) -> None:
        self.is_brief_chosen = True
        self.looked.emit()

    def minimumSizeHint(self) -> QSize:
        """Room for the boxes in the size of their text, beside the scroll bar."""
        bar = self.verticalScrollBar().sizeHint().width()
        boxes = [self.shut, self.missed, self.box, *self.day_ticks.boxes.values()]
        widest = max(box.sizeHint().width() for box in boxes)
        return QSize(widest + bar + 18, super().minimumSizeHint().height())

    # what is asked

    @property
    def worst(self) -> WorstCase:
        """The worst cases switched on."""
        return WorstCase(self.shut.isChecked(), self.missed.isChecked())

    def chosen_days(self, build: Build) -> tuple[str, ...]:
        """Names of the days judged: all the build knows but those switched off."""
        return self.day_ticks.chosen(tuple(build.known_days()))

    def show_build(self, build: Build) -> None:
        """Show days and over-rev of a build; emits nothing."""
        over_rev = f"{build.engine.over_rev_speed:.0f} rpm"
        self.missed.setText(f"&Missed shift, {over_rev}")
        self.missed.setToolTip(
            f"Impeller and tip are judged at the over-rev, {over_rev}; else at the limiter"
        )
        self.day_ticks.show_days(tuple(build.known_days()))

    def _on_entered(self, value: object) -> None:
        if isinstance(value, float):
            self.pulley_entered.emit(value)

    # what is shown

    def show_pulley(self, size: float) -> None:
        """Show the present pulley [m]; emits nothing."""
        if self.box.value != size:
            self.box.set_value(size)

    def show_present(self, words: str) -> None:
        """Say what the present pulley does."""
        self.present.setText(words)

    def show_mark(self, mark: PulleyMark) -> None:
        """Say what the present pulley does, as judged."""
        self.show_present(mark.words.partition(": ")[2])

    def set_units(self, units: Units) -> None:
        """Show sizes in other units; emits nothing."""
        self.box.set_system(units)


def heading(words: str) -> QLabel:
    """A bold label over a group of boxes."""
    label = QLabel(words)
    font = label.font()
    font.setBold(True)
    label.setFont(font)
    return label
