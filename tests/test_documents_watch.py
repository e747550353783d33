"""The open file changed, replaced or removed by another program."""

from __future__ import annotations

import dataclasses
import os
import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from app.gui.document import ChangedOutsideError, Document
from app.gui.recovery_bar import RecoveryBar
from app.gui.safety import Safety
from app.gui.watch import FileWatch
from engine_model.files.build_file import load_build, save_build

SAMPLE = Path(__file__).parent.parent / "sample_maps" / "road-six.build.json"
PULLEY = "drive.blower_pulley_diameter"
BUILD = load_build(SAMPLE)
THEIRS = dataclasses.replace(BUILD, title="Theirs")


class Heard:
    """What a watch told, in order."""

    def __init__(self, watch):
        self.rows = []
        watch.changed_outside.connect(lambda path: self.rows.append(("changed", path)))
        watch.removed.connect(lambda path: self.rows.append(("removed", path)))
        watch.back.connect(lambda path: self.rows.append(("back", path)))


@pytest.fixture
def path(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    return folder / "a.build.json"


@pytest.fixture
def document(qapp, path):
    made = Document(BUILD)
    made.save(path)
    return made


@pytest.fixture
def watch(document):
    return FileWatch(document)


@pytest.fixture
def heard(watch):
    return Heard(watch)


@pytest.fixture
def bar(qtbot, document, tmp_path):
    window = QWidget()
    qtbot.addWidget(window)
    made = RecoveryBar(window)
    safety = Safety(document, made, lambda: True, lambda: None, tmp_path / "journal")
    yield made
    safety.close()


def in_place(path):
    """Write over the same file, as a plain editor does."""
    whole = path.with_name("made")
    save_build(THEIRS, whole)
    data = whole.read_bytes()
    whole.unlink()
    with path.open("r+b") as file:
        file.write(data)
        file.truncate()


def by_rename(path):
    """Put another file in its place."""
    save_build(THEIRS, path.with_name("made"))
    os.replace(path.with_name("made"), path)


def by_rename_of_a_file_held_elsewhere(path):
    """The same while the former file lives on under another name, as a backup does."""
    backup = path.with_name("backup")
    backup.unlink(missing_ok=True)
    os.link(path, backup)
    by_rename(path)


WAYS = [in_place, by_rename, by_rename_of_a_file_held_elsewhere]


@pytest.mark.parametrize("change", WAYS)
def test_a_change_is_noticed_and_not_overwritten(qtbot, document, path, watch, heard, change):
    change(path)
    assert watch.is_foreign(path)  # before any event
    qtbot.waitUntil(lambda: heard.rows == [("changed", path)], timeout=2000)
    assert not document.is_saved  # the file does not hold this build any more
    theirs = path.read_bytes()
    document.edit(PULLEY, 0.06)
    with pytest.raises(ChangedOutsideError) as caught:
        document.save()
    assert str(caught.value) == (
        f"{path}: not saved, another program changed it; both are untouched"
    )
    assert path.read_bytes() == theirs
    assert document.build.drive.blower_pulley_diameter == 0.06
    document.save(path.with_name("b.build.json"))  # another name is free
    assert load_build(path).title == "Theirs"
    assert document.is_saved


@pytest.mark.parametrize("first", WAYS)
@pytest.mark.parametrize("second", WAYS)
def test_each_further_change_is_noticed(qtbot, document, path, watch, heard, first, second):
    first(path)
    qtbot.waitUntil(lambda: len(heard.rows) == 1, timeout=2000)
    document.read_again()
    assert document.build == THEIRS
    assert document.is_saved
    assert heard.rows[1:] == [("back", path)]
    save_build(BUILD, path)  # a second change, with a rename
    qtbot.waitUntil(lambda: len(heard.rows) == 3, timeout=2000)
    document.read_again()
    second(path)
    qtbot.waitUntil(lambda: len(heard.rows) == 5, timeout=2000)
    assert [row[0] for row in heard.rows] == ["changed", "back"] * 2 + ["changed"]


def test_through_a_link(qtbot, document, path, tmp_path):
    link = tmp_path / "link.build.json"
    link.symlink_to(path)
    document.open(link)
    watch = FileWatch(document)
    heard = Heard(watch)
    by_rename(path)
    qtbot.waitUntil(lambda: heard.rows == [("changed", link)], timeout=2000)
    assert watch.is_foreign(path)  # by either name
    with pytest.raises(ChangedOutsideError):
        document.save(path)


def test_a_change_in_place_of_a_file_that_took_the_name_over(qtbot, path, watch, heard):
    by_rename_of_a_file_held_elsewhere(path)
    qtbot.waitUntil(lambda: len(heard.rows) == 1, timeout=2000)
    with path.open("ab") as file:
        file.write(b"\n")
    qtbot.waitUntil(lambda: heard.rows == [("changed", path)] * 2, timeout=2000)


def test_the_file_behind_a_link_removed_and_put_back(qtbot, document, path, tmp_path):
    link = tmp_path / "link.build.json"
    link.symlink_to(path)
    document.open(link)
    watch = FileWatch(document)
    heard = Heard(watch)
    data = path.read_bytes()
    path.unlink()
    qtbot.waitUntil(lambda: heard.rows == [("removed", link)], timeout=2000)
    path.write_bytes(data)
    qtbot.waitUntil(lambda: heard.rows[1:] == [("back", link)], timeout=2000)


def test_removed_and_put_back(qtbot, document, path, watch, heard):
    data = path.read_bytes()
    path.unlink()
    qtbot.waitUntil(lambda: heard.rows == [("removed", path)], timeout=2000)
    assert not document.is_saved
    assert not watch.is_foreign(path)
    path.write_bytes(data)
    qtbot.waitUntil(lambda: heard.rows[1:] == [("back", path)], timeout=2000)
    assert document.is_saved


def test_removed_and_written_anew_in_one_go_is_a_change(qtbot, document, path, watch, heard):
    path.unlink()
    save_build(THEIRS, path)
    qtbot.waitUntil(lambda: heard.rows == [("changed", path)], timeout=2000)


def test_folder_removed_and_made_again(qtbot, document, path, watch, heard):
    data = path.read_bytes()
    shutil.rmtree(path.parent)
    qtbot.waitUntil(lambda: heard.rows == [("removed", path)], timeout=2000)
    path.parent.mkdir()
    qtbot.wait(300)
    path.write_bytes(data)
    qtbot.waitUntil(lambda: heard.rows[1:] == [("back", path)], timeout=2000)


def test_only_the_open_file_is_watched(qtbot, document, path, watch, heard):
    document.save(path.with_name("b.build.json"))
    by_rename(path)
    qtbot.wait(400)
    assert heard.rows == []
    assert not watch.is_foreign(path)
    by_rename(path.with_name("b.build.json"))
    qtbot.waitUntil(lambda: heard.rows == [("changed", document.path)], timeout=2000)
    document.take(BUILD, None)
    path.with_name("b.build.json").unlink()
    qtbot.wait(400)
    assert [row[0] for row in heard.rows] == ["changed", "back"]


def test_coming_to_the_front_looks_at_the_file(qtbot, qapp, document, path, watch, heard):
    qtbot.wait(250)  # the first look is over
    watch._watcher.removePaths(watch._watcher.files() + watch._watcher.directories())
    by_rename(path)
    qtbot.wait(400)
    assert heard.rows == []  # nothing tells, as on a network disk
    qapp.applicationStateChanged.emit(Qt.ApplicationState.ApplicationActive)
    assert heard.rows == [("changed", path)]


def test_a_change_before_the_watch_began(qtbot, document, path):
    by_rename(path)
    watch = FileWatch(document)
    heard = Heard(watch)
    qtbot.waitUntil(lambda: heard.rows == [("changed", path)], timeout=2000)


# with the bar


def press(bar, words):
    (button,) = [one for one in bar.buttons if one.text() == words]
    button.click()


@pytest.mark.parametrize("change", WAYS)
def test_read_it_again_can_be_undone(qtbot, document, path, bar, change):
    document.edit(PULLEY, 0.06)
    mine = document.build
    change(path)
    qtbot.waitUntil(lambda: bool(bar.notices), timeout=2000)
    assert bar.text.text() == "a.build.json was changed on disk by another program."
    assert [one.text() for one in bar.buttons] == ["Read it again", "Keep mine"]
    press(bar, "Read it again")
    assert document.build == THEIRS
    assert document.is_saved
    assert bar.isHidden()
    assert document.undo.undoText() == "Read a.build.json again"
    document.undo.undo()
    assert document.build == mine
    assert not document.is_saved


def test_keep_mine_lets_the_next_save_through(qtbot, document, path, bar):
    by_rename(path)
    qtbot.waitUntil(lambda: bool(bar.notices), timeout=2000)
    press(bar, "Keep mine")
    assert bar.isHidden()
    assert not document.is_saved
    qtbot.wait(300)
    assert not bar.notices
    in_place_data = path.read_bytes()
    path.write_bytes(in_place_data + b"\n")  # changed once more, and back again
    qtbot.waitUntil(lambda: bool(bar.notices), timeout=2000)
    path.write_bytes(in_place_data)
    qtbot.waitUntil(lambda: not bar.notices, timeout=2000)
    assert not document.is_saved
    document.save()
    assert load_build(path) == BUILD
    assert document.is_saved


def test_a_file_that_cannot_be_read_again_leaves_the_build(qtbot, document, path, bar):
    document.edit(PULLEY, 0.06)
    mine = document.build
    path.write_bytes(path.read_bytes()[:200])
    qtbot.waitUntil(lambda: bool(bar.notices), timeout=2000)
    press(bar, "Read it again")
    assert document.build is mine
    told = bar.notices[1].text
    assert told.startswith("a.build.json was not read again: ")
    assert told.endswith(". Your build is still here.")
    assert bar.notices[0].text == "a.build.json was changed on disk by another program."


def test_removed_and_saved_again(qtbot, document, path, bar):
    document.edit(PULLEY, 0.06)
    path.unlink()
    qtbot.waitUntil(lambda: bool(bar.notices), timeout=2000)
    assert bar.text.text() == "a.build.json was removed from disk; your build is still here."
    press(bar, "Save again")
    assert load_build(path) == document.build
    assert document.is_saved
    assert bar.isHidden()
    qtbot.wait(300)
    assert not bar.notices


def test_saved_again_where_the_folder_is_gone(qtbot, document, path, bar):
    shutil.rmtree(path.parent)
    qtbot.waitUntil(lambda: bool(bar.notices), timeout=2000)
    press(bar, "Save again")
    assert bar.notices[1].text == (
        f"{path}: not saved, there is no folder {path.parent}; the old file is kept. "
        "Your build is still here."
    )
    assert document.build == BUILD
    assert not document.is_saved
