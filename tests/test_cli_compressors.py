"""``pulleywright compressors``: words, numbers for machines, exit codes, refusals."""

from __future__ import annotations

import json
import re
import shutil

import pytest

from app.__main__ import main
from app.paths import sample_maps
from app.present.compressor_tables import signed

NARROW = ("--pulleys", "70 mm:72 mm", "--days", "mild,freezing")


def run(capsys, *words: str) -> tuple[int, str, str]:
    code = main(["compressors", *words])
    out = capsys.readouterr()
    return code, out.out, out.err


def document_of(capsys, *words):
    code, out, _ = run(capsys, *words, "--json")
    return code, json.loads(out, parse_constant=lambda word: pytest.fail(word))


def test_ranking_in_words(capsys):
    code, out, err = run(
        capsys, "road-six", "frame-95-middle", "frame-95-large", *NARROW, "--speeds", "3000,6000"
    )
    assert (code, err) == (0, "")
    assert "the target with most headroom." in " ".join(out.split())
    assert re.search(r"^ +1 \( \)  Bench frame 95, middle.+ 70\.8 mm .+ kW .+ Boost$", out, re.M)
    assert re.search(r"^ +2 \(#\)  Bench frame 95, large", out, re.M)
    assert "tightest: Boost 99 % used (freezing day): boost 0.55 bar at 6800 rpm" in out
    assert "room left to grow: +" in out
    assert "wheel power, mild day: " in out
    assert "no size keeps the parts on every chosen day" in out
    assert "never work on a running drive" in out


@pytest.mark.parametrize("system", [(), ("--us",)])
def test_text_fits_a_hundred_columns(capsys, system):
    words = ("tow-eight", *sample_maps(), "--pulleys", "57 mm:62 mm", "--ribs", "8,10", *system)
    _, out, _ = run(capsys, *words, "--aim", "power", "--days", "hot,freezing")
    assert max(len(row) for row in out.splitlines()) <= 100
    assert (" in " if system else " mm ") in out


def test_no_compressor_is_exit_one(capsys):
    code, out, _ = run(capsys, "road-six", "frame-95-large", *NARROW)
    assert code == 1
    assert "No compressor keeps every limit." in out


def test_json_is_whole(capsys):
    code, document = document_of(
        capsys, "road-six", "frame-95-middle", "turbo-52", *NARROW, "--speeds", "3000"
    )
    assert code == 0
    assert document["days"] == ["mild", "freezing"]
    assert document["question"]["blower_pulleys_m"] == pytest.approx([0.07, 0.072])
    first, other = document["rows"]
    assert (first["rank"], first["standing"], first["group"]) == (1, "accepted", "full")
    assert first["setting"]["blower_pulley_diameter_m"] == 0.0708
    assert first["setting"]["boost_gauge_pa"] is None
    assert first["tightest"]["code"] == "boost"
    assert first["tightest"]["day"] == "freezing"
    assert first["target_margin_w"] > 0.0
    assert first["room"]["stop"]["state"] == "over"
    day = first["days"][0]
    speeds = day["line"]["engine_speed_rpm"]
    (told,) = day["wheel_power_at"]
    assert told["wheel_power_w"] == day["line"]["wheel_power_w"][speeds.index(3000.0)]
    assert len(day["line"]["pressure_ratio"]) == len(speeds)
    assert (other["standing"], other["room"]) == ("refused", None)
    assert other["wheel_power_peak_w"] is None


def test_free_shaft_has_boosts(capsys):
    code, out, _ = run(
        capsys, "free-shaft-four", "turbo-52", "--aim", "power", "--pulleys", "0.4 bar:0.6 bar",
        "--days", "mild", "--set", "target.power=110 kW",
    )  # fmt: skip
    assert code == 0
    assert "Highest boost of the schedule from 0.40 bar to 0.60 bar" in out
    assert "the shaft is asked for" in out
    assert "running drive" not in out


def test_maps_of_a_folder(capsys, tmp_path):
    shutil.copy(sample_maps()["frame-95-middle"], tmp_path / "mine.map.json")
    (tmp_path / "broken.map.json").write_text("{}", encoding="utf-8")
    code, out, err = run(capsys, "road-six", str(tmp_path), *NARROW)
    assert code == 0
    assert "Bench frame 95, middle" in out
    assert "left out: " in err
    code, _, err = run(capsys, "road-six", str(tmp_path / "broken.map.json"), *NARROW)
    assert code == 2
    assert "broken.map.json" in err


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("road-six", "nowhere"), "MAP: 'nowhere' given; allowed: a file, a folder, or a sample: "),
        (("road-six", "frame-95-small", "--workers", "0"), "--workers: 0 given; allowed: 1 or"),
        (("road-six", "frame-95-small", "--ribs", "six"), "--ribs: 'six' given; allowed: "),
        (("road-six", "frame-95-small", "--pulleys", "60 mm"), "--pulleys: '60 mm' given; "),
        (("road-six", "frame-95-small", "--days", "hot"), "days: ['hot'] given; allowed: the "),
        (("road-six", "frame-95-small", "--set", "drive.kind=none", "--set", "cooler.kind=none"),
         "drive.kind: 'none' given; allowed: belt or free_shaft, to compare compressors"),
    ],
)  # fmt: skip
def test_wrong_input_is_one_sentence_and_exit_two(capsys, words, sentence):
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert err.startswith(sentence)
    assert len(err.splitlines()) == 1


def test_a_folder_without_maps_is_refused(capsys, tmp_path):
    code, _, err = run(capsys, "road-six", str(tmp_path))
    assert code == 2
    assert "allowed: a folder with *.map.json files" in err


def test_differences_have_their_sign():
    assert signed(1500.0, "power") == "+1.5 kW"
    assert signed(-1500.0, "power") == "-1.5 kW"
    assert signed(float("nan"), "power") == "--"
