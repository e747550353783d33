"""The bar that tells: what it says, its keys, its queue, and builds taken up again."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from app.gui.document import Document
from app.gui.journal import Journal
from app.gui.recovery_bar import Notice, RecoveryBar, age_words
from app.gui.safety import LEFT_WORDS, Safety
from engine_model.files.build_file import load_build

SAMPLE = Path(__file__).parent.parent / "sample_maps" / "road-six.build.json"
PULLEY = "drive.blower_pulley_diameter"
BUILD = load_build(SAMPLE)
GONE = 2**22 + 5
"""A process id above every one that Linux gives."""


class Bench(QWidget):
    """A window with a bar over one field."""

    def __init__(self):
        super().__init__()
        layout = QVBoxLayout(self)
        layout.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        self.before, self.bar, self.after = QLineEdit(), RecoveryBar(), QLineEdit()
        for one in (self.before, self.bar, self.after):
            layout.addWidget(one)


@pytest.fixture
def bench(qtbot):
    made = Bench()
    qtbot.addWidget(made)
    return made


@pytest.fixture
def shown(qtbot, bench):
    bench.show()
    QTest.qWaitForWindowActive(bench)
    bench.before.setFocus()
    return bench


def notice(about, done=None, answer=True, words=("Yes", "No")):
    """A notice whose buttons note down what was pressed."""
    done = [] if done is None else done

    def act(word):
        return lambda: (done.append((about, word)), answer)[1]

    return Notice(about, f"About {about}.", tuple((word, act(word)) for word in words))


def words(bar):
    return [one.text() for one in bar.buttons]


def press(bar, text):
    (button,) = [one for one in bar.buttons if one.text() == text]
    button.click()


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (-5, "just now"),
        (0, "just now"),
        (29, "just now"),
        (31, "1 minute ago"),
        (180, "3 minutes ago"),
        (59.4 * 60, "59 minutes ago"),
        (59.6 * 60, "1 hour ago"),
        (47 * 3600, "47 hours ago"),
        (48 * 3600, "2 days ago"),
        (30 * 86400, "30 days ago"),
    ],
)
def test_age_in_words(seconds, said):
    assert age_words(seconds) == said


def test_notices_wait_for_each_other(bench):
    bar, done = bench.bar, []
    assert bar.isHidden()
    for about in "abc":
        bar.tell(notice(about, done))
    assert (bar.text.text(), bar.count.text()) == ("About a.", "1 of 3")
    press(bar, "No")
    assert (bar.text.text(), bar.count.text()) == ("About b.", "1 of 2")
    bar.withdraw("c")
    assert bar.count.isHidden()
    bar.tell(notice("b", done, words=("Other",)))  # the same matter takes its own place
    assert words(bar) == ["Other"]
    press(bar, "Other")
    assert bar.isHidden()
    assert done == [("a", "No"), ("b", "Other")]
    bar.withdraw("never told")


def test_a_choice_that_settles_nothing_keeps_the_notice(bench):
    done = []
    bench.bar.tell(notice("a", done, answer=False))
    press(bench.bar, "Yes")
    assert bench.bar.text.text() == "About a."
    assert done == [("a", "Yes")]
    assert not bench.bar.isHidden()


def test_the_bar_takes_no_keyboard_by_itself(shown):
    shown.bar.tell(notice("a"))
    assert shown.before.hasFocus()


def test_reached_and_chosen_by_keys(qtbot, shown):
    bar, done = shown.bar, []
    bar.tell(notice("a", done))
    bar.tell(notice("b", done))
    bar.tell(notice("c", done))
    qtbot.keyClick(shown.before, Qt.Key.Key_F6)
    assert bar.buttons[0].hasFocus()
    qtbot.keyClick(bar.buttons[0], Qt.Key.Key_Tab)
    assert bar.buttons[1].hasFocus()
    qtbot.keyClick(bar.buttons[1], Qt.Key.Key_Space)
    assert done == [("a", "No")]
    assert bar.buttons[0].hasFocus()  # the keyboard stays for the next one
    qtbot.keyClick(bar.buttons[0], Qt.Key.Key_Return)
    assert done == [("a", "No"), ("b", "Yes")]
    qtbot.keyClick(bar.buttons[0], Qt.Key.Key_Escape)  # put off: nothing done
    assert done == [("a", "No"), ("b", "Yes")]
    assert bar.isHidden()


def test_tab_walks_in_reading_order(qtbot, shown):
    shown.bar.tell(notice("a"))
    walked = []
    for _ in range(4):
        qtbot.keyClick(shown.focusWidget(), Qt.Key.Key_Tab)
        walked.append(shown.focusWidget())
    assert walked == [*shown.bar.buttons, shown.after, shown.before]


def test_buttons_say_what_they_are_about(bench):
    bench.bar.tell(notice("a"))
    assert [one.accessibleDescription() for one in bench.bar.buttons] == ["About a."] * 2
    assert bench.bar.accessibleName() == "Notice"


def test_long_words_wrap_and_markup_is_plain(shown):
    text = "<b>A very long title</b> " * 40
    shown.resize(700, 300)
    shown.bar.tell(Notice("a", text, (("All right", lambda: True),)))
    QTest.qWait(50)
    assert shown.bar.text.textFormat() == Qt.TextFormat.PlainText
    assert shown.width() == 700
    assert shown.bar.text.height() >= shown.bar.text.heightForWidth(shown.bar.text.width()) > 40


# builds taken up again


def leave_behind(folder, path=None, edits=(0.06,), number=0):
    """Journal of a program that was killed."""
    document = Document(BUILD)
    if path is not None:
        document.save(path)
    journal = Journal(document, folder)
    for value in edits:
        document.edit(PULLEY, value)
    document.show_day("hot")
    assert journal.write_now()
    dead = journal.path.rename(folder / f"{GONE + number}-1t1.journal.json")
    return document.build, dead


class Person:
    """Who is asked whether the open build may be left."""

    def __init__(self):
        self.answer, self.asked, self.opened = True, 0, 0

    def may_leave(self):
        self.asked += 1
        return self.answer

    def note_opened(self):
        self.opened += 1


@pytest.fixture
def start(bench, tmp_path):
    """A program that starts: (document, safety, person), the leftovers offered."""
    made = []

    def go():
        document, person = Document(BUILD), Person()
        safety = Safety(document, bench.bar, person.may_leave, person.note_opened, tmp_path / "j")
        safety.offer_leftovers()
        made.append(safety)
        return document, safety, person

    yield go
    for one in made:
        one.close()


def test_nothing_left_behind_nothing_said(bench, start):
    start()
    assert bench.bar.isHidden()


def test_take_it_up(bench, start, tmp_path):
    build, dead = leave_behind(tmp_path / "j")
    document, safety, person = start()
    assert bench.bar.text.text() == (
        f"A build was open when the program stopped: Road six, just now. {LEFT_WORDS}"
    )
    assert words(bench.bar) == ["Take it up", "Leave it", "Discard"]
    take, leave, discard = (button.toolTip() for button in bench.bar.buttons)
    assert "next start" in leave
    assert "for good" in discard
    assert take not in ("", leave, discard)
    person.answer = False  # the open build is not given up
    press(bench.bar, "Take it up")
    assert document.build == BUILD
    assert dead.exists()
    person.answer = True
    press(bench.bar, "Take it up")
    assert document.build == build
    assert document.day.name == "hot"
    assert not document.is_saved
    assert person.opened == 1
    assert bench.bar.isHidden()
    assert os.listdir(tmp_path / "j") == [safety.journal.path.name]  # kept anew before it went


def test_leave_it_and_discard(bench, start, tmp_path):
    _, dead = leave_behind(tmp_path / "j")
    document, _, _ = start()
    press(bench.bar, "Leave it")
    assert dead.exists()
    assert bench.bar.isHidden()
    start()
    press(bench.bar, "Discard")
    assert not dead.exists()
    assert document.build == BUILD


def test_several_are_offered_the_latest_first(bench, start, tmp_path):
    for number in range(3):
        leave_behind(tmp_path / "j", edits=(0.06 + 0.001 * number,), number=number)
        time.sleep(0.01)
    document, _, _ = start()
    assert bench.bar.count.text() == "1 of 3"
    press(bench.bar, "Take it up")
    assert document.build.drive.blower_pulley_diameter == 0.062
    assert bench.bar.count.text() == "1 of 2"


def test_its_file_is_named_and_later_writing_of_it_is_told(qtbot, bench, start, tmp_path):
    path = tmp_path / "a.build.json"
    build, _ = leave_behind(tmp_path / "j", path)
    start()
    assert bench.bar.text.text() == (
        "A build was open when the program stopped: Road six, just now, "
        f"unsaved changes of a.build.json. {LEFT_WORDS}"
    )
    press(bench.bar, "Leave it")
    path.write_bytes(path.read_bytes() + b"\n")
    document, _, _ = start()
    assert bench.bar.text.text() == (
        "A build was open when the program stopped: Road six, just now, "
        f"unsaved changes of a.build.json (which was written since). {LEFT_WORDS}"
    )
    press(bench.bar, "Take it up")
    assert document.build == build
    qtbot.waitUntil(lambda: bool(bench.bar.notices), timeout=2000)
    assert bench.bar.text.text() == "a.build.json was changed on disk by another program."


def test_killed_just_after_a_save_there_is_nothing_to_ask(bench, start, tmp_path):
    build, dead = leave_behind(tmp_path / "j", tmp_path / "a.build.json")
    Document(build).save(tmp_path / "a.build.json")
    start()
    assert bench.bar.isHidden()
    assert not dead.exists()


def test_taken_up_elsewhere_in_the_meantime(bench, start, tmp_path):
    _, dead = leave_behind(tmp_path / "j")
    document, _, _ = start()
    dead.unlink()
    press(bench.bar, "Take it up")
    assert bench.bar.text.text() == "That build was taken up or discarded elsewhere."
    assert words(bench.bar) == ["All right"]
    assert document.build == BUILD


def test_broken_ones_are_told_beside_good_ones(bench, start, tmp_path):
    build, _ = leave_behind(tmp_path / "j")
    torn = tmp_path / "j" / f"{GONE + 1}-1t1.journal.json"
    torn.write_bytes(b'{"format": "pulleyw')
    document, _, _ = start()
    assert bench.bar.text.text().startswith("An unsaved build could not be read (")
    press(bench.bar, "All right")
    press(bench.bar, "Take it up")
    assert document.build == build
    assert torn.with_name(torn.name + ".broken").exists()


def test_one_whose_build_is_wrong_is_told_and_kept(bench, start, tmp_path):
    _, dead = leave_behind(tmp_path / "j")
    dead.write_bytes(
        dead.read_bytes().replace(b'pulley_diameter_m": 0.06', b'pulley_diameter_m": -6')
    )
    document, _, person = start()
    press(bench.bar, "Take it up")
    told = bench.bar.text.text()
    assert told.startswith(
        "An unsaved build could not be read (drive.blower_pulley_diameter_m: -6 "
    )
    assert told.endswith(f"; its journal is kept as {dead}.broken.")
    assert document.build == BUILD
    assert person.opened == 0
    press(bench.bar, "All right")
    assert bench.bar.isHidden()


def test_a_refused_save_is_told_with_the_keyboard_on_it(qtbot, shown, start, tmp_path):
    document, safety, _ = start()
    path = tmp_path / "a.build.json"
    document.save(path)
    safety.tell_not_saved(path)
    assert shown.bar.text.text() == "a.build.json was changed on disk by another program."
    assert shown.bar.buttons[0].hasFocus()
