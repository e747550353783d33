"""Disks that fail and files that others touch: nothing is lost, one clear sentence each.

The small disk and the read-only one are real mounts.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from PySide6.QtWidgets import QWidget

import app.gui.journal as journal_module
from app.gui.document import ChangedOutsideError, Document
from app.gui.journal import Journal
from app.gui.recovery_bar import RecoveryBar
from app.gui.safety import Safety
from app.gui.watch import FileWatch
from engine_model.files.atomic import SaveError
from engine_model.files.build_file import load_build

SAMPLE = Path(__file__).parent.parent / "sample_maps" / "road-six.build.json"
PULLEY = "drive.blower_pulley_diameter"


@pytest.fixture(autouse=True)
def quick_retry(monkeypatch):
    monkeypatch.setattr(journal_module, "RETRY_MS", 100)


@pytest.fixture
def document(qapp):
    return Document(load_build(SAMPLE))


@pytest.fixture
def small_disk(tmp_path):
    """Folder on a real disk of 64 kB."""
    folder = tmp_path / "disk"
    folder.mkdir()
    if shutil.which("mount") is None:
        pytest.skip("no mount command here")
    command = ["mount", "-t", "tmpfs", "-o", "size=64k", "none", str(folder)]
    made = subprocess.run(command, capture_output=True, text=True, check=False)
    if made.returncode:
        pytest.skip(f"a small disk cannot be mounted here: {made.stderr.strip()}")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def fill(folder):
    """Take all the room of a disk but nothing else."""
    with (folder / "filler").open("wb", buffering=0) as file:
        os.posix_fallocate(file.fileno(), 0, os.statvfs(folder).f_bavail * 4096)
    assert os.statvfs(folder).f_bavail == 0


def remount(folder, how):
    subprocess.run(["mount", "-o", f"remount,{how}", str(folder)], check=True)


def written(journal):
    """Build in the journal's file, read past the leftovers' own road."""
    content = json.loads(journal.path.read_text(encoding="utf-8"))
    return content["build"]["drive"]["blower_pulley_diameter_m"]


# the journal


def test_journal_is_written_within_a_second_and_goes_with_the_save(qtbot, document, tmp_path):
    folder = tmp_path / "not yet" / "journal"
    journal = Journal(document, folder)
    document.edit(PULLEY, 0.06)
    document.edit(PULLEY, 0.061)
    assert not journal.path.exists()  # edits are gathered
    qtbot.waitUntil(journal.path.exists, timeout=1000)
    content = json.loads(journal.path.read_text(encoding="utf-8"))
    assert written(journal) == 0.061
    assert (content["path"], content["day"], content["saved"]) == (None, document.day.name, False)
    document.show_day("hot")
    qtbot.waitUntil(lambda: '"day": "hot"' in journal.path.read_text(), timeout=1000)
    document.save(tmp_path / "a.build.json")
    assert list(folder.iterdir()) == []
    document.edit(PULLEY, 0.062)
    qtbot.waitUntil(journal.path.exists, timeout=1000)
    assert json.loads(journal.path.read_text())["path"] == str(tmp_path / "a.build.json")
    document.undo.undo()  # the file holds the build again
    assert list(folder.iterdir()) == []
    document.undo.redo()
    assert journal.write_now()
    journal.close()
    assert list(folder.iterdir()) == []
    document.edit(PULLEY, 0.063)
    qtbot.wait(500)
    assert list(folder.iterdir()) == []  # closed is closed


def test_continuous_edits_do_not_put_the_journal_off(qtbot, document, tmp_path):
    journal = Journal(document, tmp_path)
    for number in range(30):
        document.edit(PULLEY, 0.06 + 1e-4 * number)
        qtbot.wait(25)
    assert written(journal) > 0.06 + 1e-4 * 8  # the latest before 0.3 s and the writing
    journal.close()


def test_journal_on_a_full_disk_is_told_once_and_tried_again(qtbot, document, small_disk):
    journal = Journal(document, small_disk)
    told, mended = [], []
    journal.trouble.connect(told.append)
    journal.mended.connect(lambda: mended.append(True))
    document.edit(PULLEY, 0.06)
    qtbot.waitUntil(journal.path.exists, timeout=1000)
    fill(small_disk)
    document.edit(PULLEY, 0.061)
    qtbot.waitUntil(lambda: bool(told), timeout=1500)
    document.edit(PULLEY, 0.062)
    qtbot.wait(500)  # some tries more
    assert told == [
        f"Unsaved work is not safe from a crash: no space left on device in {small_disk}. "
        "Save the build; the journal is tried again."
    ]
    assert written(journal) == 0.06  # the former journal is whole
    assert not mended
    (small_disk / "filler").unlink()
    qtbot.waitUntil(lambda: bool(mended), timeout=1500)
    assert written(journal) == 0.062
    fill(small_disk)  # a new trouble is told anew
    document.edit(PULLEY, 0.063)
    qtbot.waitUntil(lambda: len(told) == 2, timeout=1500)
    journal.close()
    assert sorted(os.listdir(small_disk)) == ["filler"]


def test_journal_in_a_folder_that_cannot_be_written(qtbot, document, small_disk):
    remount(small_disk, "ro")
    folder = small_disk / "journal"
    journal = Journal(document, folder)
    told = []
    journal.trouble.connect(told.append)
    document.edit(PULLEY, 0.06)
    qtbot.waitUntil(lambda: bool(told), timeout=1500)
    qtbot.wait(300)
    assert told == [
        f"Unsaved work is not safe from a crash: read-only file system in {folder}. "
        "Save the build; the journal is tried again."
    ]
    remount(small_disk, "rw")
    qtbot.waitUntil(lambda: journal.path.exists(), timeout=1500)
    assert written(journal) == 0.06
    remount(small_disk, "ro")
    journal.close()  # it cannot be removed now
    assert told[1:] == [f"An old journal could not be removed: read-only file system in {folder}."]
    remount(small_disk, "rw")


def test_journal_folder_removed_while_edited_is_made_again(qtbot, document, tmp_path):
    journal = Journal(document, tmp_path / "journal")
    document.edit(PULLEY, 0.06)
    assert journal.write_now()
    shutil.rmtree(tmp_path / "journal")
    document.edit(PULLEY, 0.061)
    qtbot.waitUntil(journal.path.exists, timeout=1000)
    assert written(journal) == 0.061
    journal.close()


def test_journal_is_replaced_in_one_step(document, tmp_path):
    """Who reads the former journal while the next is written reads it whole."""
    journal = Journal(document, tmp_path)
    document.edit(PULLEY, 0.06)
    assert journal.write_now()
    with journal.path.open(encoding="utf-8") as former:
        document.edit(PULLEY, 0.061)
        assert journal.write_now()
        content = json.load(former)
    assert content["build"]["drive"]["blower_pulley_diameter_m"] == 0.06
    assert written(journal) == 0.061
    assert os.listdir(tmp_path) == [journal.path.name]
    journal.close()


# the save


def test_save_on_a_full_disk_keeps_build_and_old_file(qtbot, document, small_disk, tmp_path):
    path = small_disk / "a.build.json"
    document.save(path)
    old = path.read_bytes()
    journal = Journal(document, tmp_path / "journal")
    fill(small_disk)
    document.edit(PULLEY, 0.06)
    with pytest.raises(SaveError) as caught:
        document.save()
    assert str(caught.value) == (
        f"{path}: not saved, no space left on device in {small_disk}; the old file is kept"
    )
    assert path.read_bytes() == old
    assert document.build.drive.blower_pulley_diameter == 0.06
    assert not document.is_saved
    assert document.path == path
    qtbot.waitUntil(journal.path.exists, timeout=1000)
    (small_disk / "filler").unlink()
    document.save()
    assert document.is_saved
    assert load_build(path) == document.build
    journal.close()


def test_save_where_nothing_can_be_written(document, small_disk):
    path = small_disk / "a.build.json"
    document.save(path)
    document.edit(PULLEY, 0.06)
    remount(small_disk, "ro")
    with pytest.raises(SaveError) as caught:
        document.save()
    assert str(caught.value) == (
        f"{path}: not saved, read-only file system in {small_disk}; the old file is kept"
    )
    with pytest.raises(SaveError):
        document.save(small_disk / "b.build.json")
    assert document.path == path  # a save that failed does not move the build
    assert not document.is_saved
    assert load_build(path) != document.build
    remount(small_disk, "rw")


def test_save_into_a_removed_folder(document, tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    document.save(folder / "a.build.json")
    document.edit(PULLEY, 0.06)
    shutil.rmtree(folder)
    with pytest.raises(SaveError) as caught:
        document.save()
    assert str(caught.value) == (
        f"{folder / 'a.build.json'}: not saved, there is no folder {folder}; the old file is kept"
    )
    assert document.build.drive.blower_pulley_diameter == 0.06
    assert not document.is_saved
    document.save(tmp_path / "a.build.json")
    assert document.is_saved


def test_the_bar_tells_of_the_journal_and_takes_it_back(qtbot, document, small_disk):
    remount(small_disk, "ro")
    window = QWidget()
    qtbot.addWidget(window)
    bar = RecoveryBar(window)
    safety = Safety(document, bar, lambda: True, lambda: None, small_disk)
    document.edit(PULLEY, 0.06)
    qtbot.waitUntil(lambda: bool(bar.notices), timeout=1500)
    assert bar.text.text() == (
        f"Unsaved work is not safe from a crash: read-only file system in {small_disk}. "
        "Save the build; the journal is tried again."
    )
    remount(small_disk, "rw")
    qtbot.waitUntil(lambda: not bar.notices, timeout=1500)
    assert bar.isHidden()
    safety.close()


def test_own_save_is_not_somebody_else(qtbot, document, tmp_path):
    path = tmp_path / "a.build.json"
    document.save(path)
    watch = FileWatch(document)
    with qtbot.assertNotEmitted(watch.changed_outside), qtbot.assertNotEmitted(watch.removed):
        for number in range(5):
            document.edit(PULLEY, 0.06 + 1e-3 * number)
            document.save()
            assert not watch.is_foreign(path)
            qtbot.wait(60)
        os.utime(path, (1, 1))  # touched only
        qtbot.wait(400)
    assert document.is_saved
    path.write_bytes(path.read_bytes() + b" ")
    with pytest.raises(ChangedOutsideError):
        document.save()
