"""About the compressor map: its name, where it comes from, the impeller."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

from app.fields import Units
from app.gui.places.trace.panels.parts import FormRow, TracePanel
from app.gui.places.trace.panels.typed import EXDUCER, INDUCER, MAXIMUM_SPEED, STEP_UP
from app.gui.places.trace.panels.typed_box import TypedBox
from engine_model.tracing.trace import Trace

LINES = 3
"""Lines that the boxes of free text have room for."""

TEXTS = {
    "title": ("Name", "Name of the compressor map, as it stands in lists and on the sheet"),
    "date": ("Date", "Of the picture or of the measurement, such as 2019 or 2019-05-04"),
}
LONG_TEXTS = {
    "provenance_text": (
        "Comes from",
        "Where the picture comes from: leaflet, page, who measured it and how",
    ),
    "notes": ("Notes", "Your own notes; kept with the trace"),
}
NUMBERS = {
    "exducer_diameter": (EXDUCER, "Outer diameter of the impeller; gives the tip speed"),
    "inducer_diameter": (INDUCER, "Diameter of the impeller's inlet"),
    "maximum_speed": (MAXIMUM_SPEED, "The maker's mechanical limit of the impeller"),
    "built_in_step_up": (
        STEP_UP,
        "Speed ratio of a gear inside the blower; 1 where there is none",
    ),
}


class AboutPanel(TracePanel):
    """What is known of the compressor map besides its curves.

    Signals
    -------
    about_edited(fields)
        Fields of the trace that were changed, by name, with their values (SI; None for blank).
    """

    about_edited = Signal(dict)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._trace = Trace()
        self.texts: dict[str, QLineEdit] = {}
        self.long_texts: dict[str, QPlainTextEdit] = {}
        self.numbers: dict[str, TypedBox] = {}
        self.rows: dict[str, FormRow] = {}
        for name, (label, tip) in TEXTS.items():
            edit = QLineEdit()
            edit.editingFinished.connect(lambda name=name: self._text_entered(name))
            self.texts[name] = edit
            self._add(name, label, edit, tip)
        for name, (label, tip) in LONG_TEXTS.items():
            box = QPlainTextEdit()
            box.setTabChangesFocus(True)
            box.setFixedHeight(LINES * box.fontMetrics().lineSpacing() + 12)
            box.installEventFilter(self)
            self.long_texts[name] = box
            self._add(name, label, box, tip)
        for name, (typed, tip) in NUMBERS.items():
            number = TypedBox(typed)
            number.entered.connect(lambda value, name=name: self._number_entered(name, value))
            self.numbers[name] = number
            self._add(name, typed.label, number, tip)
        self.set_about(Trace())

    def _add(self, name: str, label: str, editor: QWidget, tip: str) -> None:
        editor.setAccessibleName(label)
        stacked = isinstance(editor, QPlainTextEdit)
        self.rows[name] = FormRow(label, editor, tip, stacked=stacked)
        self.column.addWidget(self.rows[name])

    def set_system(self, units: Units) -> None:
        """Show in other units; emits nothing."""
        for box in self.numbers.values():
            box.set_system(units)

    def set_about(self, trace: Trace) -> None:
        """Show what is known, keeping what is being typed; emits nothing."""
        former, self._trace = self._trace, trace
        for name, edit in self.texts.items():
            if getattr(trace, name) != getattr(former, name) or not edit.isModified():
                with QSignalBlocker(edit):
                    edit.setText(getattr(trace, name))
        for name, box in self.long_texts.items():
            if getattr(trace, name) != box.toPlainText() and not (
                box.hasFocus() and getattr(trace, name) == getattr(former, name)
            ):
                with QSignalBlocker(box):
                    box.setPlainText(getattr(trace, name))
        for name, number in self.numbers.items():
            number.follow(getattr(trace, name))

    def focus_field(self, name: str) -> None:
        """Put the cursor into a field."""
        self.rows[name].editor.setFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take a box of free text when it is left, or at Ctrl+Enter."""
        if event.type() == QEvent.Type.FocusOut:
            self._long_text_left(watched)
        elif (
            event.type() == QEvent.Type.KeyPress
            and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            and event.modifiers() & Qt.KeyboardModifier.ControlModifier
        ):
            self._long_text_left(watched)
            return True
        return super().eventFilter(watched, event)

    def _long_text_left(self, watched: QObject) -> None:
        for name, box in self.long_texts.items():
            if box is watched and box.toPlainText() != getattr(self._trace, name):
                self.about_edited.emit({name: box.toPlainText()})

    def _text_entered(self, name: str) -> None:
        text = self.texts[name].text().strip()
        if text != getattr(self._trace, name):
            self.about_edited.emit({name: text})

    def _number_entered(self, name: str, value: float | None) -> None:
        if name == "built_in_step_up" and value is None:
            value = 1.0  # no gear
        self.about_edited.emit({name: value})
