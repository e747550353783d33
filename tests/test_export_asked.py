"""Exports asked for by dialogs, keys and menus; disks that fail."""

from __future__ import annotations

import os
import shutil
import subprocess

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QGuiApplication, QImage
from PySide6.QtWidgets import QApplication, QFileDialog, QMenu, QMessageBox

from app.gui.export_dialog import ExportChoice, ExportDialog
from app.gui.places.line.chart_export import ALL_STRIPS, MAP
from tests.export_bench import svg_texts, told, window

__all__ = ["told", "window"]


@pytest.fixture
def asked(monkeypatch):
    """Dialogs that are answered at once; the list of what they offered."""
    shown = []

    class Answers:
        name = ""
        kind = "png"
        scale = 2.0

    def run(dialog):
        boxes = (dialog.chart, dialog.kind, dialog.scale)
        shown.append([dialog.chart.itemData(k) for k in range(dialog.chart.count())])
        shown.append(dialog.choice.chart)
        for box, value in zip(boxes[1:], (Answers.kind, Answers.scale), strict=True):
            box.setCurrentIndex(box.findData(value))
        assert dialog.scale.isEnabled() == (Answers.kind == "png")
        assert dialog.foot.text()
        return ExportDialog.DialogCode.Accepted

    def save(parent, title, suggestion, kinds):
        shown.append(suggestion)
        return Answers.name, kinds

    monkeypatch.setattr(ExportDialog, "exec", run)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", save)
    Answers.shown = shown
    return Answers


def said(window):
    """What stands beside the work."""
    return window.line.words.text()


def test_the_keys_export_the_chart_with_the_focus(window, qtbot, asked, tmp_path, told):
    asked.name, asked.scale = str(tmp_path / "mine"), 1.0
    qtbot.keyClick(window, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert asked.shown[1] == MAP
    assert asked.shown[0] == [MAP, ALL_STRIPS, *window.line.strips.keys]
    assert asked.shown[2].endswith("-compressor-map.png")
    assert asked.shown[2].startswith(window.document.build.title.split()[0])
    image = QImage(str(tmp_path / "mine.png"))
    assert image.width() == window.line.map.viewport().width()
    assert said(window) == f"Written: mine.png in {tmp_path}"
    assert told == []
    window.activateWindow()
    window.line.strips.setFocus()
    asked.kind, asked.name = "csv", str(tmp_path / "strips.csv")
    qtbot.keyClick(window.line.strips, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert asked.shown[4] == ALL_STRIPS
    assert (tmp_path / "strips.csv").read_text(encoding="utf-8").startswith("engine speed [rpm]")


def test_a_name_without_its_ending_does_not_replace_a_file_unasked(
    window, asked, tmp_path, monkeypatch
):
    asked.name, asked.kind = str(tmp_path / "mine.v2"), "svg"
    (tmp_path / "mine.v2.svg").write_text("old")
    questions = []

    def answer(*arguments):
        questions.append(arguments[2])
        return QMessageBox.StandardButton.No

    monkeypatch.setattr(QMessageBox, "question", answer)
    window.work.export_chart()
    assert questions == ["mine.v2.svg is there already. Replace it?"]
    assert (tmp_path / "mine.v2.svg").read_text() == "old"
    monkeypatch.setattr(QMessageBox, "question", lambda *a: QMessageBox.StandardButton.Yes)
    window.work.export_chart()
    assert svg_texts(tmp_path / "mine.v2.svg")[0]


def test_nothing_is_written_where_the_dialogs_are_left(window, monkeypatch, tmp_path):
    monkeypatch.setattr(ExportDialog, "exec", lambda dialog: ExportDialog.DialogCode.Rejected)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: pytest.fail("asked"))
    window.work.export_chart()
    monkeypatch.setattr(ExportDialog, "exec", lambda dialog: ExportDialog.DialogCode.Accepted)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: ("", ""))
    window.work.export_chart()
    assert said(window) == ""


# what fails


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


KINDS = ("png", "svg", "csv")


