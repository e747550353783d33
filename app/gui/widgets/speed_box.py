"""A spin box for an engine speed: what is out of range is refused in words, not dropped."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QValidator
from PySide6.QtWidgets import QSpinBox, QWidget

LEAST = 1000
"""Lowest engine speed asked for [rpm]; chosen here."""


class SpeedBox(QSpinBox):
    """Engine speed with its unit.

    Signals
    -------
    refused(sentence)
        What was typed is not allowed and the former speed is back.
    """

    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSuffix(" rpm")
        self.setSingleStep(100)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setKeyboardTracking(False)

    def validate(self, text: str, position: int) -> tuple[QValidator.State, str, int]:
        """Let anything be typed; it is judged when it is entered."""
        state = QValidator.State.Intermediate
        try:
            if self.minimum() <= self.valueFromText(text) <= self.maximum():
                state = QValidator.State.Acceptable
        except ValueError:
            pass  # judged below, in fixup
        return state, text, position

    def valueFromText(self, text: str) -> int:
        """Speed of a typed text [rpm]."""
        return round(float(text.strip().removesuffix("rpm").replace(" ", "")))

    def fixup(self, text: str) -> str:
        """Say what is allowed; the spin box then shows the former speed again."""
        given = text.strip().removesuffix("rpm").strip()
        given = f"{given} rpm" if given else "nothing"
        self.refused.emit(
            f"{given} given; allowed: {self.minimum()} to {self.maximum()} rpm; "
            f"still at {self.value()} rpm"
        )
        return text
