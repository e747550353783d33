"""Undo commands of the open build."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QUndoCommand

from engine_model.inputs import Build

Apply = Callable[[Build, frozenset[str]], None]


class BuildCommand(QUndoCommand):
    """One change of the build; the whole record before and after, so that undo is exact.

    Changes of one gesture (a drag) merge into one step.
    """

    def __init__(
        self,
        apply: Apply,
        before: Build,
        after: Build,
        paths: frozenset[str],
        text: str,
        gesture: int | None,
    ) -> None:
        super().__init__(text)
        self._apply = apply
        self._before = before
        self._after = after
        self.paths = paths
        self._gesture = gesture

    def redo(self) -> None:
        """Put the changed build in place."""
        self._apply(self._after, self.paths)

    def undo(self) -> None:
        """Put the former build back, the very record it was."""
        self._apply(self._before, self.paths)

    def id(self) -> int:
        """Commands of one gesture share an id."""
        return -1 if self._gesture is None else 1

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take in a later change of the same gesture."""
        if not isinstance(other, BuildCommand) or other._gesture != self._gesture:
            return False
        self._after = other._after
        self.paths |= other.paths
        self.setText(other.text())
        self.setObsolete(self._after == self._before)  # a drag back to its start is no step
        return True
