"""Undo is exact: any order of edits, drags, undo, redo, save, open and reading again.

The document is compared with a plain list of build records that the test keeps itself.
"""

from __future__ import annotations

import contextlib
import dataclasses
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from app.fields import FIELDS
from app.gui.document import Document, new_gesture
from engine_model.errors import InputError
from engine_model.files.build_file import load_build, save_build

SAMPLE = Path(__file__).parent.parent / "sample_maps" / "road-six.build.json"
START = load_build(SAMPLE)
PULLEY = "drive.blower_pulley_diameter"
NUMBERS = [one.path for one in FIELDS if one.is_number and START.value(one.path) is not None]
CHOICES = [
    ("engine.fuel", START.engine.fuel),
    ("target.day", "hot"),
    ("drive.ribs", 8),
    ("bypass.boost_cap", None),
    ("cooler.kind", "liquid"),
]
FACTORS = st.sampled_from([0.9, 0.97, 1.0, 1.02, 1.1, 40.0])


class Documents(RuleBasedStateMachine):
    """The document beside a list of states; `clean` is the state the file holds, if any."""

    def __init__(self):
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.files = {}
        self.document = Document(START)
        self.states, self.now, self.clean = [START], 0, 0

    def teardown(self):
        try:
            self.go_to_the_bottom()
        finally:
            self.folder.cleanup()

    def go_to_the_bottom(self):
        undo = self.document.undo
        assert undo.index() == self.now
        for _ in range(self.now):
            undo.undo()
        assert self.document.build == self.states[0]
        for _ in range(self.now):
            undo.redo()
        assert self.document.build == self.states[self.now]

    def step(self, build):
        """What one step must do to the list."""
        if build != self.states[self.now]:
            self.forget_what_was_undone()
            self.states.append(build)
            self.now += 1

    def forget_what_was_undone(self):
        """Any change ends what could be done again, and the saved state if it was there."""
        self.states = self.states[: self.now + 1]
        if self.clean is not None and self.clean > self.now:
            self.clean = None

    def try_edit(self, path, value, gesture=None):
        """Edit; a value that is not allowed leaves everything as it was."""
        before = self.document.build
        try:
            wanted = before.with_values({path: value})
        except InputError:
            with pytest.raises(InputError):
                self.document.edit(path, value, gesture)
            assert self.document.build is before
            return
        self.document.edit(path, value, gesture)
        assert self.document.build == wanted

    @rule(path=st.sampled_from(NUMBERS), factor=FACTORS)
    def edit(self, path, factor):
        self.try_edit(path, self.document.build.value(path) * factor)
        self.step(self.document.build)

    @rule(choice=st.sampled_from(CHOICES))
    def choose(self, choice):
        self.try_edit(*choice)
        self.step(self.document.build)

    def drag_through(self, path, factors):
        """Edit with one gesture: one step, or none where it ends at its start."""
        gesture, start = new_gesture(), self.document.build.value(path)
        moved = False
        for factor in factors:
            before = self.document.build
            self.try_edit(path, start * factor, gesture)
            moved = moved or self.document.build != before
        if moved:
            self.forget_what_was_undone()
        self.step(self.document.build)

    @rule(path=st.sampled_from(NUMBERS), factors=st.lists(FACTORS, min_size=2, max_size=6))
    def drag(self, path, factors):
        self.drag_through(path, factors)

    @rule(data=st.data())
    def drag_back_to_the_start(self, data):
        given = sorted(set(NUMBERS) & self.document.build.given)
        was = self.document.build
        self.drag_through(data.draw(st.sampled_from(given)), (1.01, 1.02, 1.0))
        assert self.document.build == was

    @precondition(lambda self: self.now > 0)
    @rule(count=st.integers(1, 4))
    def undo(self, count):
        for _ in range(min(count, self.now)):
            self.document.undo.undo()
            self.now -= 1

    @precondition(lambda self: self.now < len(self.states) - 1)
    @rule()
    def redo(self):
        self.document.undo.redo()
        self.now += 1

    @rule(name=st.sampled_from("ab"))
    def save(self, name):
        path = Path(self.folder.name) / f"{name}.build.json"
        self.document.save(path)
        self.files[name], self.clean = self.document.build, self.now
        assert load_build(path) == self.document.build

    @rule(name=st.sampled_from("ab"))
    def open(self, name):
        if name not in self.files:
            return
        self.document.open(Path(self.folder.name) / f"{name}.build.json")
        assert self.document.build == self.files[name]
        self.states, self.now, self.clean = [self.document.build], 0, 0

    @precondition(lambda self: self.document.path is not None)
    @rule(title=st.sampled_from(["red", "blue"]))
    def read_again(self, title):
        """Somebody else writes the file; the document takes that as one more step."""
        path = self.document.path
        other = dataclasses.replace(START, title=title)
        save_build(other, path)
        self.files[path.name[0]] = other
        self.document.read_again()
        assert self.document.build == other
        self.step(self.document.build)
        self.clean = self.now

    @rule()
    def bottom_and_back(self):
        self.go_to_the_bottom()

    @invariant()
    def as_the_list_says(self):
        assert self.document.build == self.states[self.now]
        assert self.document.undo.count() == len(self.states) - 1
        assert self.document.is_saved == (self.now == self.clean)
        if self.document.is_saved and self.document.path is not None:
            assert load_build(self.document.path) == self.document.build


