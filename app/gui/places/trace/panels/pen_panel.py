"""The pen: what the next curve is, its value, and what the next click does."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from app.gui.places.trace.panels.parts import (
    QuietCombo,
    TracePanel,
    put_words,
    set_wrong,
    words_label,
)
from app.gui.places.trace.panels.typed import efficiency, speed
from app.gui.places.trace.panels.typed_box import TypedBox
from app.present.trace_words import KINDS, value_text
from engine_model.errors import InputError
from engine_model.tracing.trace import LABELLED, CurveKind

KEYS: dict[CurveKind, str] = {
    "speed_line": "S",
    "surge_line": "U",
    "choke_line": "C",
    "island": "I",
}
"""Keys that choose the kind of the next curve."""

GUESS = "\u25cb a guess: Enter takes it, or type over it"
"""What stands beside a value nobody has typed."""


class LabelBox(TypedBox):
    """A value that may be a guess; Enter takes the guess as it stands."""

    def __init__(self) -> None:
        super().__init__(speed())
        self.is_guess = False
        self.returnPressed.connect(self._take_guess)

    def _take_guess(self) -> None:
        if self.is_guess and not self.is_refused and self.value is not None:
            self.entered.emit(self.value)


class PenPanel(TracePanel):
    """Chooses the kind of the next curve and its value.

    Signals
    -------
    kind_chosen(kind)
        The next curve is of a kind, one of the model's `CURVE_KINDS`.
    value_entered(value)
        Its value: corrected speed [rpm], efficiency as a share; None for blank.
    """

    kind_chosen = Signal(str)
    value_entered = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kind: CurveKind = "speed_line"
        self.buttons: dict[CurveKind, QToolButton] = {}
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        grid = QGridLayout()
        grid.setSpacing(3)
        for place, kind in enumerate(KINDS):
            button = self._kind_button(kind)
            grid.addWidget(button, place // 2, place % 2)
        self.column.addLayout(grid)
        self.label = QLabel()
        self.label.setWordWrap(True)
        self.box = LabelBox()
        self.box.set_room("000\u202f000 rpm")
        self.unit = QuietCombo("Unit of corrected speeds as typed")
        self.unit.setMinimumContentsLength(5)
        self.unit.set_items({"rpm": "rpm", "1000 rpm": "1000 rpm"})
        self.unit.set_key("rpm")
        self.unit.setToolTip("Unit of a bare number typed beside: as the picture prints it")
        self.label.setBuddy(self.box)
        self.value_row = QWidget()
        row = QHBoxLayout(self.value_row)
        row.setContentsMargins(0, 2, 0, 0)
        row.addWidget(self.label, 1)
        row.addWidget(self.box)
        row.addWidget(self.unit, 1)
        self.reading = words_label()
        self.sentence = words_label("sentence")
        self.hint = QLabel()
        self.hint.setWordWrap(True)
        self.hint.setAccessibleName("What the next click does")
        for widget in (self.value_row, self.reading, self.sentence, self.hint):
            self.column.addWidget(widget)
        self.unit.activated.connect(lambda _: self._retype())
        self.box.entered.connect(self._entered)
        self.box.refused.connect(self._refused)
        self.box.textChanged.connect(lambda _: self._tell_reading())
        self.set_kind("speed_line")

    def _kind_button(self, kind: CurveKind) -> QToolButton:
        button = QToolButton()
        name, key = KINDS[kind], KEYS[kind]
        button.setText(f"{name[0].upper()}{name[1:]}  {key}")
        button.setAccessibleName(f"Next curve: {name}")
        button.setToolTip(f"The next curve is a {name} ({key})".replace("a island", "an island"))
        button.setCheckable(True)
        button.setShortcut(QKeySequence(key))
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setIconSize(QSize(20, 20))
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.clicked.connect(lambda _=False: self._chosen(kind))
        self.give_icon(button, f"pen-{kind.replace('_', '-')}")
        self._group.addButton(button)
        self.buttons[kind] = button
        return button

    @property
    def kind(self) -> CurveKind:
        """Kind of the next curve."""
        return self._kind

    @property
    def value(self) -> float | None:
        """Value of the next curve as it stands, guess or not."""
        return self.box.value if self._kind in LABELLED else None

    @property
    def is_guess(self) -> bool:
        """Whether the value is a guess that nobody has taken."""
        return self.box.is_guess

    @property
    def in_thousands(self) -> bool:
        """Whether bare numbers are in 1000 rpm."""
        return self.unit.currentData() == "1000 rpm"

    # what it shows

    def set_kind(self, kind: CurveKind) -> None:
        """Show the kind of the next curve; its value goes blank; emits nothing."""
        changed = kind != self._kind
        self._kind = kind
        self.buttons[kind].setChecked(True)  # only clicks are told
        labelled = kind in LABELLED
        self.value_row.setVisible(labelled)
        self.unit.setVisible(kind == "speed_line")
        self.label.setText("Efficiency" if kind == "island" else "Corrected speed")
        if changed or not labelled:
            self.box.set_value(None)
        self._set_typed()
        self.set_value(self.box.value, guessed=self.box.is_guess and not changed)

    def set_value(self, value: float | None, *, guessed: bool = False) -> None:
        """Show the value of the next curve, as a guess or not; emits nothing."""
        self.box.is_guess = guessed and value is not None
        self.box.set_value(value)
        self._refused("")

    def set_thousands(self, thousands: bool) -> None:
        """Type bare speeds in 1000 rpm, or in rpm; emits nothing."""
        self.unit.set_key("1000 rpm" if thousands else "rpm")
        self._set_typed()
        self._tell_reading()

    def set_hint(self, words: str) -> None:
        """Show what the next click does; emits nothing."""
        self.hint.setText(words)

    def say(self, sentence: str) -> None:
        """Show what is wrong with the value; an empty sentence clears it."""
        self._refused(sentence)

    # what the user does

    def _set_typed(self) -> None:
        typed = efficiency() if self._kind == "island" else speed(self.in_thousands)
        self.box.set_typed(typed)
        if self._kind == "island":
            tip = "Typed as 72 %, 72 or 0.72; beside it stands how it is read"
        else:
            tip = "Corrected speed as printed; a bare number is in the unit chosen beside"
        for widget in (self.label, self.box):
            widget.setToolTip(tip)

    def _retype(self) -> None:
        text = self.box.text() if self.box.is_refused else None
        self._set_typed()
        if text is not None:  # it may be read now
            self.box.setText(text)
            self.box.editingFinished.emit()

    def _chosen(self, kind: CurveKind) -> None:
        self.set_kind(kind)
        self.kind_chosen.emit(kind)

    def _entered(self, value: float | None) -> None:
        self.box.is_guess = False
        self._tell_reading()
        self.value_entered.emit(value)

    def _refused(self, words: str) -> None:
        put_words(self.sentence, words)
        set_wrong(self.box, bool(words))
        self._tell_reading()

    def _tell_reading(self) -> None:
        """Say how what stands in the box is read, or that it is a guess."""
        if self._kind not in LABELLED or self.sentence.text():
            put_words(self.reading, "")
            return
        if self.box.is_guess and not self.box.is_refused:
            put_words(self.reading, GUESS)
            return
        try:
            value = self.box.read()
        except InputError:
            value = None  # told when it is entered
        put_words(self.reading, f"read as {value_text(self._kind, value)}" if value else "")
