"""Undo commands of an open record: a build, a trace."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtGui import QUndoCommand

Record = TypeVar("Record")


class RecordCommand(QUndoCommand, Generic[Record]):
    """One change of a frozen record; the whole of it before and after, so that undo is exact.

    Changes of one gesture (a drag) merge into one step.
    """

    def __init__(
        self,
        apply: Callable[[Record, frozenset[str]], None],
        before: Record,
        after: Record,
        paths: frozenset[str],
        text: str,
        gesture: int | None,
    ) -> None:
        super().__init__(text)
        self._apply = apply
        self._before = before
        self._after = after
        self.paths = paths
        self.place = ""
        """Key of the place that shows what it did; empty where the fields do."""
        self._gesture = gesture

    def redo(self) -> None:
        """Put the changed record in place."""
        self._apply(self._after, self.paths)

    def undo(self) -> None:
        """Put the former record back, the very one it was."""
        self._apply(self._before, self.paths)

    def id(self) -> int:
        """Commands of one gesture share an id."""
        return -1 if self._gesture is None else 1

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take in a later change of the same gesture."""
        if not isinstance(other, RecordCommand) or other._gesture != self._gesture:
            return False
        self._after = other._after
        self.paths |= other.paths
        self.setText(other.text())
        self.setObsolete(self._after == self._before)  # a drag back to its start is no step
        # Qt deletes the other one, but its Python half stays: it must not keep its records
        other.let_go()
        return True

    def let_go(self) -> None:
        """Drop what the command holds; it is not used again."""
        del self._apply, self._before, self._after, self.paths
