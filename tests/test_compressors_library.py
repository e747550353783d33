"""The watched folder: files come, go and are broken, by themselves."""

import os
import shutil

import pytest

from app.gui.document import Document
from app.gui.places.compressors.candidates import Candidates
from app.gui.places.compressors.library import GONE, _Wanted, look
from app.gui.preferences import Preferences
from app.paths import sample_builds, sample_maps
from engine_model import load_build, load_map
from tests.compressors_hand import WAIT, settle

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
MIDDLE = sample_maps()["frame-95-middle"]


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "maps"
    made.mkdir()
    text = MIDDLE.read_text(encoding="utf-8").replace("middle trim", "another trim")
    (made / "one.map.json").write_text(text, encoding="utf-8")
    (made / "two.MAP.JSON").write_text('{"format": "pulleywright-map"', encoding="utf-8")
    (made / "notes.txt").write_text("not a map", encoding="utf-8")
    return made


def test_a_folder_is_read_and_what_is_as_it_was_is_not_read_again(folder):
    gone = folder / "gone.map.json"
    found, fault = look(_Wanted(str(folder), (str(gone),)), {})
    assert fault == ""
    assert [one.path.name for one in found] == ["one.map.json", "two.MAP.JSON", "gone.map.json"]
    assert found[0].compressor_map == load_map(folder / "one.map.json")
    assert found[1].compressor_map is None
    assert found[1].sentence
    assert found[2].sentence == GONE
    again, _ = look(_Wanted(str(folder), ()), {one.path: one for one in found})
    assert list(again) == list(found[:2])
    (folder / "folder.map.json").mkdir()
    found, _ = look(_Wanted(str(folder), ()), {})
    assert [one.path.name for one in found if one.sentence] == ["folder.map.json", "two.MAP.JSON"]
    _, fault = look(_Wanted(str(folder / "no-such"), ()), {})
    assert "no-such" in fault


def test_files_come_change_and_go(qtbot, preferences, folder):
    document = Document(load_build(sample_builds()["road-six"]), None)
    one = Candidates(document, preferences)
    try:
        one.watch_folder(str(folder))
        names = lambda: {c.key.rpartition("/")[2] for c in one.every if c.key.startswith("file")}  # noqa: E731
        qtbot.waitUntil(lambda: names() == {"one.map.json", "two.MAP.JSON"}, timeout=WAIT)
        bad = next(c for c in one.every if c.compressor_map is None)
        assert bad.title == "two.MAP.JSON"
        assert not one.is_chosen(bad)
        text = MIDDLE.read_text(encoding="utf-8").replace("middle trim", "third trim")
        (folder / "two.MAP.JSON").write_text(text, encoding="utf-8")
        shutil.copy(MIDDLE, folder / "copy.map.json")
        qtbot.waitUntil(lambda: all(c.compressor_map for c in one.every), timeout=WAIT)
        # the copy is the sample: one candidate, both names
        sample = next(c for c in one.every if c.key == "sample:frame-95-middle")
        qtbot.waitUntil(lambda: any("copy.map.json" in c.source for c in one.every), timeout=WAIT)
        sample = next(c for c in one.every if c.key == "sample:frame-95-middle")
        assert sample.source == "sample frame-95-middle; library, copy.map.json"
        (folder / "one.map.json").unlink()
        qtbot.waitUntil(lambda: names() == {"two.MAP.JSON"}, timeout=WAIT)
    finally:
        one.end()
    document.undo.setClean()


def test_ticks_folder_and_files_come_back(qtbot, preferences, folder):
    document = Document(load_build(sample_builds()["road-six"]), None)
    one = Candidates(document, preferences)
    try:
        assert [c.key for c in one.every if c.is_own] == ["sample:frame-95-small"]
        # a turbocharger's compressor is not what a belt drives, unless it is ticked
        assert "sample:turbo-52" not in [c.key for c in one.chosen]
        one.tick("sample:turbo-52", True)
        one.tick("sample:frame-95-large", False)
        one.add_files([folder / "one.map.json"])
        one.watch_folder(str(folder))
        chosen = [c.key for c in one.chosen]
        assert "sample:turbo-52" in chosen
        assert "sample:frame-95-large" not in chosen
    finally:
        one.end()
    again = Preferences(preferences._settings).choices
    assert again.map_ticks == (("sample:turbo-52", True), ("sample:frame-95-large", False))
    assert again.added_maps == (str(folder / "one.map.json"),)
    assert again.library == str(folder)


__all__ = ["settle"]
