"""Fixtures shared by the tests: the sample compressor maps, read and fitted once."""

from __future__ import annotations

import os

# before any Qt: tests need no display
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import functools
import json
import sys
from pathlib import Path

import pytest

from engine_model.compressor.map_data import CompressorMap, Island, Provenance, SpeedLine
from engine_model.compressor.surface_fit import fit_surface
from engine_model.inputs import Blower, Build

SAMPLES = Path(__file__).parent.parent / "sample_maps"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown():
    """Delete the windows closed by a test at once: each style set later goes over all that live."""
    result = yield
    if "PySide6.QtWidgets" in sys.modules:
        from PySide6.QtCore import QCoreApplication, QEvent

        if QCoreApplication.instance() is not None:
            QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    return result


def _points(rows):
    return tuple((float(flow), float(ratio)) for flow, ratio in rows)


@functools.cache
def read_sample_map(name):
    """A sample compressor map, read by hand: no part of the loader stands between."""
    text = (SAMPLES / f"{name}.map.json").read_text(encoding="utf-8")
    document = json.loads(text)
    impeller = document["impeller"]
    return CompressorMap(
        document["title"],
        Provenance(**document["provenance"]),
        document["reference"]["temperature_k"],
        document["reference"]["pressure_pa"],
        document["pressure_basis"],
        tuple(
            SpeedLine(line["corrected_speed_rpm"], _points(line["points"]))
            for line in document["speed_lines"]
        ),
        _points(document["surge_line"]),
        tuple(
            Island(one["efficiency"], one["closed"], _points(one["points"]))
            for one in document["islands"]
        ),
        _points(document["choke_line"]),
        impeller["exducer_diameter_m"],
        impeller["inducer_diameter_m"],
        impeller["maximum_speed_rpm"],
        document["built_in_step_up"],
    )


@functools.cache
def _fitted(name):
    return fit_surface(read_sample_map(name))


@pytest.fixture(scope="session")
def sample_map():
    """A function that reads a sample compressor map by its name, without the suffix."""
    return read_sample_map


@pytest.fixture(scope="session")
def sample_surface():
    """A function that fits a sample compressor map by its name, once a session."""
    return _fitted


def make_build(name, **values):
    """A build around a sample compressor map; keywords are paths with two underscores."""
    build = Build(blower=Blower(compressor_map=read_sample_map(name)))
    return build.with_values({path.replace("__", "."): value for path, value in values.items()})


@pytest.fixture(scope="session")
def sample_build():
    """A function that makes a build around a sample compressor map: (name, section__field=...)."""
    return make_build


@pytest.fixture
def preferences(tmp_path):
    """Preferences in a file of the test's own."""
    from PySide6.QtCore import QSettings

    from app.gui.preferences import Preferences

    return Preferences(QSettings(str(tmp_path / "set.ini"), QSettings.Format.IniFormat))


@pytest.fixture
def document():
    """The default sample as an open document without a file."""
    from app.gui.document import Document
    from app.paths import sample_builds
    from engine_model.files.build_file import load_build

    one = Document(load_build(sample_builds()["road-six"]), None)
    yield one
    one.undo.setClean()


@pytest.fixture
def hosted(qtbot):
    """Put a widget into a window; its own size hints stay off the screen's plugin."""
    from PySide6.QtWidgets import QWidget

    hosts = []

    def put(widget):
        host = QWidget()
        hosts.append(host)
        qtbot.addWidget(host)
        host.resize(400, 800)
        widget.setParent(host)
        widget.resize(340, 780)
        host.show()
        return widget

    return put
