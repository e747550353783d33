"""What a new user stumbled over in the words of the ledger, and stays mended."""

from __future__ import annotations

import pytest

from app.fields import FIELD, read_value
from app.gui.new_build import new_customer_build
from app.present.ledger_words import NOTHING_OVER, banner_of
from app.present.sentences import percent, refusal, state_words
from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Build, Drive
from engine_model.results import Entry
from engine_model.studies.sensitivity import assumed_that_matter

NAN = float("nan")
UNBLOWN = Build(drive=Drive(kind="none"))


def entry(code, used, *, part="parts", state="over", day="hot", **values):
    known = {"value": used, "bound": 1.0, "unit": "-", "engine_speed_rpm": 6800.0, "basis": "basis"}
    return Entry(code, part, state, used, day=day, **(known | values))


def test_an_impeller_over_its_limit_comes_first_and_the_others_are_named():
    entries = [
        entry("boost", 1.10, value=60e3, bound=55e3),
        entry("impeller_speed_over_rev", 1.02, value=83e3, bound=82e3, engine_speed_rpm=7480.0),
        entry("charge_temperature", 1.03, value=335.0, bound=333.15),
        entry("tip_speed", 0.9, state="close"),
    ]
    banner = banner_of(entries, UNBLOWN)
    assert banner.text.startswith("OVER: Impeller speed at the over-rev 102 % on the hot day.\n")
    assert banner.text.endswith("Also over: boost, charge temperature.")
    assert banner.brief.endswith("on the hot day. Also over: boost, charge temperature.")
    assert (banner.alarm, banner.short) == (True, False)


def test_the_banner_tells_how_much_a_target_is_short():
    short = entry("target_power", 2.09, part="target", value=74.6e3, bound=156e3)
    banner = banner_of([short], UNBLOWN)
    assert banner.text == (f"{NOTHING_OVER}\nTARGET: 81.4 kW short of 156.0 kW on the hot day.")
    assert banner.brief in banner.text
    assert (banner.alarm, banner.short) == (False, True)


@pytest.mark.parametrize(
    ("used", "text"),
    [
        (0.5, "50 %"),
        (0.996, "99.6 %"),
        (0.99996, "99.99 %"),
        (1.0, "100.0 %"),
        (1.0000001, "100.01 %"),
        (1.0004, "100.04 %"),
        (1.004, "100.4 %"),
        (1.1, "110 %"),
        (0.8999, "89.99 %"),
        (0.9, "90.0 %"),
        (float("inf"), "no room"),
    ],
)
def test_a_share_is_never_rounded_onto_its_bound(used, text):
    assert percent(used) == text


def test_assumptions_are_not_praised_as_clear():
    assert state_words(entry("assumed_inputs", 0.62, part="trust", state="clear")) == "62 % assumed"
    assert state_words(entry("boost", NAN, state="blank")) == "blank"
    assert state_words(entry("boost", 0.62, state="clear")) == "clear 62 %"


def test_an_empty_field_is_told_as_nothing():
    with pytest.raises(InputError) as caught:
        read_value(FIELD["engine.displacement"], " ")
    words = refusal(caught.value)
    assert words.startswith("nothing given; allowed: a volume (")
    assert "empty" not in words
    assert refusal(InputError("x", 3, "1 to 2")) == "3 given; allowed: 1 to 2"


def test_the_engine_comes_first_where_nobody_has_described_it():
    found = assumed_that_matter(new_customer_build(""), NAMED_DAYS["mild"], limit=3)
    assert found[0].path == "engine.stock_power"
    # a tenth of 170 kW
    assert found[0].spread == pytest.approx(17e3)
    assert "chosen here" in FIELD["engine.stock_power"].row.origin
