"""Days as tick boxes: which of those that the build knows are judged; one at least is."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget


class DayTicks(QWidget):
    """A tick box a day; all are judged but those switched off.

    Signals
    -------
    changed()
        Other days are judged.
    refused(sentence)
        The last day cannot be switched off; an empty sentence when all is well.
    """

    changed = Signal()
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.boxes: dict[str, QCheckBox] = {}
        self._off: set[str] = set()
        self._rows = QVBoxLayout(self)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setSpacing(3)

    def chosen(self, names: Sequence[str]) -> tuple[str, ...]:
        """Those of some days that are judged."""
        return tuple(name for name in names if name not in self._off)

    def show_days(self, names: Sequence[str]) -> None:
        """Show the days of a build; emits nothing."""
        if tuple(self.boxes) == tuple(names):
            return
        self._off &= set(names)
        if self._off >= set(names):
            self._off = set()
        for box in self.boxes.values():
            box.setParent(None)
            box.deleteLater()
        self.boxes = {}
        for name in names:
            box = QCheckBox(name.replace("&", "&&"))
            box.setAccessibleName(f"Judge the {name} day")
            box.setToolTip(f"Whether the {name} day is judged")
            box.setChecked(name not in self._off)
            box.toggled.connect(lambda on, name=name: self._on_day(name, on))
            self._rows.addWidget(box)
            self.boxes[name] = box

    def reset(self) -> None:
        """Judge every day again: the days are those of another build. Emits nothing."""
        self._off.clear()
        for box in self.boxes.values():
            with QSignalBlocker(box):
                box.setChecked(True)

    def _on_day(self, name: str, on: bool) -> None:
        if not on and len(self._off) + 1 >= len(self.boxes):
            with QSignalBlocker(self.boxes[name]):
                self.boxes[name].setChecked(True)
            self.refused.emit("One day at least is judged.")
            return
        self.refused.emit("")
        (self._off.discard if on else self._off.add)(name)
        self.changed.emit()
