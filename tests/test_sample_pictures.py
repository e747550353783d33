"""The two pictures to practise on: that they can be drawn again, and traced to their truth."""

from __future__ import annotations

import ast
import io

import numpy as np
import pytest
from PIL import Image
from trace_pictures import (
    FOLDER,
    calibration_errors,
    click_values,
    clicked_calibration,
    curve_errors,
    script,
    spans,
)

from engine_model.digitise.clean import prepare
from engine_model.digitise.ink import follow_curve
from engine_model.digitise.straighten import straighten

SCRIPT = script("make_sample_pictures")
DRAWN = {SCRIPT.PRINT: SCRIPT.clean_print, SCRIPT.PHOTO: SCRIPT.noisy_photo}
each_picture = pytest.mark.parametrize("name", DRAWN)


def test_files_are_what_the_script_draws():
    assert SCRIPT.main(["--check"]) == 0


@each_picture
def test_size(name):
    path = FOLDER / name
    assert path.stat().st_size < 500_000
    with Image.open(path) as image:
        assert image.size == (1600, 1200)


def test_check_tells_of_a_changed_file(tmp_path, monkeypatch, capsys):
    kept = (FOLDER / SCRIPT.PRINT).read_bytes()
    monkeypatch.setattr(SCRIPT, "HERE", tmp_path)
    monkeypatch.setattr(SCRIPT, "all_pictures", lambda: {"one.png": kept})
    assert SCRIPT.main(["--check"]) == 1  # not there
    assert SCRIPT.main([]) == 0
    assert SCRIPT.main(["--check"]) == 0
    with Image.open(io.BytesIO(kept)) as image:
        table = np.array(image.convert("RGB"))
    table = np.roll(table, 3, axis=1)
    Image.fromarray(table).save(tmp_path / "one.png")
    assert SCRIPT.main(["--check"]) == 1
    Image.fromarray(table[:-1]).save(tmp_path / "one.png")
    assert SCRIPT.main(["--check"]) == 1
    assert "one.png differs" in capsys.readouterr().err


@each_picture
def test_a_trace_of_the_file_meets_its_truth(name):
    """The file itself is traced; the truth is the drawing's."""
    drawn, draw = DRAWN[name](), np.random.default_rng(11)
    with Image.open(FOLDER / name) as image:
        table = np.asarray(image.convert("RGB"))
    calibration = clicked_calibration(drawn, draw)
    assert calibration_errors(drawn, calibration).max() < 0.1
    straight = straighten(table, calibration)
    ink = prepare(straight)
    chosen = [curve for curve in drawn.curves if curve.kind != "speed" or curve.value == 66000]
    assert len(chosen) > 5
    for curve in chosen:
        values = click_values(drawn, curve, 10 if curve.kind == "island" else 3)
        seen = drawn.to_pixels(values) + draw.normal(0.0, 1.5, values.shape)
        found = follow_curve(ink, straight.to_pixels(calibration.to_values(seen)), curve.closed)
        path = straight.to_values(found.points)
        errors = curve_errors(curve.points, path, spans(drawn), curve.closed)
        assert np.quantile(errors, 0.95) <= 0.25


def test_scripts_know_nothing_of_the_program():
    for name in ("draw_pictures", "make_sample_pictures"):
        text = (FOLDER / f"{name}.py").read_text(encoding="utf-8")
        modules = set()
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Import):
                modules |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                modules.add(str(node.module).partition(".")[0])
        assert {"numpy", "PIL"} <= modules
        assert not modules & {"engine_model", "app"}
