"""``pulleywright sheet``: exit 0 or 2, sentences on stderr."""

from __future__ import annotations

import json

import pytest
import sheet_cases as cases

import app.launch
from app.__main__ import main


def test_writes_a_sheet_in_us_units_on_letter(qapp, tmp_path, capsys):
    file = tmp_path / "sheet.pdf"
    code = main(["sheet", "tow-eight", "-o", str(file), "--us", "--paper", "letter", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert (code, told["pages"], told["paper"]) == (0, 3, "letter")
    # the day of the promise, unless asked otherwise
    assert told["day"] == "hot"
    assert set(told["days"]) == {"mild", "hot", "freezing", "hot and high"}
    first = cases.texts(file.read_bytes())[0]
    assert "429.1 hp flywheel" in first  # 320 kW by 0.7457 kW a horsepower
    assert cases.sizes(file.read_bytes())[0] == pytest.approx((612.0, 792.0), abs=1.0)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["-o", "sheet.txt"], "-o: 'sheet.txt' given; allowed: a file whose name ends in .pdf"),
        (["-o", "no-such/folder/x.pdf"], "not saved, there is no folder"),
        (["-o", "x.pdf", "--day", "wet"], "--day: 'wet' given; allowed: mild"),
        (["-o", "x.pdf", "--days", ""], "--days: nothing given"),
        (["-o", "x.pdf", "--set", "drive.ribs=many"], "ribs"),
    ],
)
def test_wrong_input_is_a_sentence(qapp, tmp_path, monkeypatch, capsys, words, told):
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", "road-six", *words]) == 2
    said = capsys.readouterr()
    assert told in said.err
    assert "Traceback" not in said.err
    assert not said.out
    assert not list(tmp_path.iterdir())


def test_without_the_libraries_of_qt_it_says_which(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(app.launch, "missing_for_drawing", lambda: "libGL.so.1")
    file = tmp_path / "sheet.pdf"
    assert main(["sheet", "road-six", "-o", str(file)]) == 2
    said = capsys.readouterr().err
    assert said.startswith("No build sheet without libGL.so.1; on Debian install: libgl1 ")
    assert not file.exists()