def test_a_full_disk_keeps_the_old_file_and_tells_once(window, small_disk, told):
    paths = [small_disk / f"a.{kind}" for kind in KINDS]
    for path in paths:
        path.write_bytes(b"old")
    with (small_disk / "filler").open("wb", buffering=0) as file:
        os.posix_fallocate(file.fileno(), 0, os.statvfs(small_disk).f_bavail * 4096)
    for kind, path in zip(KINDS, paths, strict=True):
        window.work.exporting.write(ExportChoice(MAP, kind), path)
        assert told == [
            f"{path}: not saved, no space left on device in {small_disk}; the old file is kept."
        ]
        told.clear()
        assert path.read_bytes() == b"old"
    assert sorted(os.listdir(small_disk)) == ["a.csv", "a.png", "a.svg", "filler"]
    assert said(window) == ""


def test_a_folder_that_cannot_be_written(window, small_disk, told):
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    for kind in KINDS:
        window.work.exporting.write(ExportChoice(MAP, kind), small_disk / f"a.{kind}")
        window.work.exporting.write(ExportChoice(MAP, kind), small_disk / "gone" / f"a.{kind}")
        assert len(told) == 2
        assert "read-only file system" in told[0]
        assert f"there is no folder {small_disk / 'gone'}" in told[1]
        told.clear()
    assert os.listdir(small_disk) == []


# the charts' own menus


@pytest.fixture
def opened(monkeypatch):
    """Menus that were opened, with their words; they stay off the screen."""
    menus = []

    def popup(menu, place):
        menus.append((menu, [action.text() for action in menu.actions() if action.text()]))

    monkeypatch.setattr(QMenu, "popup", popup)
    return menus


def test_a_right_click_opens_the_menu_and_a_right_drag_does_not(window, qtbot, opened):
    chart = window.line.map
    view, middle = chart.viewport(), chart.viewport().rect().center()
    right = Qt.MouseButton.RightButton
    qtbot.mousePress(view, right, pos=middle)
    qtbot.mouseMove(view, middle + QPoint(40, 30))
    qtbot.mouseRelease(view, right, pos=middle + QPoint(40, 30))
    assert opened == []
    qtbot.mouseClick(view, right, pos=middle)
    ((menu, words),) = opened
    assert words == [
        "Export the map…",
        "Copy the map as a picture",
        "Copy the numbers of the map",
        window.actions_by_name["fit_map"].text(),
    ]
    menu.actions()[2].trigger()
    lines = QGuiApplication.clipboard().text().split("\n")
    assert lines[0].startswith("curve\tvalue\tCorrected air flow [kg/s]")
    assert any(line.startswith("operating line, engine speed [rpm]\t") for line in lines)


def test_the_menu_of_a_strip_is_the_strips_own(window, qtbot, asked, opened, tmp_path):
    strips = window.line.strips
    place = QPointF(strips.width() / 4, strips.height() / 4)
    assert strips.key_at(place) == strips.keys[0] == "boost"
    qtbot.mouseClick(strips.viewport(), Qt.MouseButton.RightButton, pos=place.toPoint())
    ((menu, words),) = opened
    assert words[:3] == [
        "Export “Boost, gauge”…",
        "Copy “Boost, gauge” as a picture",
        "Copy the numbers of “Boost, gauge”",
    ]
    assert "Export all strips…" in words
    menu.actions()[1].trigger()
    assert QGuiApplication.clipboard().image().width() == 2 * 840
    asked.name = str(tmp_path / "boost")
    menu.actions()[0].trigger()
    assert asked.shown[1] == "boost"
    assert QImage(str(tmp_path / "boost.png")).width() == 2 * 840


def test_the_menu_key_opens_the_menu(window, opened):
    for name, first in {"map": "Export the map…", "strips": "Export all strips…"}.items():
        chart = getattr(window.line, name)
        assert chart.focusPolicy() & Qt.FocusPolicy.TabFocus
        event = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(5, 5), QPoint(5, 5))
        QApplication.sendEvent(chart, event)
        assert opened[-1][1][0] == first
    # the mouse's own menu event comes at the press: the menu waits for the release
    event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, QPoint(5, 5), QPoint(5, 5))
    QApplication.sendEvent(window.line.map.viewport(), event)
    assert len(opened) == 2
