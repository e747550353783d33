"""``pulleywright surge``: the answer in words and numbers, exit codes, refusals."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from app.__main__ import main
from app.paths import sample_builds
from app.present.surge_scenes import STANDARD_SCENES, scenes_of
from app.present.surge_words import size_words
from engine_model import load_build, save_build
from engine_model.inputs import Scene
from engine_model.studies.bypass_sizing import ValveSize

SHORT = ("--set", "surge.closing_time=1.5 s", "--set", "surge.duration=1 s")


def run(capsys, *words):
    code = main(["surge", *words])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_lift_reverses_and_a_valve_stops_it(capsys):
    code, out, err = run(capsys, "road-six", "--scene", "lift", "--set", "surge.duration=1 s")
    assert (code, err) == (1, "")
    assert "rpm flow reverses 2" in out
    assert "times a second, to the end; peak 1.8" in out
    assert "  6800 rpm: 38.4 mm" in out
    assert "The ledger\nkeeps the traced line." in out
    assert "No holding an engine in surge." in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 100
    code, out, _ = run(capsys, "road-six", "--valve", "40mm", "--set", "surge.duration=1 s")
    assert code == 0
    assert "rpm flow does not reverse" in out
    assert "bypass valve 40.0 mm back to the" in out


def test_numbers_for_machines(capsys):
    code, out, _ = run(capsys, "road-six", "--scene", "closing", "--json", *SHORT)
    document = json.loads(out, parse_constant=lambda word: pytest.fail(word))
    assert code == 1
    assert document["scene"]["kind"] == "closing"
    assert document["reverses"]
    assert document["cycles_per_second_hz"] > 5.0
    assert document["smallest_valves"] is None
    assert document["onset"]["gap"] < 0.0
    assert document["mass_imbalance"] < 1e-6
    assert [one["zero_flow_pressure_ratio"] for one in document["zero_flow_band"]] == sorted(
        one["zero_flow_pressure_ratio"] for one in document["zero_flow_band"]
    )
    assert document["estimate"] is True


def test_choke_scene(capsys):
    code, out, _ = run(capsys, "road-six", "--scene", "choke")
    assert code == 0
    assert "The wall stands at" in out
    assert "boost cannot be bought" in out
    assert max(map(len, out.splitlines())) <= 100
    code, out, _ = run(capsys, "road-six", "--scene", "choke", "--json")
    document = json.loads(out, parse_constant=lambda word: pytest.fail(word))
    assert document["wall"] > 0
    assert document["inducer_mach"]["relative"] > 1.0


def test_a_scene_saved_in_the_build(capsys, tmp_path):
    build = load_build(sample_builds()["road-six"])
    knobs = (("surge.valve_diameter", 0.06), ("surge.duration", 0.5))
    scene = Scene("own", "lift", knobs, "What does a 60 mm valve do?")
    file = tmp_path / "own.build.json"
    save_build(replace(build, scenes=(scene,)), file)
    assert load_build(file).scenes == (scene,)
    code, out, _ = run(capsys, str(file), "--scene", "own", "--us")
    assert code == 0
    assert "What does a 60 mm valve do?" in out
    assert "2.362 in" in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--scene", "nope"), "--scene: 'nope' given; allowed: lift, lift-with-valve"),
        (("--valve", "4 m"), "surge.valve_diameter: '4 m' given; allowed: 2.0 mm to 150.0 mm"),
        (("--valve", "40"), "surge.valve_diameter"),
        (("--day", "odd"), "--day: 'odd' given; allowed: mild"),
        (("--set", "drive.kind=none"), "drive.kind"),
        (("free-shaft-four", "--scene", "choke"), "drive.kind: 'free_shaft' given; allowed: belt"),
    ],
)
def test_refusals_are_sentences(capsys, words, told):
    build = () if words[0] in sample_builds() else ("road-six",)
    code, out, err = run(capsys, *build, *words)
    assert (code, out) == (2, "")
    assert told in err


def test_standard_scenes_stand_for_every_build():
    build = load_build(sample_builds()["road-six"])
    assert tuple(scenes_of(build)) == tuple(one.name for one in STANDARD_SCENES)
    for one in STANDARD_SCENES:
        assert one.question.endswith("?")
        assert build.with_values(dict(one.knobs)) is not None


@pytest.mark.parametrize(
    ("size", "words"),
    [
        (ValveSize(3000.0, float("nan"), True, True), "3000 rpm: none up to 100.0 mm"),
        (ValveSize(3000.0, 0.0, False, True), "3000 rpm: no valve needed"),
        (ValveSize(3000.0, 0.04, True, False), "3000 rpm: 40.0 mm (not every larger one does)"),
        (
            ValveSize(3000.0, float("nan"), False, True, solved=False),
            "3000 rpm: no match with the throttle open",
        ),
    ],
)
def test_words_of_a_size(size, words):
    assert size_words(size) == words
