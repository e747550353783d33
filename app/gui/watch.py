"""The open file on the disk: changed or removed by somebody else."""

from __future__ import annotations

import os
from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication

from app.gui.document import NO_FILE, Document, digest_of

SETTLE_MS = 150
"""A file is looked at when nothing has happened to it for this long."""

_AS_KNOWN = ""


class FileWatch(QObject):
    """Watches the open file of a document by its content; own saves are not somebody else.

    It looks when the system tells of a change in the file or its folder, when the program comes
    to the front, and when asked. While the file differs the document counts as not saved.

    Signals
    -------
    changed_outside(path)
        Another program changed the file.
    removed(path)
        The file, or its folder, is gone.
    back(path)
        The file is again as it was opened or saved, or another file is open.
    """

    changed_outside = Signal(object)
    removed = Signal(object)
    back = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._document = document
        self._watcher = QFileSystemWatcher(self)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SETTLE_MS)
        self._timer.timeout.connect(self.check)
        self._watcher.fileChanged.connect(self._soon)
        self._watcher.directoryChanged.connect(self._soon)
        self._known = (document.path, document.digest)
        self._told = _AS_KNOWN
        document.saved_changed.connect(self._follow)
        application = QGuiApplication.instance()
        if isinstance(application, QGuiApplication):
            application.applicationStateChanged.connect(self._come_to_front)
        self._watch()
        self._soon()

    def is_foreign(self, path: Path) -> bool:
        """Whether a file is the open one and another program changed it."""
        return self._document.is_foreign(path)

    def check(self) -> None:
        """Look at the file now and tell what is new."""
        self._watch()
        path = self._document.path
        if path is None:
            return
        digest = digest_of(path)
        told = _AS_KNOWN if digest == self._document.digest else digest
        if told == self._told:
            return
        self._told = told
        self._document.set_file_holds(told == _AS_KNOWN)
        if told == _AS_KNOWN:
            self.back.emit(path)
        elif told == NO_FILE:
            self.removed.emit(path)
        else:
            self.changed_outside.emit(path)

    def _come_to_front(self, state: Qt.ApplicationState) -> None:
        if state == Qt.ApplicationState.ApplicationActive:
            self.check()

    def _follow(self) -> None:
        """Follow the document to another file, or to a new content of it."""
        known = (self._document.path, self._document.digest)
        if known == self._known:
            return
        former, self._known = self._known, known
        if self._told != _AS_KNOWN:
            self._told = _AS_KNOWN
            self.back.emit(former[0])
        self._watch()
        self._soon()

    def _soon(self, *_: object) -> None:
        self._timer.start()

    def _watch(self) -> None:
        """Watch the file and its folder, also through a link; what is not there cannot be."""
        wanted = _places(self._document.path)
        folders = set(self._watcher.directories())
        # files always anew: another file may have taken the name over
        past = {*self._watcher.files(), *(folders - wanted)}
        if past:
            self._watcher.removePaths(sorted(past))
        if wanted - folders:
            self._watcher.addPaths(sorted(wanted - folders))


def _places(path: Path | None) -> set[str]:
    if path is None:
        return set()
    places = set()
    for one in (Path(os.path.abspath(path)), Path(os.path.realpath(path))):
        if one.exists():
            places.add(str(one))
        folder = one.parent
        while not folder.exists():
            folder = folder.parent
        places.add(str(folder))
    return places
