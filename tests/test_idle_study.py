"""The study in idle time: no window, slices, restarts, nothing stale."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest

from app.gui import idle_study
from app.gui.document import Document, new_gesture
from app.gui.idle_study import SLICE_S, IdleStudy
from app.gui.recompute import Recompute
from engine_model.inputs import NAMED_DAYS, Build, Drive
from engine_model.studies.sensitivity import assumed_that_matter

MILD = NAMED_DAYS["mild"]
UNBLOWN = Build(drive=Drive(kind="none"))


@pytest.fixture
def made(qtbot):
    """Document, recompute, study, and the list of its results."""
    document = Document(UNBLOWN)
    recompute = Recompute(document)
    study = IdleStudy(recompute)
    results = []
    study.ready.connect(results.append)
    yield document, recompute, study, results
    study.cancel()
    document.deleteLater()


def finish(qtbot, study):
    qtbot.waitUntil(lambda: not study.is_running, timeout=5000)


def test_result_is_the_study(qtbot, made):
    document, recompute, study, results = made
    assert study.parent() is recompute
    recompute.compute()
    assert study.is_running
    assert study.result is None
    finish(qtbot, study)
    assert results == [assumed_that_matter(UNBLOWN, document.day)]
    assert study.result == results[0]


def test_blown_build_and_its_surface(qtbot, sample_build, sample_surface):
    build = sample_build("frame-95-small")
    study = IdleStudy()
    with qtbot.waitSignal(study.ready, timeout=5000) as ready:
        study.start(build, MILD, sample_surface("frame-95-small"))
    expected = assumed_that_matter(build, MILD, surface=sample_surface("frame-95-small"))
    assert ready.args == [expected]
    assert study.longest_slice > 0.0


def test_edit_starts_over_and_nothing_stale_is_told(qtbot, made):
    document, recompute, study, results = made
    recompute.compute()
    first = study.generation
    qtbot.waitUntil(lambda: study.longest_slice > 0.0, timeout=5000)
    assert study.is_running
    document.edit("driveline.loss", 0.20)
    qtbot.waitUntil(lambda: study.generation > first, timeout=5000)
    finish(qtbot, study)
    assert results == [assumed_that_matter(document.build, MILD)]
    with qtbot.waitSignal(study.stale, timeout=5000):
        document.edit("driveline.loss", 0.10)
    assert study.result is None
    finish(qtbot, study)
    assert len(results) == 2


def test_other_day_starts_over(qtbot, made):
    document, recompute, study, results = made
    recompute.compute()
    finish(qtbot, study)
    document.show_day("hot")
    qtbot.waitUntil(lambda: len(results) == 2, timeout=5000)
    assert results[1] == assumed_that_matter(UNBLOWN, NAMED_DAYS["hot"])


def test_same_build_does_not_start_over(qtbot, made):
    _, recompute, study, results = made
    recompute.compute()
    recompute.compute()
    generation = study.generation
    finish(qtbot, study)
    recompute.compute()
    assert not study.is_running
    assert study.generation == generation
    assert len(results) == 1


def test_not_while_dragging(qtbot, made):
    document, recompute, study, results = made
    recompute.compute()
    finish(qtbot, study)
    recompute.set_dragging(True)
    gesture = new_gesture()
    for loss in (0.16, 0.17, 0.18):
        document.edit("driveline.loss", loss, gesture)
        qtbot.wait(80)
    assert not study.is_running
    assert len(results) == 1
    recompute.set_dragging(False)
    qtbot.waitUntil(lambda: len(results) == 2, timeout=5000)
    assert results[1] == assumed_that_matter(document.build, MILD)


def test_cancel(qtbot, made):
    _, recompute, study, results = made
    recompute.compute()
    study.cancel()
    qtbot.wait(2 * idle_study.REST_MS)
    assert results == []
    assert study.longest_slice == 0.0
    recompute.compute()
    qtbot.waitUntil(lambda: study.longest_slice > 0.0, timeout=5000)
    study.cancel()
    qtbot.wait(100)
    assert results == []


def test_build_that_cannot_be_matched(qtbot, made):
    document, recompute, study, results = made
    recompute.compute()
    finish(qtbot, study)
    with qtbot.waitSignal(recompute.refused, timeout=5000):
        document.edit("engine.rated_flow", 0.01)
    assert not study.is_running
    assert study.result is None
    study.start(document.build, MILD)
    finish(qtbot, study)
    assert len(results) == 1


@pytest.fixture
def clock(monkeypatch):
    """A study of seven steps of a given length, by a clock of our own; counts the steps taken."""

    def make(length):
        now, taken = [0.0], []

        def steps(*_, **__):
            for number in range(7):
                now[0] += length
                taken.append(number)
                yield None

        monkeypatch.setattr(idle_study, "sensitivity_steps", steps)
        monkeypatch.setattr(idle_study, "perf_counter", lambda: now[0])
        return IdleStudy(), taken

    return make


def turns_of(study, taken):
    """Steps of each turn, and the pause after it."""
    turns, pauses = [], []
    study.start(UNBLOWN, MILD)
    while study.is_running:
        before = len(taken)
        study._turn()
        turns.append(len(taken) - before)
        pauses.append(study._turns.interval())
        assert len(turns) < 20
    return turns, pauses


def test_short_steps_share_a_turn(qtbot, clock):
    # steps of 2.5 ms: two fit a turn of 6 ms, a third would pass it
    study, taken = clock(2.5e-3)
    turns, pauses = turns_of(study, taken)
    assert turns == [2, 2, 2, 1]
    assert set(pauses) == {0}
    assert study.longest_slice <= SLICE_S
    assert study.result == ()


def test_long_steps_leave_the_window_twice_their_time(qtbot, clock):
    study, taken = clock(40e-3)
    turns, pauses = turns_of(study, taken)
    assert turns[:7] == [1] * 7
    assert pauses[:6] == [80] * 6
