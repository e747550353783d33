"""``pulleywright pulleys``: words, numbers for machines, exit codes, refusals."""

from __future__ import annotations

import dataclasses
import json
import re

import pytest

from app.__main__ import main
from app.paths import sample_builds
from app.present.pulley_tables import conflict_words, days_words, inward
from engine_model import load_build, pulley_span, save_build
from engine_model.inputs import Shelf
from engine_model.studies.span_records import Conflict

ROOMY = (
    "--set", "bounds.boost=0.65 bar", "--set", "bounds.charge_temperature=72 degC",
    "--set", "drive.tension_allowance=200 N",
)  # fmt: skip
SPAN_KEYS = {
    "build", "days", "search_m", "worst_case", "allowed", "conflicts", "limits", "bars",
    "not_judged", "present", "shelf", "curves",
}  # fmt: skip


def run(capsys, *words: str) -> tuple[int, str, str]:
    code = main(["pulleys", *words])
    out = capsys.readouterr()
    return code, out.out, out.err


def document_of(capsys, *words):
    code, out, _ = run(capsys, *words, "--json")
    return code, json.loads(out, parse_constant=lambda word: pytest.fail(word))


def test_allowed_span_and_what_stops_it(capsys):
    code, out, err = run(capsys, "road-six", *ROOMY)
    assert (code, err) == (0, "")
    assert "Allowed: 63.9 mm to 67.9 mm" in out
    assert "  smaller: Boost (freezing day): boost just over 0.65 bar at 6800 rpm" in out
    assert "  larger: Power asked by the target (mild day): 225.0 kW at the wheel" in out
    assert re.search(r"^Boost +63\.9 mm +freezing day", out, re.MULTILINE)
    assert re.search(r"^Choke margin +-- +105\.9 mm +hot day", out, re.MULTILINE)
    assert re.search(r"^Impeller speed at the over-rev +56\.2 mm +every day", out, re.MULTILINE)
    assert "Surge margin: nothing to judge from 87.6 mm to 130.0 mm (mild day)" in out
    assert "never work on a running drive" in out


def test_no_pulley_allowed_is_exit_one_and_a_reason(capsys):
    code, out, _ = run(capsys, "road-six")
    assert code == 1
    assert "No pulley is allowed:" in out
    assert "Boost (freezing day) and Power asked by the target (mild day) exclude each other" in out


def test_days_chosen(capsys):
    code, out, _ = run(capsys, "road-six", "--days", "mild")
    assert code == 0
    assert "on the mild day, without belt" in out
    assert "freezing" not in out


@pytest.mark.parametrize("name", ["road-six", "tow-eight"])
@pytest.mark.parametrize("system", [(), ("--us",)])
def test_text_fits_a_hundred_columns(capsys, name, system):
    words = (name, "--days", "mild,hot and high", "--bypass-stuck-shut", *system)
    _, out, _ = run(capsys, *words, "--set", "bypass.boost_cap=0.3 bar")
    assert max(len(row) for row in out.splitlines()) <= 100
    assert (" in " if system else " mm ") in out
    assert "* with the bypass stuck shut" in out


def test_json_is_whole(capsys):
    code, document = document_of(capsys, "road-six", *ROOMY)
    assert code == 0
    assert set(document) == SPAN_KEYS
    assert document["days"] == ["mild", "hot", "freezing", "hot and high"]
    (one,) = document["allowed"]
    build = load_build(sample_builds()["road-six"])
    build = build.with_values(
        {
            "bounds.boost": 65e3,
            "bounds.charge_temperature": 345.15,
            "drive.tension_allowance": 200.0,
        }
    )
    expected = pulley_span(build)
    assert one["low_m"] == expected.allowed[0].low
    assert one["smaller"]["entry"]["code"] == "boost"
    assert one["smaller"]["entry"]["day"] == "freezing"
    assert one["larger"]["over_on_smaller"] is False
    assert len(document["bars"]) == 4 * 14 + 1
    sizes = document["curves"]["diameter_m"]
    for bar in document["bars"]:
        assert len(bar["used"]) == len(sizes)
    surge = next(bar for bar in document["bars"] if bar["code"] == "surge_margin")
    assert surge["used"][-1] is None
    assert [len(row) for row in document["curves"]["wheel_power_peak_w"]] == [len(sizes)] * 4
    assert document["worst_case"] == {"bypass_stuck_shut": False, "missed_shift": True}
    assert document["present"]["diameter_m"] == 0.066


