"""What the actions do. Dialogs stand here and only where work would be lost or a file is named."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QMessageBox

from app.gui.commands import RecordCommand
from app.gui.document import ChangedOutsideError
from app.gui.exporting import Exporting
from app.gui.file_names import BUILD, ask_open, ask_save, plain_name, written_words
from app.gui.keys_sheet import KeysSheet
from app.gui.new_build import with_shelf
from app.gui.safety import finish_typing
from app.gui.shelf_dialog import ShelfDialog
from app.gui.text_size import next_size, present_size
from app.gui.title_dialog import TitleDialog
from app.gui.units_dialog import UnitsDialog
from app.gui.work_beside import WorkBeside
from app.present.cautions import CAUTIONS
from app.present.pins import default_pin_name, make_pin
from app.present.tables import headline, ledger_table
from engine_model.errors import FileFaultsError
from engine_model.inputs import Build

if TYPE_CHECKING:
    from app.gui.window import Window

TITLE_PATHS = frozenset({"title", "notes"})
"""What an edit of title and notes tells to have changed."""


class Work(WorkBeside):
    """Methods named in the table of actions."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.exporting = Exporting(window)

    def open_file(self) -> None:
        """Ask for a build file and open it; in a place with files of its own, one of those."""
        if self._window.place.own_files is not None:
            self._window.place.own_files.open_file()
            return
        if not self.may_leave():
            return
        path = ask_open(self._window, self._window.preferences, BUILD)
        if path is not None:
            self.open_path(path, asked=True)

    def take_new(self, build: Build) -> None:
        """Take a new build, with the shop's shelf, where the present one may be left."""
        if self.may_leave():
            self._take_new(build)

    def new_for_customer(self, build: Build) -> None:
        """Ask for the title of a new build and take it, where the present one may be left."""
        if not self.may_leave():
            return
        dialog = TitleDialog(build, is_new=True, parent=self._window)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            self._take_new(dialog.build())

    def _take_new(self, build: Build) -> None:
        shelf = self._window.preferences.choices.shelf
        self._window.document.take(with_shelf(build, shelf), None)
        self._after_open()

    def edit_title(self) -> None:
        """Edit title and notes of the build as one step."""
        finish_typing()
        document = self._window.document
        dialog = TitleDialog(document.build, parent=self._window)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            document.replace(dialog.build(), TITLE_PATHS, "Change title and notes")

    def open_path(self, path: Path, asked: bool = False) -> None:
        """Open a build file; its faults are told and the present build stays."""
        if not asked and not self.may_leave():
            return
        try:
            self._window.document.open(path)
        except FileFaultsError as error:
            faults = "\n".join(f.sentence() for f in error.faults[:12])
            more = len(error.faults) - 12
            faults += f"\n… and {more} more; `pulleywright check` lists all" if more > 0 else ""
            words = f"{path.name} was not opened.\n{faults}"
            QMessageBox.warning(self._window, "Not opened", words)
            return
        self._window.preferences.remember_file(str(path.absolute()))
        self._after_open()

    def _after_open(self) -> None:
        self._window.line.drawing.refit()
        self._window.line.map.fit()

    def save_file(self) -> bool:
        """Save under the present name; asks for one where there is none."""
        finish_typing()
        if self._window.place.own_files is not None:
            return bool(self._window.place.own_files.save_file())
        return self.save_build()

    def save_build(self) -> bool:
        """Save the build under its name; asks for one where there is none."""
        finish_typing()
        if self._window.document.path is None:
            return self._save_build_as()
        return self._save(self._window.document.path)

    def save_file_as(self) -> bool:
        """Ask for a name and save."""
        finish_typing()
        if self._window.place.own_files is not None:
            return bool(self._window.place.own_files.save_file_as())
        return self._save_build_as()

    def _save_build_as(self) -> bool:
        document = self._window.document
        name = str(document.path or f"{plain_name(document.build.title)}{BUILD.endings[0]}")
        path = ask_save(self._window, self._window.preferences, BUILD, name, "Save the build")
        return self._save(path) if path is not None else False

    def _save(self, path: Path) -> bool:
        try:
            self._window.document.save(path)
        except ChangedOutsideError:
            self._window.safety.tell_not_saved(path)
            return False
        except FileFaultsError as error:
            words = "\n".join(f.sentence() for f in error.faults[:8])
            QMessageBox.warning(self._window, "Not saved", f"{path} was not saved.\n{words}")
            return False
        except OSError as error:
            QMessageBox.warning(self._window, "Not saved", f"{error}. Your build is still here.")
            return False
        self._window.preferences.remember_file(str(path.absolute()))
        self._window.line.say_done(written_words(path))
        return True

    def may_leave(self) -> bool:
        """Whether the build may be left: saved, or the user says so."""
        finish_typing()
        if self._window.document.is_saved:
            return True
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self._window,
            "Unsaved changes",
            "The build has changes that are not saved.",
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )
        if answer == buttons.Save:
            return self.save_build()
        return answer == buttons.Discard

    def undo(self) -> None:
        """Take back the last edit and show where it acted."""
        stack = self._window.history.activeStack()
        command = stack.command(stack.index() - 1) if stack.canUndo() else None
        stack.undo()
        self._show_where(command)

    def redo(self) -> None:
        """Do the last edit taken back again and show where it acted."""
        stack = self._window.history.activeStack()
        command = stack.command(stack.index()) if stack.canRedo() else None
        stack.redo()
        self._show_where(command)

    def _show_where(self, command: object) -> None:
        if isinstance(command, RecordCommand):
            if command.place:
                self._window.rail.show_place(command.place)
            self._window.line.show_where(command.paths)

    def copy_ledger(self) -> None:
        """Copy headline and ledger as text."""
        snapshot = self._window.line.snapshot
        if snapshot is None:
            return
        system = self._window.preferences.choices.units_shown
        match = snapshot.match
        rows = [*headline(match, system), "", *ledger_table(match.ledger, match.build, system)]
        QGuiApplication.clipboard().setText("\n".join(rows))

    def fit_map(self) -> None:
        """Show the whole map."""
        self._window.place.fit()

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the side panels of every place."""
        for place in self._window.places_by_key.values():
            place.fold_panels(folded)

    def toggle_theme(self, dark: bool) -> None:
        """Light or dark."""
        self._window.preferences.change(theme="dark" if dark else "light")

    def toggle_units(self, us: bool) -> None:
        """SI or US units."""
        self._window.preferences.change(system="us" if us else "si")

    def toggle_snapping(self, snapping: bool) -> None:
        """Whether the pulley slider rests at the shelf's sizes."""
        self._window.preferences.change(snapping=snapping)

    def toggle_error_bars(self, on: bool) -> None:
        """Whether bands and chances of the inputs' spreads are shown."""
        self._window.preferences.change(error_bars=on)

    def toggle_classroom(self, on: bool) -> None:
        """Full screen, larger text, panels away, answers covered until a key is pressed."""
        window = self._window
        window.set_classroom(on)
        for place in window.places_by_key.values():
            place.set_classroom(on)
        if on:
            window.showFullScreen()
        else:
            window.showNormal()

    def pin_line(self) -> None:
        """Pin the present line under the name offered."""
        document = self._window.document
        build = document.build
        taken = [one.name for one in build.pins]
        units = self._window.preferences.choices.units_shown
        pin = make_pin(build, default_pin_name(build, taken, units))
        words = f"Pin {pin.name}"
        document.replace(replace(build, pins=(*build.pins, pin)), frozenset({"pins"}), words)
        self._window.line.side.reveal(frozenset({"pins"}))

    def go_to_ledger(self) -> None:
        """Give the ledger the focus, its panel unfolded, or give it back."""
        fold = self._window.actions_by_name["fold_panels"]
        if fold.isChecked():
            fold.trigger()
        self._window.line.go_to_ledger()

    def close_why(self) -> None:
        """Put *Why* and the cursor away."""
        self._window.line.close_why()

    def edit_shelf(self) -> None:
        """Edit the shop shelf."""
        ShelfDialog(self._window.preferences, self._window).exec()

    def take_shelf(self) -> None:
        """Put the shop's shelf into the open build as one step."""
        finish_typing()
        document, shelf = self._window.document, self._window.preferences.choices.shelf
        build = with_shelf(document.build, shelf)
        same = build == document.build
        document.replace(build, frozenset({"shelf"}), "Take the shop's shelf")
        self._window.line.say_done("The build has the shop's shelf" + " already" * same)

    def edit_units(self) -> None:
        """Choose the unit of each quantity."""
        UnitsDialog(self._window.preferences, self._window).exec()

    def copy_why(self) -> None:
        """Copy what *Why* shows as text."""
        QGuiApplication.clipboard().setText(self._window.line.why.as_text())

    def text_larger(self) -> None:
        """Larger text."""
        self._size(1)

    def text_smaller(self) -> None:
        """Smaller text."""
        self._size(-1)

    def _size(self, steps: int) -> None:
        preferences = self._window.preferences
        size = next_size(present_size(preferences), steps)
        preferences.change(text_scale=size / 100.0)
        self._window.line.say_done(f"Text size {size} %")

    def export_chart(self) -> None:
        """Ask which chart is written as what, and write it."""
        self.exporting.ask()

    def show_keys(self) -> None:
        """Tell what the keys do."""
        KeysSheet(self._window).exec()

    def show_cautions(self) -> None:
        """Tell the cautions."""
        QMessageBox.information(self._window, "Cautions", "\n\n".join(CAUTIONS.values()))
