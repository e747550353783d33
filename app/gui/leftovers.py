"""Journals of programs that ended without closing: found, told about, read."""

from __future__ import annotations

import contextlib
import math
import os
from dataclasses import dataclass
from pathlib import Path

from app.gui.document import NO_FILE, digest_of
from app.gui.process import start_of
from engine_model.errors import Fault, FileFaultsError
from engine_model.files.build_file import load_build, open_build
from engine_model.files.reading import Document as Content
from engine_model.files.reading import read_document
from engine_model.inputs import Build

JOURNAL_FORMAT = "pulleywright-journal"
VERSION = 1
SUFFIX = ".journal.json"
ASIDE = ".broken"


@dataclass(frozen=True, slots=True)
class Leftover:
    """The journal of a program that no longer runs.

    Parameters
    ----------
    journal : Path
        Its file.
    title : str
        Title of the build in it.
    written : float
        When it was written, as a time stamp. [s]
    path : Path or None
        File of the build; nothing where it was never saved.
    day : str
        Day shown.
    digest : str
        Digest of the build's file as that program knew it.
    """

    journal: Path
    title: str
    written: float
    path: Path | None
    day: str
    digest: str

    def build(self) -> Build:
        """Return the build; raises FileFaultsError where it cannot be read."""
        content = _content_of(self.journal)
        build, faults = open_build(content)
        if build is None:
            raise FileFaultsError(str(self.journal), faults)
        return build

    def is_in_its_file(self) -> bool:
        """Whether the build's own file holds the same: the program ended just after a save."""
        if self.path is None:
            return False
        try:
            return load_build(self.path) == self.build()
        except FileFaultsError:
            return False

    def file_changed_since(self) -> bool:
        """Whether the build's file was written after that program last knew it."""
        return self.path is not None and digest_of(self.path) not in (NO_FILE, self.digest)

    def discard(self) -> None:
        """Remove the journal; raises OSError where it cannot be."""
        self.journal.unlink(missing_ok=True)

    def set_aside(self) -> Path:
        """Keep a journal that cannot be read under another name, which is returned."""
        return _set_aside(self.journal)


@dataclass(frozen=True, slots=True)
class Found:
    """What stood in the folder of the journals.

    Parameters
    ----------
    leftovers : tuple of Leftover
        Builds that can be taken up, the latest first.
    broken : tuple of str
        One sentence for each journal that cannot be read; the files are kept aside.
    """

    leftovers: tuple[Leftover, ...]
    broken: tuple[str, ...]


def find_leftovers(folder: Path) -> Found:
    """Journals of programs that no longer run."""
    leftovers, broken = [], []
    try:
        names = sorted(os.listdir(folder))
    except FileNotFoundError:
        return Found((), ())
    except OSError as error:
        return Found((), (f"Journals in {folder} could not be looked for: {error.strerror}.",))
    for name in names:
        head, mark, rest = name.partition(SUFFIX)
        if not mark or is_running(head):
            continue
        if rest.endswith(".tmp"):  # a writing the program did not finish
            with contextlib.suppress(OSError):
                (folder / name).unlink()
        elif not rest:
            try:
                leftovers.append(_read(folder / name))
            except FileNotFoundError:  # another program took it up just now
                continue
            except FileFaultsError as error:
                broken.append(broken_sentence(error, _set_aside(folder / name)))
    leftovers.sort(key=lambda one: -one.written)
    return Found(tuple(leftovers), tuple(broken))


def broken_sentence(error: FileFaultsError, kept: Path) -> str:
    """Return one sentence on a journal that cannot be read."""
    fault = error.faults[0].sentence()
    return f"An unsaved build could not be read ({fault}); its journal is kept as {kept}."


def is_running(head: str) -> bool:
    """Whether the program of a journal's name runs."""
    process_id, _, start = head.partition("-")
    return process_id.isdecimal() and start_of(int(process_id)) == start


def _set_aside(journal: Path) -> Path:
    kept = journal.with_name(journal.name + ASIDE)
    try:
        journal.rename(kept)
    except OSError:  # the folder cannot be written: it stays under its name
        return journal
    return kept


def _content_of(journal: Path) -> Content:
    """Build of a journal as JSON has it."""
    read = read_document(journal)
    record = read.content
    build = record.get("build") if isinstance(record, dict) else None
    return Content(read.name, build, read.faults, read.ordinary)


def _read(journal: Path) -> Leftover:
    if not journal.exists():
        raise FileNotFoundError(journal)
    record = read_document(journal).content
    if not isinstance(record, dict) or record.get("format") != JOURNAL_FORMAT:
        raise _fault(journal, "format", "another", JOURNAL_FORMAT)
    if record.get("version") != VERSION:
        raise _fault(journal, "version", repr(record.get("version")), str(VERSION))
    build = record.get("build")
    path, written = record.get("path"), record.get("written")
    if not isinstance(build, dict):
        raise _fault(journal, "build", "none", "a build")
    if not isinstance(written, (int, float)) or not math.isfinite(written):
        raise _fault(journal, "written", repr(written), "a time")
    return Leftover(
        journal,
        str(build.get("title", "")),
        float(written),
        Path(path) if isinstance(path, str) and path else None,
        str(record.get("day", "")),
        str(record.get("digest", "")),
    )


def _fault(journal: Path, where: str, value: str, allowed: str) -> FileFaultsError:
    return FileFaultsError(str(journal), (Fault(where, value, allowed),))
