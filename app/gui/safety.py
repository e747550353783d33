"""Nothing typed or saved is lost: journal, watch over the open file, and the bar that tells."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication

from app.gui.document import Document
from app.gui.journal import Journal, journal_folder
from app.gui.leftovers import Leftover, broken_sentence, find_leftovers
from app.gui.recovery_bar import Act, Notice, RecoveryBar, age_words
from app.gui.watch import FileWatch
from engine_model.errors import FileFaultsError

LEFT_WORDS = "Left, it is offered again at the next start; discarded, it is gone."
"""What the buttons of a leftover do, in the notice itself."""

LEFT_TIPS = (
    "Opens it as it was, not saved yet; the build open now is asked about first",
    "Keeps it for the next start of the program; nothing is lost",
    "Deletes it for good; saved files stay as they are",
)
CHANGED_TIPS = (
    "Takes the file's build; undo brings yours back",
    "Stays with yours; the next save writes over the file",
)
REMOVED_TIPS = (
    "Writes your build to the same name",
    "Writes nothing now; your build stays open and counts as not saved",
)


class Safety(QObject):
    """Joins a document with its journal and its watch, and tells on a bar.

    Parameters
    ----------
    document : Document
        The open build.
    bar : RecoveryBar
        Where it tells.
    may_leave : callable
        Whether the present build may be left: saved, or the user says so.
    opened : callable
        Called when another build was taken up.
    folder : Path, optional
        Folder of the journals; without it the user's.
    """

    def __init__(
        self,
        document: Document,
        bar: RecoveryBar,
        may_leave: Callable[[], bool],
        opened: Callable[[], None],
        folder: Path | None = None,
    ) -> None:
        super().__init__(document)
        self._document, self._bar = document, bar
        self._may_leave, self._opened = may_leave, opened
        self._folder = folder or journal_folder()
        self.journal = Journal(document, self._folder)
        self.watch = FileWatch(document)
        self.journal.trouble.connect(lambda words: self._say("journal", words))
        self.journal.mended.connect(lambda: bar.withdraw("journal"))
        self.watch.changed_outside.connect(self._tell_changed)
        self.watch.removed.connect(self._tell_removed)
        self.watch.back.connect(lambda _: bar.withdraw("file"))

    def offer_leftovers(self) -> None:
        """Offer what programs that were killed left behind."""
        found = find_leftovers(self._folder)
        for sentence in found.broken:
            self._say(sentence, sentence)
        for leftover in found.leftovers:
            if leftover.is_in_its_file():
                self._discard(leftover)
            else:
                self._offer(leftover)

    def tell_not_saved(self, path: Path) -> None:
        """Tell that a save was refused because another program changed the file."""
        self._tell_changed(path)
        self._bar.take_keyboard()

    def close(self) -> None:
        """End on purpose."""
        self.journal.close()

    def _offer(self, leftover: Leftover) -> None:
        age = age_words(time.time() - leftover.written)
        text = f"A build was open when the program stopped: {leftover.title}, {age}"
        if leftover.path:
            text += f", unsaved changes of {leftover.path.name}"
            text += " (which was written since)" * leftover.file_changed_since()
        choices: tuple[tuple[str, Act], ...] = (
            ("Take it up", lambda: self._take_up(leftover)),
            ("Leave it", lambda: True),
            ("Discard", lambda: self._discard(leftover)),
        )
        text = f"{text}. {LEFT_WORDS}"
        self._bar.tell(Notice(str(leftover.journal), text, choices, LEFT_TIPS))

    def _take_up(self, leftover: Leftover) -> bool:
        if not self._may_leave():
            return False
        if not leftover.journal.exists():
            self._say(str(leftover.journal), "That build was taken up or discarded elsewhere.")
            return False
        try:
            build = leftover.build()
        except FileFaultsError as error:
            words = broken_sentence(error, leftover.set_aside())
            self._say(str(leftover.journal), words)
            return False
        self._document.recover(build, leftover.path, leftover.day, leftover.digest)
        self._opened()
        # the old journal goes only when the new one stands
        return self._discard(leftover) if self.journal.write_now() else True

    def _discard(self, leftover: Leftover) -> bool:
        try:
            leftover.discard()
        except OSError as error:
            words = f"{leftover.journal} could not be removed: {error.strerror}."
            self._say(str(leftover.journal), words)
            return False
        return True

    def _tell_changed(self, path: Path) -> None:
        text = f"{path.name} was changed on disk by another program."
        choices = (("Read it again", self._read_again), ("Keep mine", self._keep_mine))
        self._bar.tell(Notice("file", text, choices, CHANGED_TIPS))

    def _tell_removed(self, path: Path) -> None:
        text = f"{path.name} was removed from disk; your build is still here."
        choices = (("Save again", self._save_again), ("Leave it", lambda: True))
        self._bar.tell(Notice("file", text, choices, REMOVED_TIPS))

    def _read_again(self) -> bool:
        try:
            self._document.read_again()
        except FileFaultsError as error:
            name, fault = Path(error.name).name, error.faults[0].sentence()
            self._say("reading", f"{name} was not read again: {fault}. Your build is still here.")
            return False
        self._bar.withdraw("reading")
        return True

    def _keep_mine(self) -> bool:
        self._document.keep_mine()
        return True

    def _save_again(self) -> bool:
        try:
            self._document.save()
        except FileFaultsError as error:
            self._say("saving", f"{error.faults[0].sentence()}. Your build is still here.")
            return False
        except OSError as error:
            self._say("saving", f"{error}. Your build is still here.")
            return False
        self._bar.withdraw("saving")
        return True

    def _say(self, about: str, words: str) -> None:
        self._bar.tell(Notice(about, words, (("All right", lambda: True),)))


def finish_typing() -> None:
    """Take over what stands typed in the focused box, as leaving it would; for save and close."""
    focused = QApplication.focusWidget()
    if focused is None:
        return
    focused.clearFocus()
    if QApplication.focusWidget() is None and focused.isVisible():
        focused.setFocus(Qt.FocusReason.OtherFocusReason)