def test_any_order_of_edits_is_undone_exactly(qapp):
    run_state_machine_as_test(
        Documents,
        settings=settings(
            max_examples=40,
            stateful_step_count=30,
            deadline=None,
            suppress_health_check=[HealthCheck.too_slow],
        ),
    )


def test_thirty_edits_undone_give_the_very_first_build(qapp):
    document = Document(START)
    seen = []
    document.changed.connect(seen.append)
    edits = 0
    while edits < 30:
        path = NUMBERS[(7 * edits + len(seen)) % len(NUMBERS)]
        value = document.build.value(path) * (1.0 + 0.001 * (edits + 1))
        if value == document.build.value(path):
            value = 0.001
        with contextlib.suppress(InputError):
            document.edit(path, value)
        edits = document.undo.count()
    assert document.build != START
    assert not document.is_saved
    while document.undo.canUndo():
        document.undo.undo()
    assert document.build == START
    assert document.is_saved
    assert len(seen) == 60
    assert seen[30:] == seen[29::-1]  # each undo says the paths of its edit


def test_a_drag_is_one_step_with_all_its_paths(qapp):
    document, gesture = Document(START), new_gesture()
    for number in range(20):
        document.edit_many({PULLEY: 0.06 + 0.001 * number}, "Drag", gesture)
    document.edit(PULLEY, 0.05, new_gesture())
    assert document.undo.count() == 2
    assert document.undo.undoText() == "Change blower pulley"
    document.undo.undo()
    assert document.build.drive.blower_pulley_diameter == 0.06 + 0.001 * 19
    document.undo.undo()
    assert document.build == START


def test_a_drag_goes_on_after_a_save_as_a_step_of_its_own(qapp, tmp_path):
    document, gesture = Document(START), new_gesture()
    document.edit(PULLEY, 0.06, gesture)
    document.save(tmp_path / "a.build.json")
    document.edit(PULLEY, 0.07, gesture)
    assert not document.is_saved
    document.undo.undo()
    assert document.is_saved
    assert load_build(document.path) == document.build


def test_an_opened_file_is_saved_whatever_the_history_was(qapp, tmp_path):
    document, gesture = Document(START), new_gesture()
    document.edit(PULLEY, 0.06)
    document.save(tmp_path / "a.build.json")
    document.undo.undo()
    for value in (0.07, START.drive.blower_pulley_diameter):  # a drag back to its start
        document.edit(PULLEY, value, gesture)
    assert document.undo.count() == 0
    assert not document.is_saved  # the file holds the first edit, which is gone
    document.open(document.path)
    assert document.is_saved
