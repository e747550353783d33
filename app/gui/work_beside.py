"""Dialogs that stand beside the window and follow it, and the belt's layout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QDialog

from app.gui.safety import finish_typing

if TYPE_CHECKING:
    from app.gui.lessons_dialog import LessonsDialog
    from app.gui.measure_dialog import MeasureDialog
    from app.gui.soak_dialog import SoakDialog
    from app.gui.window import Window
    from app.present.belt_typed import TypedLayout


class WorkBeside:
    """The window's work that opens another: their charts come in with the first visit."""

    def __init__(self, window: Window) -> None:
        self._window = window
        self._layout_draft: TypedLayout | None = None
        self._soak: SoakDialog | None = None
        self._measure: MeasureDialog | None = None
        self._lessons: LessonsDialog | None = None

    def edit_layout(self) -> None:
        """Edit the belt's layout as one step; what is typed and left is offered again."""
        # its chart comes in with the first visit
        from app.gui.layout_dialog import LAYOUT_PATHS, LayoutDialog

        finish_typing()
        document, preferences = self._window.document, self._window.preferences
        dialog = LayoutDialog(document.build, preferences, self._layout_draft, self._window)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            self._layout_draft = None
            build, path = dialog.build(), "drive.fitted_pulley_diameter"
            if build.layout is not None and build.value(path) is None:
                # the belt stands as told with the pulley that is on it now
                build = build.with_value(path, build.drive.blower_pulley_diameter)
            document.replace(build, LAYOUT_PATHS | {path}, dialog.words)
        elif dialog.is_edited:
            self._layout_draft = dialog.typed
        dialog.deleteLater()

    def show_heat_soak(self) -> None:
        """Show heat soak beside the window; it follows the build."""
        # its chart comes in with the first visit
        from app.gui.soak_dialog import SoakDialog

        if self._soak is None:
            window = self._window
            study = window.line.studies.soak.study
            self._soak = SoakDialog(window.recompute, study, window.preferences, window)
            window.line.covered.connect(self._soak.set_covered)
            self._soak.set_covered(window.line.is_covered)
        self._soak.begin(self._window.line.snapshot)

    def show_measure_first(self) -> None:
        """Show what to measure first beside the window; it follows the build."""
        # its chart comes in with the first visit
        from app.gui.measure_dialog import MeasureDialog

        if self._measure is None:
            window = self._window
            self._measure = MeasureDialog(window.line.bars.study, window.preferences, window)
            window.line.covered.connect(self._measure.set_covered)
            self._measure.set_covered(window.line.is_covered)
        self._measure.begin()

    def show_lessons(self) -> None:
        """Show the lessons beside the window."""
        # read with the first visit
        from app.gui.lessons_dialog import LessonsDialog

        if self._lessons is None:
            self._lessons = LessonsDialog(self._window)
        self._lessons.show()
        self._lessons.raise_()

    def close(self) -> None:
        """Close the bench."""
        self._window.close()