def test_json_without_any_pulley(capsys):
    code, document = document_of(capsys, "road-six")
    assert code == 1
    assert document["allowed"] == []
    (conflict,) = document["conflicts"]
    assert [one["code"] for one in conflict["members"]] == ["boost", "target_power"]
    assert conflict["gap_m"] > 0.0


def test_worst_cases_are_switched(capsys):
    _, document = document_of(
        capsys, "road-six", "--days", "mild", "--bypass-stuck-shut", "--no-missed-shift"
    )
    assert document["worst_case"] == {"bypass_stuck_shut": True, "missed_shift": False}
    codes = {row["code"] for row in document["limits"]}
    assert "impeller_speed_over_rev" not in codes
    assert {bar["case"] for bar in document["bars"]} == {"as built", "bypass stuck shut"}


def test_shelf_of_the_build(capsys, tmp_path):
    build = load_build(sample_builds()["road-six"])
    file = tmp_path / "mine.build.json"
    save_build(dataclasses.replace(build, shelf=Shelf(pulleys=(0.060, 0.0678))), file)
    code, out, _ = run(capsys, str(file), "--days", "mild")
    assert code == 0
    assert re.search(r"\(#\) over +1\d\d % +shelf +60\.0 mm +Boost: ", out)
    assert re.search(r"\(/\) close +\S+ % +shelf +67\.8 mm ", out)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("free-shaft-four",),
         "drive.kind: 'free_shaft' given; allowed: belt, to ask for pulleys"),
        (("road-six", "--set", "drive.kind=none", "--set", "cooler.kind=none"),
         "drive.kind: 'none' given; allowed: belt, to ask for pulleys"),
        (("road-six", "--days", "sunny"),
         "--days: 'sunny' given; allowed: mild, hot, freezing, hot and high"),
        (("road-six", "--days", ","),
         "--days: nothing given; allowed: a comma list of days, or all"),
    ],
)  # fmt: skip
def test_wrong_input_is_one_sentence_and_exit_two(capsys, words, sentence):
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert err.strip() == sentence


def test_sizes_are_rounded_into_the_span():
    assert inward(0.06141, 0.06829) == ("61.5 mm", "68.2 mm")
    assert inward(0.0614, 0.0682) == ("61.4 mm", "68.2 mm")
    # less than a tenth of a millimetre wide: one digit more
    assert inward(0.061422, 0.061478) == ("61.43 mm", "61.47 mm")
    assert inward(0.06141, 0.06829, "us") == ("2.418 in", "2.688 in")


def test_words_of_days_and_conflicts():
    assert days_words(("hot",), 4) == "hot day"
    assert days_words(("mild", "hot"), 4) == "mild, hot days"
    assert days_words(("mild", "hot"), 2) == "every day"
    three = [("boost", "hot", "as built"), ("tip_speed", "hot", "as built")]
    three.append(("choke_margin", "mild", "bypass stuck shut"))
    words = conflict_words(Conflict(tuple(three), float("nan")))
    assert words == (
        "Boost (hot day), Tip speed (hot day) and Choke margin (mild day, bypass stuck shut) "
        "leave no pulley together"
    )
    assert conflict_words(Conflict(tuple(three[:1]), float("nan"))) == (
        "Boost (hot day) is over at every pulley"
    )
