"""A compressor map traced from the supplied photo in a real window, by mouse and keys alone.

Places to press are read off a twin of the window in this process, which is led through the same
steps. What the program made is read from the file it saved, and held against the map that the
photo shows. Run with ``PW_SHOTS=FOLDER`` to keep a picture of every step.
"""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import subprocess
import sys
import time
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QApplication
from real_screen import ROOT, Screen, needs_screen
from trace_panel_hands import pick, press, write
from trace_pictures import FOLDER, draw
from trace_place_hands import CORNERS, PHOTO, SAMPLE, Bench, Key, along, seen, truth

from engine_model import load_build, load_map
from engine_model.compressor.surface_fit import fit_surface
from engine_model.matching import match

pytestmark = [pytest.mark.long, needs_screen]

SPEEDS = (31000, 38000, 52000, 66000, 79000, 90000)
ISLANDS = (0.56, 0.62, 0.68, 0.73, 0.765)


class Hands:
    """One pair of hands for the program and for its twin."""

    def __init__(self, folder):
        self.screen = Screen(folder, hints_seen=True)
        (folder / "twin").mkdir()
        self.twin = Bench(folder / "twin")
        self.twin.window.rail.show_place("line")
        self.settle()

    def settle(self):
        QApplication.processEvents()
        self.twin.rest()

    def spot(self, widget, at=None):
        """Place on the screen of a widget's middle, or of one of its points."""
        at = QPoint(widget.width() // 2, widget.height() // 2) if at is None else at
        place = widget.mapTo(self.twin.window, at)
        return place.x(), place.y()

    def press(self, widget):
        self.screen.do("mousemove", *self.spot(widget), "click", 1)

    def key(self, *keys):
        self.screen.do("key", "--delay", 40, *keys)

    def type(self, box, text, key=Key.Key_Return):
        """Type into a box of both."""
        self.screen.do("mousemove", *self.spot(box), "click", 1, "key", "ctrl+a")
        self.screen.do("type", "--delay", 25, text)
        self.key("Return" if key == Key.Key_Return else "Tab")
        write(box, text, key)
        self.settle()

    def choose(self, combo, words):
        """Choose from a list of both, which opens under the pointer."""
        self.press(combo)
        time.sleep(0.3)
        self.key("Home", *["Down"] * combo.findText(words), "Return")
        pick(combo, words)
        self.settle()

    def on_picture(self, at):
        """A click on the picture of both."""
        x, y = self.spot(self.twin.canvas, at.toPoint())
        self.screen.do("mousemove", x, y, "sleep", 0.06, "click", 1, "sleep", 0.03)
        self.twin.click(at)

    def curve(self, kind, label, points, count, closed=False):
        """A curve in both, from its kind's button to its last key."""
        done = len(self.twin.trace.curves)
        self.press(self.twin.place.pen.buttons[kind])
        press(self.twin.place.pen.buttons[kind])
        self.settle()
        if label is not None:
            self.type(self.twin.place.pen.box, label)
        spots = [self.twin.spot(values) for values in along(points, count, closed)]
        for at in spots:
            self.on_picture(at)
        if closed:
            self.on_picture(spots[0])
        else:
            self.key("Return")
            self.twin.key(Key.Key_Return)
        self.settle()
        assert len(self.twin.trace.curves) == done + 1
        self.screen.wait(lambda: len(self.draft()["curves"]) == done + 1)

    def draft(self):
        """The trace as the program's journal holds it."""
        held = self.screen.journal(".trace-journal.json")
        return {"curves": []} if held is None else held["draft"]["trace"]

    def name_in_dialog(self, title, path, shot):
        """Type a file's name into the dialog that is open."""
        self.screen.window(title)
        self.screen.do("type", "--delay", 15, str(path))
        self.screen.shot(shot)
        self.key("Return")
        time.sleep(0.5)
        self.screen.window("Pulleywright")


@pytest.fixture
def hands(qapp, tmp_path):
    both = Hands(tmp_path)
    yield both
    both.twin.close()
    both.screen.close()
    assert "Traceback" not in both.screen.told
    assert "Warning" not in both.screen.told


def trace_the_photo(hands):
    """From the empty place to a usable map."""
    screen, twin = hands.screen, hands.twin
    screen.window("Road six")
    time.sleep(1.5)
    hands.key("ctrl+4")
    twin.window.rail.show_place("trace")
    time.sleep(1.5)
    screen.shot("empty")
    hands.press(twin.place.picture.open)
    hands.name_in_dialog("Open a picture", PHOTO, "open-dialog")
    time.sleep(1.0)
    screen.shot("opened")
    twin.open(PHOTO, seen(tilt=1.2))
    for number, corner in enumerate(CORNERS):
        hands.on_picture(twin.spot(corner))
        if number == 1:
            screen.shot("two-corners")
    axes = twin.place.axes
    hands.choose(axes.kind, "corrected mass flow")
    hands.choose(axes.unit, "kg/s")
    hands.type(axes.temperature, "298.15 K", Key.Key_Tab)
    hands.type(axes.pressure, "100 kPa", Key.Key_Tab)
    hands.choose(axes.basis, "total to total")
    screen.shot("axes-said")
    for row, (flow, ratio) in zip(axes.points.rows, CORNERS, strict=False):
        hands.type(row.flow, f"{flow:g}", Key.Key_Tab)
        hands.type(row.ratio, f"{ratio:g}", Key.Key_Tab)
    time.sleep(2.0)
    screen.shot("corners-valued")
    hands.key("p")
    twin.key(Key.Key_P)
    hands.settle()
    screen.shot("pen")
    record = draw.read_record(SAMPLE)
    for number, speed in enumerate(SPEEDS):
        hands.curve("speed_line", str(speed), truth("speed", float(speed)), 4)
        if number in (0, 3):
            screen.shot(f"lines-{number + 1}")
    hands.curve("surge_line", None, truth("surge"), 3)
    screen.shot("surge")
    for share in ISLANDS:
        closed = next(one["closed"] for one in record["islands"] if one["efficiency"] == share)
        hands.curve("island", f"{100 * share:g}", truth("island", share), 10, closed)
    screen.shot("islands")


def say_about(hands, record):
    about = hands.twin.place.about
    fold = hands.twin.place.right.folds["About the compressor map"]
    hands.press(fold.head)
    press(fold.head)
    hands.settle()
    hands.type(about.texts["title"], "Practice photo")
    hands.screen.shot("about")
    hands.press(about.texts["title"])
    hands.key(*["Tab"] * 7)  # past date, sources, notes, the impeller, to the gear, out of sight
    hands.screen.do("type", f"{record['built_in_step_up']:g}")
    hands.key("Tab")
    write(about.numbers["built_in_step_up"], f"{record['built_in_step_up']:g}")
    hands.twin.place.right.folds["Without a picture: a table of points"].head.setFocus()
    hands.settle()
    hands.screen.shot("gear")


def held_against_the_truth(path):
    """Errors of a traced map: fit at 200 places, and a sample build matched with it."""
    true, made = load_map(FOLDER / f"{SAMPLE}.map.json"), load_map(path)
    one, other = fit_surface(true), fit_surface(made)
    chance = np.random.default_rng(2611)
    speed = chance.uniform(SPEEDS[0], SPEEDS[-1], 200)
    surge, choke = one.surge_flow(speed), one.choke_flow(speed)
    flow = surge + (choke - surge) * chance.uniform(0.05, 0.95, 200)
    ratio = other.pressure_ratio(flow, speed) / one.pressure_ratio(flow, speed)
    build = load_build(FOLDER / "road-six.build.json")
    powers = [
        match(
            replace(build, blower=replace(build.blower, compressor_map=each)),
            build.known_days()["mild"],
        ).line.flywheel_power_w
        for each in (true, made)
    ]
    apart = other.efficiency(flow, speed) - one.efficiency(flow, speed)
    return {
        "pressure ratio": 100.0 * float(np.median(np.abs(ratio - 1.0))),
        "surge flow": 100.0 * float(np.median(np.abs(other.surge_flow(speed) / surge - 1.0))),
        "choke flow": 100.0 * float(np.median(np.abs(other.choke_flow(speed) / choke - 1.0))),
        "efficiency": 100.0 * float(np.median(np.abs(apart))),
        "power": 100.0 * float(np.nanmax(np.abs(powers[1] / powers[0] - 1.0))),
    }


def test_the_photo_is_traced_saved_reopened_and_matched(hands, tmp_path):
    screen, path = hands.screen, tmp_path / "practice.map.json"
    trace_the_photo(hands)
    say_about(hands, draw.read_record(SAMPLE))
    hands.key("ctrl+s")
    hands.name_in_dialog("Save the compressor map", path, "save-dialog")
    screen.wait(path.exists)
    screen.shot("saved")
    errors = held_against_the_truth(path)
    print("\n   ", ", ".join(f"{name} {value:.3f}" for name, value in errors.items()), "[%]")
    assert errors["pressure ratio"] < 0.5
    assert errors["surge flow"] < 0.5
    assert errors["choke flow"] < 0.5
    assert errors["efficiency"] < 0.3
    assert 0.0 < errors["power"] < 0.5
    checked = subprocess.run(
        [sys.executable, "-m", "app", "check", str(path)],
        env=screen.environment, cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert checked.returncode == 0
    assert checked.stdout.strip().endswith("practice.map.json: no faults")
    made = load_map(path)
    assert made.title == "Practice photo"
    assert made.built_in_step_up == draw.read_record(SAMPLE)["built_in_step_up"]
    assert [line.corrected_speed for line in made.speed_lines] == [float(s) for s in SPEEDS]

    hands.key("ctrl+o")
    hands.name_in_dialog("Take up a trace", path, "reopen-dialog")
    time.sleep(1.0)
    hands.twin.stack.setClean()
    hands.twin.place.files.open_path(path)
    hands.settle()
    hands.key("e", "c", "c", "n")  # curves and points are there to be edited
    hands.twin.key(Key.Key_E)
    for key in (Key.Key_C, Key.Key_C, Key.Key_N):
        hands.twin.key(key)
    hands.settle()
    screen.shot("reopened")
    # back to the upper end of the panels: over their title the wheel turns nothing else
    screen.do("mousemove", 1250, 840, "click", "--repeat", 30, "--delay", 20, 4)
    hands.twin.place.right.verticalScrollBar().setValue(0)
    hands.press(hands.twin.place.needs.use)
    time.sleep(2.0)
    screen.shot("used")
    assert screen.program.poll() is None
    screen.wait(lambda: screen.journal(".journal.json") is not None)
    used = screen.journal(".journal.json")["build"]["blower"]
    assert "Practice photo" in str(used)
