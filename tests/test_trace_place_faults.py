"""The Trace place among hostile files, failing disks and pictures of other maps."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess

import numpy as np
import pytest
from picture_files import RED_SQUARE, file_of, locked_pdf, pale, pdf, pdf_with_huge_picture, png
from PIL import Image
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QGuiApplication, QImage
from PySide6.QtWidgets import QFileDialog, QMessageBox
from trace_panel_hands import press, write
from trace_place_hands import CONTROL, CORNERS, PRINT, Bench, Key, seen, truth

BUTTON = QMessageBox.StandardButton


@pytest.fixture(scope="module")
def module_bench(qapp, tmp_path_factory):
    bench = Bench(tmp_path_factory.mktemp("bench")).calibrated()
    yield bench
    bench.close()


@pytest.fixture
def bench(module_bench):
    yield module_bench.fresh()
    module_bench.stack.setClean()


@pytest.fixture
def questions(monkeypatch):
    """Questions asked; the answer is the last item of the list, taken away."""
    asked, answers = [], []

    def question(_, title, words, *buttons):
        asked.append(words)
        return answers.pop()

    monkeypatch.setattr(QMessageBox, "question", question)
    return asked, answers


@pytest.fixture
def save_as(monkeypatch):
    """The next name that a dialog gives for saving."""
    names = []

    def name(*given):
        return (str(names.pop(0)) if names else ""), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", name)
    return names


# hostile files


def moving():
    frames = [pale("RGB", (k, 0, 0)) for k in (10, 90, 200)]
    return file_of(frames[0], "GIF", save_all=True, append_images=frames[1:])


def noise_png():
    noise = np.random.default_rng(1).integers(0, 255, (200, 300, 3), np.uint8)
    return file_of(Image.fromarray(noise), "PNG")


HOSTILE = {
    "cut.png": (lambda: noise_png()[:9000], "cut.png: the PNG file is damaged, cut short"),
    "huge.png": (lambda: png(30000, 30000), "huge.png: the picture has 900 megapixels; allowed"),
    "words.png": (lambda: b"a map, in words", "words.png: this is text, not a picture; allowed"),
    "none.pdf": (lambda: pdf([]), "none.pdf: the PDF has no pages; allowed: at least one"),
    "huge.pdf": (pdf_with_huge_picture, "huge.pdf: the page"),
    "moving.gif": (moving, "moving.gif: GIF pictures are not read: save as PNG"),
    "empty.png": (lambda: b"", "empty.png: the file is empty; allowed"),
}


def memory():
    """Most memory this program has held so far [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_told_in_one_sentence_and_changes_nothing(
    bench, questions, tmp_path, name
):
    make, words = HOSTILE[name]
    path = tmp_path / name
    path.write_bytes(make())
    bench.lines(45000)
    bench.stack.setClean()
    trace, held = bench.trace, memory()
    bench.open(path, bench.picture)
    assert bench.words.startswith(words.partition(":")[0] + ": ")
    assert words.partition(": ")[2][:20] in bench.words
    assert "\n" not in bench.words
    assert bench.words.count(". ") == 0
    assert memory() - held < 400.0
    assert bench.trace == trace
    assert bench.document.picture.source == "small-print.png"
    assert bench.document.prepared is not None
    bench.lines(52000)  # the window lives
    assert len(bench.trace.curves) == 2
    assert bench.words == ""
    assert questions[0] == []


def test_what_is_said_of_a_document_is_not_of_the_one_before(bench, tmp_path):
    told = []
    for name, data in (("locked.pdf", locked_pdf()), ("none.pdf", pdf([]))):
        (tmp_path / name).write_bytes(data)
        bench.open(tmp_path / name, bench.picture)
        told.append(bench.words)
    assert told == [
        "locked.pdf: the PDF is locked by a password: save it without one",
        "none.pdf: the PDF has no pages; allowed: at least one",
    ]


def test_a_folder_and_a_file_that_cannot_be_read(bench, tmp_path):
    (tmp_path / "folder.png").mkdir()
    bench.open(tmp_path / "folder.png", bench.picture)
    assert bench.words == "folder.png: this is a folder; allowed: a file with a picture"
    bench.open(tmp_path / "gone.png", bench.picture)
    assert bench.words.startswith("gone.png: ")
    if os.geteuid():
        locked = tmp_path / "locked.png"
        locked.write_bytes(noise_png())
        locked.chmod(0)
    else:  # root may read everything: a file of the system that gives nothing
        locked = tmp_path / "locked.png"
        locked.symlink_to("/proc/self/mem")
    bench.open(locked, bench.picture)
    assert bench.words.startswith("locked.png: ")
    assert bench.document.picture.source == "small-print.png"


def test_a_hostile_trace_is_told_and_the_present_one_stays(bench, tmp_path):
    bench.lines(45000)
    bench.stack.setClean()
    trace = bench.trace
    for name, text in (("a.map.json", "{"), ("b.trace.json", '{"format": "pulleywright-trace"}')):
        (tmp_path / name).write_text(text)
        bench.place.files.take_path(tmp_path / name)
        assert bench.words.startswith(f"{name} was not opened.")
        assert bench.trace == trace


# failing disks


def test_a_folder_that_cannot_be_written(bench, save_as, tmp_path):
    bench.lines(45000)
    save_as.append(tmp_path / "nowhere" / "a.trace.json")
    bench.key(Key.Key_S, CONTROL)
    assert bench.words.startswith("a.trace.json was not saved: ")
    assert bench.words.endswith("It is still here.")
    assert not bench.document.is_saved
    assert bench.document.path is None
    save_as.append(tmp_path / "a.trace.json")
    bench.key(Key.Key_S, CONTROL)
    assert bench.document.is_saved


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


def test_a_full_disk_keeps_the_former_file_and_the_trace(bench, save_as, small_disk, tmp_path):
    bench.lines(45000)
    path = small_disk / "a.trace.json"
    save_as.append(path)
    bench.key(Key.Key_S, CONTROL)
    former = path.read_bytes()
    press(bench.place.picture.embed)  # too large for the disk
    bench.lines(52000)
    bench.key(Key.Key_S, CONTROL)
    assert bench.words.startswith("a.trace.json was not saved: ")
    assert "no space left on device" in bench.words.lower()
    assert path.read_bytes() == former
    assert os.listdir(small_disk) == ["a.trace.json"]
    assert not bench.document.is_saved
    assert len(bench.trace.curves) == 2


# pictures that do not belong


def put_on_clipboard(image):
    clipboard = QGuiApplication.clipboard()
    clipboard.clear()
    if image is not None:
        clipboard.setImage(image)


def test_a_paste_without_a_picture_and_with_one(bench, questions):
    asked, answers = questions
    put_on_clipboard(None)
    bench.key(Key.Key_V, CONTROL)
    assert bench.words == "There is no picture in the clipboard."
    bench.lines(45000)
    trace = bench.trace
    image = QImage(120, 90, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    put_on_clipboard(image)
    answers.append(BUTTON.Cancel)
    bench.key(Key.Key_V, CONTROL)
    bench.rest()
    assert asked == ["The trace has changes that are not saved."]
    assert bench.trace == trace
    put_on_clipboard(QImage(8, 8, QImage.Format.Format_RGB32))
    answers.append(BUTTON.Discard)
    bench.key(Key.Key_V, CONTROL)
    bench.rest()
    assert "8 by 8 px" in bench.words
    assert bench.trace == trace  # a picture that cannot be taken takes nothing away


def test_another_picture_begins_another_trace_after_a_question(qapp, questions, tmp_path):
    asked, answers = questions
    bench = Bench(tmp_path).calibrated()
    bench.lines(45000)
    bench.click(bench.spot(CORNERS[0]))  # one in the making too
    trace = bench.trace
    other = tmp_path / "other.png"
    seen((800, 600), 1.2).image.save(other)
    answers.append(BUTTON.Cancel)
    bench.open(other, bench.picture)
    assert asked == ["The trace has changes that are not saved."]
    assert bench.trace == trace
    assert not bench.desk.stroke.is_empty
    answers.append(BUTTON.Discard)
    data, at = QMimeData(), QPointF(300.0, 300.0)
    data.setUrls([QUrl.fromLocalFile(str(other))])
    held = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    drop = QDropEvent(at, Qt.DropAction.CopyAction, data, *held)
    bench.place.dropEvent(drop)  # dropped on the place
    bench.rest()
    assert bench.trace.curves == ()
    assert bench.trace.axes.values == ()
    assert bench.trace.picture.name == "other.png"
    assert bench.desk.stroke.is_empty
    assert bench.desk.points.points == [bench.desk.points.at(99)] * 4  # all of them blank
    assert bench.shown() == []
    assert bench.document.path is None
    bench.close()


def test_pages_of_a_document_are_turned_until_something_is_traced(qapp, questions, tmp_path):
    asked, answers = questions
    path = tmp_path / "leaflet.pdf"
    path.write_bytes(pdf([(300, 200, b"", RED_SQUARE), (200, 300, b"", RED_SQUARE)]))
    bench = Bench(tmp_path)
    bench.open(path)
    page = bench.place.picture.page
    assert page.isVisible()
    first = bench.document.picture
    write(page.lineEdit(), "2")
    bench.rest()
    assert bench.trace.picture.page == 1
    assert bench.document.picture.size[1] > bench.document.picture.size[0]
    bench.key(Key.Key_Z, CONTROL)
    assert bench.document.picture is first  # and not the page last seen
    assert page.value() == 1
    for number, at in enumerate((QPointF(90, 90), QPointF(150, 120))):
        press(bench.place.tools["pen"])
        bench.click(bench.spot_of((at.x(), at.y())))
        assert len(bench.desk.stroke.nodes) == number + 1
    bench.key(Key.Key_Return)
    trace = bench.trace
    answers.append(BUTTON.Cancel)
    write(page.lineEdit(), "2")
    bench.rest()
    assert asked == ["The trace has changes that are not saved."]
    assert (bench.trace, page.value()) == (trace, 1)
    answers.append(BUTTON.Discard)
    write(page.lineEdit(), "2")
    bench.rest()
    assert bench.trace.picture.page == 1
    assert bench.trace.curves == ()
    bench.close()


# leaving in the middle


def test_closing_while_the_picture_is_straightened(qapp, tmp_path):
    bench = Bench(tmp_path)
    bench.open(PRINT, seen())
    for corner in CORNERS:
        bench.click(bench.spot(corner))
    bench.say_axes()
    bench.type_corners()
    bench.until(lambda: bench.place.busy.words == "Straightening the picture")
    bench.close()
    bench.wait(0.3)  # what was still to be told is not
    assert bench.document.prepared is None
    assert not bench.place.journal.path.exists()


def test_points_on_one_line_are_told_and_mended(bench):
    row = bench.place.axes.points.rows[2]
    write(row.flow, "0")
    write(row.ratio, "1.0")
    bench.rest()
    assert bench.document.prepared is None
    assert any("known points" in words for words in bench.place.needs.needed.sentences)
    bench.key(Key.Key_P)
    bench.draw("speed_line", truth("speed", 45000.0), 3)  # by hand, without ink
    assert len(bench.trace.curves) == 1
    while bench.stack.index() > bench.ready:
        bench.stack.undo()
    bench.rest()
    assert bench.document.prepared is not None
