"""Files of the Trace place: pictures, maps with their trace, drafts, tables; and handing over."""

from __future__ import annotations

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.gui.document import Document
from app.gui.panels.map_chooser import PATHS, with_map
from app.gui.places.trace.trace_document import TraceDocument
from app.present.map_words import usual_drive
from engine_model.compressor.map_data import CompressorMap
from engine_model.digitise.picture_kinds import PictureError, bytes_of
from engine_model.errors import FileFaultsError
from engine_model.tracing.to_map import for_build, trace_to_map
from engine_model.tracing.trace import PictureRef

PICTURES = "Pictures and PDF pages (*.png *.jpg *.jpeg *.webp *.tif *.tiff *.pdf);;All files (*)"
TRACES = "Compressor maps and drafts (*.map.json *.trace.json *.json)"
MOST_FAULTS = 8


class TraceFiles:
    """Asks for names, reads and writes; what cannot be is told in one place."""

    def __init__(
        self,
        document: TraceDocument,
        build: Document,
        owner: QWidget,
        say: Callable[[str], None],
        done: Callable[[str], None],
    ) -> None:
        self._document, self._build, self._owner = document, build, owner
        self._say, self._done = say, done

    # pictures

    def open_picture(self) -> None:
        """Ask for a picture and put it on the table."""
        name, _ = QFileDialog.getOpenFileName(self._owner, "Open a picture", "", PICTURES)
        if name:
            self.take_path(Path(name))

    def take_path(self, path: Path) -> None:
        """Put a picture's file on the table, or take up a trace."""
        if path.suffix.lower() == ".json":
            self.open_path(path)
            return
        trace = self._document.trace
        anew = bool(trace.curves) and not self._is_of(path, trace.picture)
        if not anew or self.may_leave():
            self._document.open_picture(path, 0 if anew else self._page_of(path), anew=anew)

    @staticmethod
    def _is_of(path: Path, ref: PictureRef | None) -> bool:
        """Whether a file is the picture of the trace, whatever its name."""
        if ref is None:
            return True
        try:
            return sha256(bytes_of(path)).hexdigest() == ref.sha256
        except PictureError:
            return False

    def _page_of(self, path: Path) -> int:
        """Page of a file to begin with: the trace's, where it is its file."""
        ref = self._document.trace.picture
        return ref.page if ref is not None and self._is_of(path, ref) else 0

    def show_page(self, page: int) -> None:
        """Show another page of the picture's file; curves stay with theirs."""
        document = self._document
        anew = bool(document.trace.curves)
        if document.picture_path is None:
            self._say("Open the picture's own file to see its other pages.")
        elif not anew or self.may_leave():
            document.open_picture(document.picture_path, page, anew=anew)
            return
        document.picture_changed.emit()  # the number of the page goes back

    def paste(self) -> None:
        """Take the picture of the clipboard."""
        image = QGuiApplication.clipboard().image()
        if image.isNull():
            self._say("There is no picture in the clipboard.")
            return
        anew = bool(self._document.trace.curves)
        if not anew or self.may_leave():
            self._document.paste_picture(rgb_of(image), anew=anew)

    # traces

    def open_file(self) -> None:
        """Ask for a map's file or a draft and take it up."""
        name, _ = QFileDialog.getOpenFileName(self._owner, "Take up a trace", "", TRACES)
        if name:
            self.open_path(Path(name))

    def open_path(self, path: Path) -> None:
        """Take up the trace of a file; its faults are told and the present one stays."""
        if not self.may_leave():
            return
        try:
            self._document.open(path)
        except FileFaultsError as error:
            self._refused(f"{path.name} was not opened.", error)
            return
        except OSError as error:
            self._say(f"{path.name} was not opened: {error.strerror or error}.")
            return

    def save_file(self) -> bool:
        """Save under the present name; asks for one where there is none."""
        path = self._document.path
        if path is None or not self._suits(path):
            return self.save_file_as()
        return self._save(path)

    def _suits(self, path: Path) -> bool:
        """Whether a name may stay: a draft does not take the place of a compressor map."""
        name = path.name.lower()
        ending = ".trace.json" if self._document.is_usable else ".map.json"
        return not name.endswith(ending)

    def save_file_as(self) -> bool:
        """Ask for a name and save: a map where it can be one, else a draft."""
        title = self._document.trace.title.strip() or "traced"
        plain = "-".join("".join(c if c.isalnum() else " " for c in title.lower()).split())
        usable, present = self._document.is_usable, self._document.path
        ending = ".map.json" if usable else ".trace.json"
        suggestion = f"{plain or 'traced'}{ending}"
        if present is not None:
            stem = present.name
            for known in (".map.json", ".trace.json", ".json"):
                stem = stem.removesuffix(known)
            suggestion = str(present.with_name(stem + ending))
        title = "Save the compressor map" if usable else "Save the draft: no usable map yet"
        name, _ = QFileDialog.getSaveFileName(self._owner, title, suggestion, TRACES)
        if not name:
            return False
        path = Path(name)
        if path.suffix.lower() != ".json":
            path = path.with_name(path.name + ending)
            if path.exists() and not self._may_replace(path):
                return False
        return self._save(path)

    def _may_replace(self, path: Path) -> bool:
        """Whether a file may go whose name was completed after the dialog had asked."""
        buttons = QMessageBox.StandardButton
        words = f"{path.name} is there already. Replace it?"
        answer = QMessageBox.question(self._owner, "Replace", words, buttons.Yes | buttons.No)
        return answer == buttons.Yes

    def _save(self, path: Path) -> bool:
        try:
            usable = self._document.save(path)
        except FileFaultsError as error:
            self._refused(f"{path.name} was not saved.", error)
            return False
        except OSError as error:
            self._say(f"{path.name} was not saved: {error.strerror or error}. It is still here.")
            return False
        what = "Written" if usable else "Written as a draft, it is no usable compressor map yet"
        self._done(f"{what}: {path.name}")
        return True

    def may_leave(self) -> bool:
        """Whether the present trace may be left: saved, empty, or the user says so."""
        if self._document.is_saved or self._document.is_empty:
            return True
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self._owner,
            "Trace not saved",
            "The trace has changes that are not saved.",
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )
        if answer == buttons.Save:
            return self.save_file()
        return answer == buttons.Discard

    # handing over

    def use_trace(self) -> bool:
        """Put the traced map under the present operating line; whether it could be."""
        try:
            made = for_build(trace_to_map(self._document.trace))
        except FileFaultsError as error:
            self._refused("The compressor map cannot be used yet.", error)
            return False
        self.use(made)
        return True

    def use(self, compressor_map: CompressorMap) -> None:
        """Put a map into the present build as one step; the drive stays as it is."""
        build = self._build.build
        kind = build.drive.kind
        drive = usual_drive(compressor_map) if kind == "none" else kind
        new = with_map(build, compressor_map, drive, True)
        former, kept = build.blower.compressor_map, ""
        if (
            former is not None
            and build.blower.step_up is None
            and compressor_map.built_in_step_up == 1.0 != former.built_in_step_up
        ):
            # nobody has said the traced blower's gear: the line stays where it was
            new = new.with_value("blower.step_up", former.built_in_step_up)
            kept = f"; step-up {former.built_in_step_up:g} kept from the former blower"
        paths = PATHS | (new.given ^ build.given)
        if drive != kind:
            paths |= {"drive.kind"}
        self._build.replace(new, paths, f"Use the compressor map {compressor_map.title}")
        self._done(f"In the build now: {compressor_map.title}{kept}")

    def _refused(self, head: str, error: FileFaultsError) -> None:
        told = [fault.sentence() for fault in error.faults]
        more = len(told) - MOST_FAULTS
        rows = told[:MOST_FAULTS] + ([f"and {more} more"] if more > 0 else [])
        self._say(" ".join([head, *(f"{row}." for row in rows)]))


def rgb_of(image: QImage):  # type: ignore[no-untyped-def]
    """Colours of a Qt image, height x width x 4 of bytes, with opacity."""
    import numpy as np

    plain = image.convertToFormat(QImage.Format.Format_RGBA8888)
    wide, tall = plain.width(), plain.height()
    data = np.frombuffer(plain.constBits(), dtype=np.uint8)
    return data.reshape(tall, plain.bytesPerLine())[:, : 4 * wide].reshape(tall, wide, 4).copy()
