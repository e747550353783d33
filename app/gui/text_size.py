"""Sizes of the text: steps in per cent, and their menu."""

from __future__ import annotations

from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu

from app.gui.preferences import Preferences

SIZES = (75, 90, 100, 115, 130, 150, 175, 200)
"""Sizes offered [%]; chosen here."""


def present_size(preferences: Preferences) -> int:
    """Size of the text as chosen [%]."""
    return round(100.0 * preferences.choices.text_scale)


def next_size(present: int, steps: int) -> int:
    """Next size up (1) or down (-1) [%]; the last one stays.

    Examples
    --------
    >>> next_size(100, 1), next_size(110, -1), next_size(200, 1)
    (115, 100, 200)
    """
    if steps > 0:
        return next((size for size in SIZES if size > present), max(SIZES[-1], present))
    return next((size for size in reversed(SIZES) if size < present), min(SIZES[0], present))


class TextSizeMenu(QMenu):
    """Choose the size of the text; the present one is ticked."""

    def __init__(self, preferences: Preferences) -> None:
        super().__init__()
        self._preferences = preferences
        self._group = QActionGroup(self)
        for size in SIZES:
            action = QAction(f"{size} %", self)
            action.setCheckable(True)
            action.setData(size)
            action.triggered.connect(
                lambda _=False, size=size: preferences.change(text_scale=size / 100.0)
            )
            self._group.addAction(action)
            self.addAction(action)
        self._group.setExclusionPolicy(QActionGroup.ExclusionPolicy.ExclusiveOptional)
        preferences.changed.connect(self.refresh)
        self.refresh()

    def refresh(self, *_: object) -> None:
        """Tell and tick the present size."""
        present = present_size(self._preferences)
        self.setTitle(f"&Text size ({present} %)")
        for action in self._group.actions():
            action.setChecked(action.data() == present)
