"""The trace on the table: its record with undo, its picture, and the picture made ready."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtGui import QUndoStack

from app.gui.commands import RecordCommand
from app.gui.places.trace.kept_pictures import KeptPictures, reference_to
from engine_model.compressor.map_data import CompressorMap
from engine_model.digitise.picture import (
    Picture,
    decode_picture,
    load_picture,
    picture_from_rgb,
    thumbnail_png,
)
from engine_model.digitise.picture_kinds import PictureError
from engine_model.errors import FileFaultsError, InputError
from engine_model.tracing.follow import PreparedPicture, prepare_picture, refollow
from engine_model.tracing.to_map import trace_to_map
from engine_model.tracing.trace import PictureRef, Trace
from engine_model.tracing.trace_file import (
    load_embedded_picture,
    load_map_with_trace,
    save_draft,
    save_map_with_trace,
)

EMBEDDED_SIDE = 1600
"""Longest side of a picture kept in a file [pixel]."""

REST_MS = 150
"""The picture is made ready once its known points have rested this long."""


class TraceDocument(QObject):
    """One method edits; the picture is read and made ready in a thread of its own.

    Signals
    -------
    changed()
        The record is another one.
    begun()
        Another trace lies on the table, with a history of its own.
    picture_changed()
        Another picture lies on the table, or none.
    prepared_changed()
        The picture was made ready for the pen, or is no longer.
    busy(words)
        Something takes a while; empty when it is done.
    refused(sentence)
        Something cannot be; an empty sentence takes it back.
    saved_changed()
        The file's name or the unsaved mark changed.
    """

    changed = Signal()
    begun = Signal()
    picture_changed = Signal()
    prepared_changed = Signal()
    busy = Signal(str)
    refused = Signal(str)
    saved_changed = Signal()
    _done = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._trace = Trace()
        self._pictures = KeptPictures()
        self._prepared: PreparedPicture | None = None
        self._asked_for: object = None
        self.path: Path | None = None
        self.picture_path: Path | None = None
        self.embed = False
        self.undo_stack = QUndoStack(self)
        self.undo_stack.cleanChanged.connect(self.saved_changed)
        self._closed = False
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="trace")
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_MS)
        self._rest.timeout.connect(self._prepare)
        self._done.connect(self._finish, Qt.ConnectionType.QueuedConnection)

    @property
    def trace(self) -> Trace:
        """The record as it is now."""
        return self._trace

    @property
    def picture(self) -> Picture | None:
        """The picture of the record; none while its file is not at hand."""
        return self._pictures.of(self._trace.picture)

    @property
    def prepared(self) -> PreparedPicture | None:
        """The picture made ready for the pen."""
        return self._prepared

    @property
    def is_saved(self) -> bool:
        """Whether the file holds the record as it is, or there is nothing to hold."""
        return self.undo_stack.isClean()

    @property
    def is_empty(self) -> bool:
        """Whether nothing was begun."""
        return self._trace == Trace()

    # edits

    def edit(self, trace: Trace, words: str, gesture: int | None = None) -> None:
        """Put another record in place as one step."""
        if trace != self._trace:
            self.undo_stack.push(
                RecordCommand(self._apply, self._trace, trace, frozenset(), words, gesture)
            )

    def followed(self, trace: Trace, index: int, stretches: tuple[int, ...] | None = None) -> Trace:
        """Record with a curve along the ink; as it is where there is no ink to follow."""
        if self._prepared is None:
            return trace
        try:
            return refollow(trace, index, self._prepared, stretches)
        except InputError as error:
            self.refused.emit(f"Not followed: {error.value} given; allowed: {error.allowed}.")
            return trace

    def _apply(self, trace: Trace, _: frozenset[str]) -> None:
        before, self._trace = self._trace, trace
        if before.picture != trace.picture:
            self._asked_for = None
            self._set_prepared(None, None)  # it shows the former one
            self.picture_changed.emit()
        self.changed.emit()
        self._look_at_points()

    # the picture

    def open_picture(self, path: Path, page: int = 0, *, anew: bool = False) -> None:
        """Read a picture's file, or another page of it; told by the signals.

        Where there are curves already, another picture is refused, or begins a new trace.
        """
        self._run(
            f"Reading {path.name}",
            lambda: load_picture(path, page),
            lambda picture: self._take_picture(picture, path, anew),
        )

    def paste_picture(self, rgb: NDArray[np.uint8], *, anew: bool = False) -> None:
        """Take colours, height by width by 3 or 4, as the picture."""
        self._run(
            "Taking the pasted picture",
            lambda: picture_from_rgb(rgb),
            lambda picture: self._take_picture(picture, None, anew),
        )

    def _take_picture(self, picture: Picture, path: Path | None, anew: bool) -> None:
        ref, old = reference_to(picture), self._trace.picture
        same = old is not None and (old.sha256, old.page) == (ref.sha256, ref.page)
        if old is not None and not same and self._trace.curves:
            if not anew:
                self.refused.emit(f"{picture.source} is not the picture this trace was begun on.")
                return
            self.begin()
            old = None
        if same and old is not None:
            ref = old  # its places are told in that size
        self._pictures.keep(ref, picture)
        self.picture_path = path
        if path is None:
            self.embed = True  # a paste has no other file
        if ref == old:
            self.picture_changed.emit()
            self._look_at_points()
        else:
            self.edit(replace(self._trace, picture=ref), f"Picture {picture.source}")
        self.refused.emit(picture.note)

    # making it ready

    def _points(self) -> object:
        """What the straightened picture depends on; none while it cannot be made."""
        axes, picture = self._trace.axes, self.picture
        if picture is None or len(axes.places_px) < 4 or len(axes.places_px) != len(axes.values):
            return None
        return picture.sha256, picture.page, axes.places_px, axes.values

    def _look_at_points(self) -> None:
        wanted = self._points()
        if wanted == self._asked_for:
            return
        self._asked_for = wanted
        self._rest.start()

    def _prepare(self) -> None:
        wanted, picture, axes = self._asked_for, self.picture, self._trace.axes
        if wanted is None or picture is None:
            self._set_prepared(None, None)
            return
        self._run(
            "Straightening the picture",
            lambda: prepare_picture(picture.rgb, axes),
            lambda prepared: self._set_prepared(prepared, wanted),
        )

    def _set_prepared(self, prepared: PreparedPicture | None, wanted: object) -> None:
        if wanted != self._asked_for:
            return  # the points were moved meanwhile
        self._prepared = prepared
        if prepared is not None:
            self.refused.emit("")
        self.prepared_changed.emit()

    # work in the thread

    def _run(self, words: str, job: Callable[[], Any], then: Callable[[Any], None]) -> None:
        self.busy.emit(words)
        future = self._worker.submit(job)
        future.add_done_callback(lambda done: self._done.emit((done, then)))

    def _finish(self, result: tuple[Future[Any], Callable[[Any], None]]) -> None:
        done, then = result
        if self._closed:
            return
        self.busy.emit("")
        try:
            found = done.result()
        except PictureError as error:
            self.refused.emit(str(error))
        except InputError as error:
            self._prepared = None
            self.prepared_changed.emit()
            self.refused.emit(f"The known points: {error.value} given; allowed: {error.allowed}.")
        except MemoryError:
            self.refused.emit("There is not enough memory for this picture.")
        else:
            then(found)

    def close(self) -> None:
        """End the thread; what it is at is waited for and dropped."""
        self._closed = True
        self._rest.stop()
        self._worker.shutdown(wait=True, cancel_futures=True)

    # files

    def begin(self, trace: Trace | None = None, path: Path | None = None) -> None:
        """Take another record as the open one, with a fresh history."""
        self._trace = trace or Trace()
        self.path, self.picture_path, self.embed = path, None, False
        self._asked_for = None
        self.undo_stack.clear()
        self.undo_stack.setClean()
        self._set_prepared(None, None)
        self.begun.emit()
        self.picture_changed.emit()
        self.changed.emit()
        self.saved_changed.emit()
        self._look_at_points()

    def recover(self, trace: Trace, path: Path | None) -> None:
        """Take an unsaved record of a former run."""
        self.begin(trace, path)
        self.undo_stack.resetClean()
        self.saved_changed.emit()

    def open(self, path: Path) -> None:
        """Open a map's file with its trace, or a draft; raises FileFaultsError where it cannot."""
        compressor_map, trace = load_map_with_trace(path)
        if trace is None:
            name = "" if compressor_map is None else f" ({compressor_map.title})"
            self.refused.emit(f"{path.name} holds a compressor map{name}, but no trace to go on.")
            return
        embedded = load_embedded_picture(path)
        self.begin(trace, path)
        self.embed = embedded is not None
        if trace.picture is not None and self.picture is None:
            self._find_picture(path, trace.picture, embedded)

    def _find_picture(self, path: Path, ref: PictureRef, embedded: bytes | None) -> None:
        """Show the picture of a file: the one beside it, or else the one in it."""
        beside = path.parent / ref.name
        there = bool(ref.name) and beside.is_file()
        if not there and embedded is None:
            self.refused.emit(f"Open the picture {ref.name} to go on; the curves are here.")
            return

        def look() -> tuple[Picture, Path | None]:
            if there:
                try:
                    picture = load_picture(beside, ref.page)
                    if picture.sha256 == ref.sha256 or embedded is None:
                        return picture, beside
                except PictureError:
                    if embedded is None:
                        raise
            assert embedded is not None
            kept = decode_picture(embedded, ref.name or "picture")
            return replace(kept, sha256=ref.sha256, page=ref.page), None

        def take(found: tuple[Picture, Path | None]) -> None:
            embed = self.embed
            self._take_picture(*found, anew=False)
            self.embed = embed

        self._run("Reading the picture", look, take)

    def save(self, path: Path) -> bool:
        """Save as a map's file, or as a draft while it is no map; whether it is a map.

        Raises FileFaultsError or OSError where it cannot; everything stays as it is.
        """
        picture = self.picture
        png = thumbnail_png(picture, EMBEDDED_SIDE) if self.embed and picture is not None else None
        made = self._made()
        if made is not None:
            save_map_with_trace(made, path, trace=self._trace, picture_png=png)
        else:
            save_draft(self._trace, path, picture_png=png)
        self.path = path
        self.undo_stack.setClean()
        self.saved_changed.emit()
        return made is not None

    @property
    def is_usable(self) -> bool:
        """Whether the trace is a compressor map by now."""
        return self._made() is not None

    def _made(self) -> CompressorMap | None:
        try:
            return trace_to_map(self._trace)
        except FileFaultsError:
            return None
