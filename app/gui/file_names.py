"""Names of files asked for: each kind begins in the folder it was last in and has its ending."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.gui.preferences import Preferences
from app.paths import is_shipped


@dataclass(frozen=True, slots=True)
class FileKind:
    """A kind of file.

    Parameters
    ----------
    key : str
        Its name in the preferences.
    title : str
        What it is, within a sentence: ``a build``.
    filter : str
        Filter of the dialog.
    endings : tuple of str
        Endings that may be written; a name without one of them gets the first.
    """

    key: str
    title: str
    filter: str
    endings: tuple[str, ...] = ()


BUILD = FileKind("build", "a build", "Builds (*.build.json *.json)", (".build.json", ".json"))
MAP = FileKind(
    "map", "a compressor map", "Compressor maps (*.map.json *.json)", (".map.json", ".json")
)
LOGO = FileKind("logo", "a logo", "Pictures (*.png *.svg *.jpg *.jpeg)")


def ask_open(
    owner: QWidget, preferences: Preferences, kind: FileKind, title: str = ""
) -> Path | None:
    """Ask for a file to read; nothing where the dialog is left.

    Parameters
    ----------
    owner : QWidget
        Over which the dialog stands.
    preferences : Preferences
        Keep the folder.
    kind : FileKind
        What is asked for.
    title : str
        Title of the dialog; blank: made from the kind.
    """
    start = preferences.folder_of(kind.key)
    name, _ = QFileDialog.getOpenFileName(owner, title or f"Open {kind.title}", start, kind.filter)
    return _remembered(preferences, kind, Path(name)) if name else None


def ask_save(
    owner: QWidget, preferences: Preferences, kind: FileKind, suggestion: str, title: str = ""
) -> Path | None:
    """Ask for a file to write, with its ending; nothing where the dialog is left.

    Parameters
    ----------
    owner : QWidget
        Over which the dialog stands.
    preferences : Preferences
        Keep the folder.
    kind : FileKind
        What is asked for.
    suggestion : str
        Name offered; one with a folder keeps it.
    title : str
        Title of the dialog; blank: made from the kind.
    """
    offered = Path(suggestion)
    if not offered.is_absolute():
        offered = Path(preferences.folder_of(kind.key)) / offered
    name, _ = QFileDialog.getSaveFileName(
        owner, title or f"Save {kind.title}", str(offered), kind.filter
    )
    if not name:
        return None
    path = with_ending(Path(name), kind)
    if path != Path(name) and path.exists() and not may_replace(owner, path):
        return None  # the file dialog asked about the name as typed only
    return _remembered(preferences, kind, path)


def with_ending(path: Path, kind: FileKind) -> Path:
    """Path with the ending of its kind.

    Examples
    --------
    >>> with_ending(Path("customer-one"), BUILD).name
    'customer-one.build.json'
    >>> with_ending(Path("customer.json"), BUILD).name
    'customer.json'
    """
    if not kind.endings or path.name.lower().endswith(kind.endings):
        return path
    return path.with_name(path.name + kind.endings[0])


def plain_name(title: str) -> str:
    """Name of a file from a title, without its ending.

    Examples
    --------
    >>> plain_name("Blue wagon, 3.2 L")
    'Blue-wagon-3-2-L'
    """
    return re.sub(r"[^\w-]+", "-", title).strip("-")[:60] or "build"


def may_replace(owner: QWidget, path: Path) -> bool:
    """Whether the user lets a file be replaced."""
    words = f"{path.name} is there already. Replace it?"
    answer = QMessageBox.question(owner, "Replace the file", words)
    return answer == QMessageBox.StandardButton.Yes


def written_words(path: Path) -> str:
    """Words for a file that was written: its name and its folder."""
    return f"Written: {path.name} in {path.absolute().parent}"


def _remembered(preferences: Preferences, kind: FileKind, path: Path) -> Path:
    if not is_shipped(path):  # nobody's work is kept among the samples
        preferences.remember_folder(kind.key, str(path.absolute().parent))
    return path
