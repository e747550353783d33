"""``pulleywright reconcile`` and the sample pulls."""

from __future__ import annotations

import json
import runpy

import pytest

from app.__main__ import main
from app.paths import data_folder, sample_pulls
from engine_model.files.pull_log import load_pull


def run(capsys, *words):
    code = main(["reconcile", *words])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_the_sample_pulls_are_what_the_script_writes(monkeypatch, capsys):
    script = str(data_folder("sample_maps") / "make_sample_pulls.py")
    monkeypatch.setattr("sys.argv", [script, "--check"])
    with pytest.raises(SystemExit) as left:
        runpy.run_path(script, run_name="__main__")
    assert (left.value.code, capsys.readouterr().out) == (0, "")
    for path in sample_pulls().values():
        assert path.read_text("utf-8").startswith("# Invented")


def test_a_slipping_belt_is_found_and_told(capsys):
    code, out, err = run(capsys, "road-six", "belt-slip")
    assert (code, err) == (0, "")
    said = " ".join(out.split())
    assert "The belt slips from 54" in said
    assert "If the belt stops slipping: boost" in said
    assert "Every limit is judged without this slip." in said
    assert "(never the slip)" in said
    assert "carbon monoxide" in said
    assert "SAE J607" in said
    assert max(map(len, out.splitlines())) <= 100


def test_the_clean_pull_finds_no_fault(capsys):
    code, out, _ = run(capsys, "road-six", "clean", "--us")
    assert code == 0
    assert "Nothing in the pull differs from the build by more than its noise." in out
    assert "hp" in out
    assert max(map(len, out.splitlines())) <= 100


def test_altitude_on_a_hot_day_is_flagged(capsys):
    code, out, _ = run(capsys, "road-six", "altitude-hot", "--json")
    assert code == 0
    document = json.loads(out, parse_constant=lambda word: pytest.fail(word))
    factors = {row["standard"]: row for row in document["standards"]}
    assert factors["sae_j607"]["flagged"]
    # 81.5 kPa of which vapour 0.95, 32 degC: 99/80.54 sqrt(305/298) 1.18 - 0.18 by hand
    assert factors["sae_j1349_1990"]["factor"] == pytest.approx(1.287, abs=2e-3)
    assert document["day"]["pressure_pa"] == pytest.approx(81.49e3, abs=10.0)
    assert {row["code"] for row in document["known"]} >= {"volumetric_efficiency", "leak"}
    assert not [row for row in document["changes"] if row["path"].startswith("drive.")]


def test_a_messy_export_is_read_and_its_refused_rows_told(capsys):
    pull = load_pull(sample_pulls()["messy-export"])
    assert [run.size for run in pull.runs] == [88, 88]
    assert pull.refused_count == 4
    code, out, _ = run(capsys, "road-six", "messy-export", "--runs", "2")
    assert code == 0
    assert "Row 34: power '###' given; allowed: a number, or an empty cell." in out
    assert "Slip and leak cannot be told apart without" in out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["road-six", "no-such.csv"], "no-such.csv: No such file or directory"),
        (["road-six", "clean", "--runs", "4"], "--runs: '4' given; allowed: 1, or all"),
        (["nothing", "clean"], "BUILD: 'nothing' given; allowed:"),
        (["road-six", "clean", "--day", "x"], "--day: 'x' given; allowed:"),
    ],
)
def test_wrong_input_is_a_sentence(capsys, words, sentence):
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert err.startswith(sentence)
