"""Hostile logs: what is read of each, or the sentence that refuses it, all literal."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from app.present.pull_words import pull_sentences, refused_sentences, smoothing_sentence
from engine_model.errors import FileFaultsError
from engine_model.files.pull_layout import open_layout, with_use
from engine_model.files.pull_log import load_pull, smoothed_run
from engine_model.files.pull_record import ColumnUse

FOLDER = Path(__file__).parent / "pulls"
LESS = "fewer cells than headers given; allowed: one a header."
NUMBER = "given; allowed: a number, or an empty cell."
A_RUN = "a run: engine speed rising by 1000 rpm or more, 8 readings or more, power above 0"

# file: readings of each run, power of the first run's ends [kW], manifold pressure of its ends
# [kPa], sentences of refused rows
READ = {
    "plain": ([9], (50, 130), (105.5, 145.5), []),
    "semicolon_decimal_comma": ([9], (50, 130), (105.5, 145.5), []),
    "tab_decimal_comma": ([9], (50, 130), (105.5, 145.5), []),
    "tabs": ([9], (50, 130), (105.5, 145.5), []),
    "bars": ([9], (50, 130), (105.5, 145.5), []),
    "utf16_le": ([9], (50, 130), (105.5, 145.5), []),
    "utf16_no_mark": ([9], (50, 130), (105.5, 145.5), []),
    "utf8_mark": ([9], (50, 130), (105.5, 145.5), []),
    "cp1252": ([9], (50, 130), None, []),
    "carriage_returns": ([9], (50, 130), (105.5, 145.5), []),
    "crlf_no_last_end": ([9], (50, 130), (105.5, 145.5), []),
    # 50 hp and 15 psi by definition of horsepower and pound-force
    "units_row": ([9], (37.285, 96.941), (103.421, 158.579), []),
    # 50 PS of 735.49875 W; 0.10 bar gauge
    "units_row_and_remarks": ([9], (36.775, 95.615), (10.0, 18.0), []),
    "repeated_headers": ([9, 9], (50, 130), (105.5, 145.5), []),
    "repeated_headers_and_units": ([9, 9], (50, 130), (105.5, 145.5), []),
    "gaps": ([9], (50, 130), (105.5, 145.5), []),
    "gap_in_speed": ([8], (50, 130), (105.5, 145.5),
                     ["Row 6: no engine speed given; allowed: a number."]),
    "gap_in_power": ([8], (60, 130), (110.5, 145.5),
                     ["Row 2: no power given; allowed: a number."]),
    "text_in_values": ([8], (50, 130), (105.5, 145.5), [f"Row 5: power 'ERR' {NUMBER}"]),
    "two_points": ([8], (50, 130), (105.5, 145.5), [f"Row 5: power '8.0.0' {NUMBER}"]),
    "overflow": ([8], (50, 130), (105.5, 145.5), [f"Row 5: power '1e999' {NUMBER}"]),
    "infinity": ([8], (50, 130), (105.5, 145.5), [f"Row 5: power 'inf' {NUMBER}"]),
    "impossible_speed": ([8], (50, 130), (105.5, 145.5),
                         ["Row 6: engine speed '99999' given; allowed: 100 to 24000 rpm."]),
    "impossible_pressure": ([8], (50, 120), (105.5, 140.5),
                            ["Row 10: manifold pressure '6553.5' given; "
                             "allowed: -100 to 800 kPa."]),
    "cut_last_row": ([9], (50, 130), (105.5, 145.5), [f"Row 11: {LESS}"]),
    "ragged": ([8], (50, 130), (105.5, 145.5),
               ["Row 4: more cells than headers given; allowed: one a header."]),
    "trailing_delimiters": ([9], (50, 130), (105.5, 145.5), []),
    "quoted": ([9], (50, 130), (105.5, 145.5), []),
    "quoted_decimal_comma": ([9], (50.5, 130.5), None, []),
    "quote_never_closed": ([8], (50, 130), (105.5, 145.5), [f"Row 6: {LESS}"]),
    "thousands_comma": ([9], (50.0005, 130.0005), None, []),
    "thousands_point": ([9], (50.0005, 130.0005), None, []),
    # 200 lb ft at 2000 rpm: 271.16 N m x 209.44 rad/s
    "torque_only": ([9], (56.792, 177.192), None, []),
    "time_based": ([9], (50, 130), None, []),
    "three_runs_with_coasting": ([9, 9, 9], (50, 130), None, []),
    "run_column": ([9, 9], (50, 130), None, []),
    "corrected_power": ([9], (37.285, 96.941), None, []),
    "afr_gauge": ([9], (37.285, 96.941), None, []),
    "psig": ([9], (37.285, 96.941), (0.0, 55.158), []),
    "blank_rows": ([9], (50, 130), (105.5, 145.5), []),
    "one_long_line": ([9], (50, 130), (105.5, 145.5),
                      ["Row 2: a line of more than 20000 characters given; "
                       "allowed: shorter ones."]),
    "zero_bytes_inside": ([9], (50, 130), (105.5, 145.5), []),
}  # fmt: skip

# file: the sentence that refuses it
REFUSED = {
    "empty": "file: nothing given; allowed: rows of a pull, engine speed and power or torque",
    "only_headers": "file: no row of numbers in the first 1 given; "
    "allowed: rows of numbers parted by comma, semicolon or tab",
    "no_headers": "row 1: numbers without headers given; "
    "allowed: a row of headers above the numbers",
    "not_text": "file: bytes that are no text given; allowed: a table as text (CSV)",
    "zip_bytes": "file: bytes that are no text given; allowed: a table as text (CSV)",
    "no_power": "columns: RPM, MAP [kPa] given; allowed: one of power or torque",
    "no_engine_speed": "columns: Road speed [km/h], Power [kW] given; allowed: one of engine speed",
    "falling_only": f"rows: 9 rows taken, 0 refused given; allowed: {A_RUN}",
    "too_short": f"rows: 5 rows taken, 0 refused given; allowed: {A_RUN}",
    "negative_power_at_start": f"rows: 9 rows taken, 0 refused given; allowed: {A_RUN}",
}


@pytest.mark.parametrize("name", READ)
def test_a_hostile_log_is_read(name):
    sizes, power, pressure, sentences = READ[name]
    pull = load_pull(FOLDER / f"{name}.csv")
    assert [run.size for run in pull.runs] == sizes
    first = pull.runs[0]
    assert tuple(first.power_w[[0, -1]] / 1e3) == pytest.approx(power, abs=6e-4)
    if pressure is None:
        assert first.manifold_pressure_pa is None
    else:
        ends = tuple(first.manifold_pressure_pa[[0, -1]] / 1e3)
        assert ends == pytest.approx(pressure, abs=6e-4)
    assert refused_sentences(pull) == sentences
    assert pull.refused_count == len(sentences)
    passed = pull.layout.header_row + pull.taken + pull.blank + pull.refused_count
    # every row below the headers is taken, passed over or refused
    assert pull.rows == passed
    assert pull.taken == sum(sizes) + pull.outside


@pytest.mark.parametrize("name", REFUSED)
def test_a_hostile_log_is_refused_in_a_sentence(name):
    with pytest.raises(FileFaultsError) as told:
        load_pull(FOLDER / f"{name}.csv")
    assert str(told.value) == f"{name}.csv: {REFUSED[name]}"


def test_every_file_is_told():
    assert {path.stem for path in FOLDER.glob("*.csv")} == set(READ) | set(REFUSED)
    assert len(READ) + len(REFUSED) >= 40


def test_ambient_mixture_and_standard_are_read():
    pull = load_pull(FOLDER / "corrected_power.csv")
    run = pull.runs[0]
    # 75.2 degF is 24 degC; 29.53 inHg is 100.0 kPa
    assert run.ambient_temperature_k[0] == pytest.approx(297.15, abs=1e-9)
    assert run.ambient_pressure_pa[0] == pytest.approx(100.0e3, abs=5.0)
    assert run.relative_humidity[0] == pytest.approx(0.48)
    assert pull.layout.mapping.standard == "sae_j1349_2004"
    # 14.7 by weight is lambda 1: common practice, no source
    lean = load_pull(FOLDER / "afr_gauge.csv").runs[0].mixture
    assert lean[0] == pytest.approx(13.0 / 14.7)


def test_the_sentences_of_a_pull():
    rows = pull_sentences(load_pull(FOLDER / "repeated_headers_and_units.csv"))
    assert rows[0] == "repeated_headers_and_units.csv: 22 rows, 18 taken, 0 refused"
    assert rows[1:5] == [
        "  RPM: engine speed, rpm",
        "  Power: power, kW, wheel (guessed: wheel)",
        "  MAP: manifold pressure, kPa, absolute",
        "  power in the log: as on the day, uncorrected",
    ]
    assert rows[5].startswith("  Run 1: rows 3 to 11, 9 readings, 2000 to 6000 rpm")
    assert max(map(len, rows)) <= 100


def test_a_mapping_is_remembered_by_its_headers():
    path = FOLDER / "units_row.csv"
    guess = open_layout(path).mapping
    # the user knows better: the third column is no manifold pressure
    mine = with_use(guess, None, "manifold_pressure")
    mine = with_use(mine, ColumnUse(1, "Power", "power", "kW", "flywheel"), "power")
    pull = load_pull(path, remembered=[open_layout(FOLDER / "psig.csv").mapping, mine])
    assert pull.layout.remembered
    assert pull.runs[0].power_w[0] == pytest.approx(50e3)
    assert pull.runs[0].power_basis == "flywheel"
    assert pull.runs[0].manifold_pressure_pa is None
    assert not load_pull(FOLDER / "psig.csv", remembered=[mine]).layout.remembered


def test_a_wrong_mapping_lists_its_faults():
    path = FOLDER / "plain.csv"
    mapping = open_layout(path).mapping
    wrong = with_use(mapping, ColumnUse(1, "Wheel power [kW]", "power", "furlong"), "power")
    with pytest.raises(FileFaultsError, match="unit of 'Wheel power \\[kW\\]': 'furlong' given"):
        load_pull(path, wrong)
    with pytest.raises(FileFaultsError, match=r"headers: .* given; allowed: those of the mapping"):
        load_pull(FOLDER / "psig.csv", mapping)


def test_smoothing_is_shown_beside_the_raw():
    run = load_pull(FOLDER / "plain.csv").runs[0]
    smooth = smoothed_run(run, 1100.0)
    assert smooth.raw is run
    # the mean of 50, 60 at the end and of 50, 60, 70 beside it
    assert tuple(smooth.shown.power_w[:2]) == pytest.approx((55e3, 60e3))
    assert smooth.width_rows == 3.0
    assert smoothing_sentence(smooth) == (
        "Smoothed over 1100 rpm (about 3 readings); the readings stand behind it."
    )
    np.testing.assert_allclose(smoothed_run(run, 0.0).shown.power_w, run.power_w, rtol=1e-12)


class Enough(Exception):
    """Raised by the test's progress."""


