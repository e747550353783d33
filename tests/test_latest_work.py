"""Work in a thread: only the last asked for counts, and whatever fails is told."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import threading

import pytest

from app.gui.latest_work import LatestWork
from engine_model.errors import InputError


class Kept(LatestWork):
    def __init__(self):
        super().__init__("kept")
        self.found = []

    def take(self, kind, request, found):
        self.found.append((kind, request, found))


@pytest.fixture
def work(qapp):
    one = Kept()
    yield one
    one.end()


def test_results_of_former_work_are_dropped(qtbot, work):
    gate = threading.Event()
    told = []

    def first(tell):
        gate.wait(10.0)
        told.append("asked")
        tell("row", 1)
        told.append("never")

    work.begin("a", first)
    work.begin("b", lambda tell: tell("row", 2))
    assert work.is_busy
    gate.set()
    qtbot.waitUntil(lambda: not work.is_busy, timeout=10_000)
    assert work.found == [("row", "b", 2)]
    assert told == ["asked"]


def test_cancelled_it_is_idle_at_once(qtbot, work):
    gate = threading.Event()
    work.begin("a", lambda tell: (gate.wait(10.0), tell("row", 1)))
    work.cancel()
    assert not work.is_busy
    gate.set()
    work.begin("b", lambda tell: tell("row", 2))
    qtbot.waitUntil(lambda: not work.is_busy, timeout=10_000)
    assert work.found == [("row", "b", 2)]


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (InputError("days", 0, "one day or more"), "days: 0 given; allowed: one day or more"),
        (ZeroDivisionError("by hand"), "could not be worked out: ZeroDivisionError('by hand')"),
    ],
)
def test_what_fails_is_told(qtbot, work, error, words):
    def fail(tell):
        raise error

    with qtbot.waitSignal(work.refused, timeout=10_000) as told:
        work.begin("a", fail)
    assert words in told.args[0]
    assert not work.is_busy