def long_log(path, rows):
    """Runs of 400 rows each, coasting between."""
    one = [f"{2000 + 10 * i},{50e3 + 100 * i:.0f},{101.3 + i / 20:.2f},,,," for i in range(400)]
    one += [f"{5900 - 40 * i},-5,30.0,,,," for i in range(100)]
    head = "Engine speed [rpm],Wheel power [W],MAP [kPa],Notes,Spare 1,Spare 2,Spare 3\n"
    block = "\n".join(one) + "\n"
    with path.open("w") as file:
        file.write(head)
        for _ in range(rows // 500):
            file.write(block)


def test_reading_tells_how_far_it_is_and_can_be_cancelled(tmp_path):
    path = tmp_path / "long.csv"
    long_log(path, 20_000)
    told = []
    pull = load_pull(path, on_progress=lambda done, of: told.append((done, of)))
    assert len(pull.runs) == 40
    size = path.stat().st_size
    assert told == sorted(told)
    assert told[-1] == (size, size)
    assert len(told) == 5

    def stop(done, of):
        if done > size / 3:
            raise Enough

    with pytest.raises(Enough):
        load_pull(path, on_progress=stop)


READ_IN_A_PROCESS = """
import resource, sys
from engine_model.files.pull_log import load_pull
def most():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
load_pull(sys.argv[1])
before = most()
pull = load_pull(sys.argv[2])
print(len(pull.runs), most() - before)
"""


@pytest.mark.long
def test_50_megabytes_are_read_in_bounded_memory(tmp_path):
    path = tmp_path / "long.csv"
    long_log(path, 2_500_000)
    assert path.stat().st_size > 50e6
    words = [sys.executable, "-c", READ_IN_A_PROCESS, str(FOLDER / "plain.csv"), str(path)]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    runs, grown = map(int, done.stdout.split())
    assert runs == 5000
    # the kept readings of 2 million rows in three columns and the row, 64 MB, and no second copy
    assert grown < 120e6
