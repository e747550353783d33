"""Traces in files: a map with all that is needed to go on, drafts, what the check says of them."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_files_mutations import _damage
from tracing_cases import trace_of, with_nodes

from engine_model.errors import FileFaultsError
from engine_model.files.layout import to_bytes
from engine_model.files.map_file import load_map, map_to_document, save_map
from engine_model.files.schema import schema_path
from engine_model.inputs import Blower, Build
from engine_model.tracing import edits
from engine_model.tracing.checking import check_file
from engine_model.tracing.to_map import for_build, trace_to_map
from engine_model.tracing.trace import (
    CURVE_KINDS,
    FLOW_KINDS,
    LABELLED,
    PRESSURE_BASES,
    Axes,
    Node,
    PictureRef,
    Trace,
)
from engine_model.tracing.trace_file import (
    draft_document,
    load_embedded_picture,
    load_map_with_trace,
    save_draft,
    save_map_with_trace,
    trace_from_document,
)

ROOT = Path(__file__).resolve().parents[1]
PNG = b"\x89PNG\r\n\x1a\nnot looked into"


@pytest.fixture(scope="module")
def trace(sample_map):
    return trace_of(sample_map("turbo-52"))


@pytest.fixture(scope="module")
def traced_map(trace):
    return trace_to_map(trace)


def test_a_map_comes_back_with_its_trace_and_picture(trace, traced_map, tmp_path):
    path = tmp_path / "one.map.json"
    save_map_with_trace(traced_map, path, trace=trace, picture_png=PNG)
    compressor_map, again = load_map_with_trace(path)
    assert again == trace
    assert compressor_map.speed_lines == traced_map.speed_lines
    assert load_embedded_picture(path) == PNG
    assert check_file(path) == ()
    # what is traced next week is what was traced today
    assert trace_to_map(again) == traced_map
    record = json.loads(path.read_bytes())
    assert record["trace"]["picture_sha256"] == trace.picture.sha256
    assert record["trace"]["corners_px"] == [[*p] for p in trace.axes.places_px]
    assert record["trace"]["curves"][0]["corrected_speed_rpm"] == 58000
    schema = json.loads(schema_path("pulleywright-map").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(record)


def test_the_plain_loader_reads_it_and_a_build_embeds_no_picture(trace, traced_map, tmp_path):
    path = tmp_path / "one.map.json"
    save_map_with_trace(traced_map, path, trace=trace, picture_png=PNG)
    plain = load_map(path)
    assert plain.trace.flow_unit == "lb/min"
    assert replace(plain, trace=None) == traced_map
    assert for_build(plain).trace is None
    assert "trace" not in map_to_document(for_build(plain))
    assert Build(blower=Blower(compressor_map=for_build(plain))).blower.compressor_map.title
    save_map(plain, tmp_path / "plain.map.json")
    assert load_map(tmp_path / "plain.map.json") == plain


def test_old_sections_hold_nothing_to_go_on_with(tmp_path):
    old = ROOT / "tests" / "golden" / "2026-11" / "golden.map.json"
    compressor_map, trace = load_map_with_trace(old)
    assert compressor_map == load_map(old)
    assert trace is None


def test_a_draft_comes_back_at_any_stage(trace, tmp_path):
    path = tmp_path / "one.trace.json"
    stages = [
        Trace(),
        Trace(PictureRef("cd" * 32, "a page.pdf", 1200, 1600, 3, 0.25), notes="só"),
        replace(trace, axes=Axes(places_px=trace.axes.places_px[:3])),
        replace(trace, axes=replace(trace.axes, values=trace.axes.values[:2])),
        replace(trace, axes=replace(trace.axes, check_px=(3.5, 4.0), check_value=(20.0, 1.5))),
        edits.add_curve(trace, "island", [Node(4.0, 5.0, True)]),
        edits.set_free(trace, 0, 1, True),
        trace,
    ]
    for stage in stages:
        save_draft(stage, path, picture_png=PNG)
        assert load_map_with_trace(path) == (None, stage)
        assert load_embedded_picture(path) == PNG
        assert trace_from_document(draft_document(stage)) == stage
        schema = json.loads(schema_path("pulleywright-trace").read_text(encoding="utf-8"))
        jsonschema.Draft202012Validator(schema).validate(json.loads(path.read_bytes()))
    save_draft(trace, path)
    assert load_embedded_picture(path) is None


def test_a_draft_is_no_map(trace, tmp_path):
    path = tmp_path / "one.map.json"
    save_draft(trace, path)
    with pytest.raises(FileFaultsError, match="'pulleywright-trace' given; allowed: pulleywright-"):
        load_map(path)


def test_check_tells_needs_and_faults_of_a_draft(trace, tmp_path):
    path = tmp_path / "one.trace.json"
    save_draft(Trace(), path)
    told = [fault.sentence() for fault in check_file(path)]
    assert told[0] == (
        "trace: 0 known points given; allowed: four known points or more, each with its values"
    )
    assert "trace: no surge line given; allowed: a surge line" in told
    assert len(told) == 10
    a, b = trace.of_kind("speed_line")[:2]
    slow, fast = trace.curves[a].value, trace.curves[b].value
    wrong = edits.relabel(edits.relabel(trace, a, "speed_line", fast), b, "speed_line", slow)
    wrong = with_nodes(wrong, "speed_line", [(0.1, 1.5), (0.2, 1.4)])
    save_draft(wrong, path)
    told = [fault.sentence() for fault in check_file(path)]
    number = len(wrong.curves) - 1
    words = "no label given; allowed: a corrected speed, an efficiency"
    assert told[0] == f"trace.curves[{number}]: {words}"
    assert told[1] == (
        "trace.curves[0]: the 72000 rpm line, 72000 on a line below that of 58000 given; "
        "allowed: lines that lie higher with speed; swapped with the 58000 rpm line?"
    )
    assert len(told) == 2


def test_check_of_the_map_says_what_the_trace_says(trace, traced_map, tmp_path):
    """The same labels swapped in the trace and in the map's file: one verdict."""
    from engine_model.tracing.needs import faults

    a, b = trace.of_kind("island")[:2]
    low, high = trace.curves[a].value, trace.curves[b].value
    wrong = edits.relabel(edits.relabel(trace, a, "island", high), b, "island", low)
    document = map_to_document(traced_map)
    one, two = document["islands"][:2]
    one["efficiency"], two["efficiency"] = two["efficiency"], one["efficiency"]
    path = tmp_path / "wrong.map.json"
    path.write_bytes(to_bytes(document))
    assert [fault.fault for fault in faults(wrong)] == list(check_file(path))
    assert len(check_file(path)) == 1


def test_the_command_checks_drafts(trace, tmp_path):
    sound, empty = tmp_path / "a.trace.json", tmp_path / "b.trace.json"
    save_draft(trace, sound)
    save_draft(Trace(), empty)
    for path, status in ((sound, 0), (empty, 2)):
        done = subprocess.run(
            [sys.executable, "-m", "app", "check", str(path)],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == status, done.stderr
        assert len(done.stderr.splitlines()) == (0 if status == 0 else 10)


def test_what_could_not_be_loaded_again_is_not_saved(trace, traced_map, tmp_path):
    path = tmp_path / "kept.map.json"
    path.write_bytes(b"old")
    few = replace(trace, axes=replace(trace.axes, places_px=trace.axes.places_px[:3]))
    with pytest.raises(FileFaultsError, match="4 to 24 known points"):
        save_map_with_trace(traced_map, path, trace=few)
    with pytest.raises(FileFaultsError, match="scale it down"):
        save_map_with_trace(traced_map, path, trace=trace, picture_png=b"x" * 16_000_000)
    assert path.read_bytes() == b"old"


def test_a_broken_picture_is_told(trace, tmp_path):
    path = tmp_path / "one.trace.json"
    save_draft(trace, path, picture_png=PNG)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('"picture_png_base64": "', '"picture_png_base64": "?'))
    with pytest.raises(FileFaultsError, match="base 64"):
        load_embedded_picture(path)
    with pytest.raises(FileFaultsError, match="base 64"):
        load_map_with_trace(path)


number = st.floats(-1e4, 1e4).map(lambda v: round(v, 2))
positive = st.floats(1e-3, 1e6)
point = st.tuples(number, number)


@st.composite
def any_trace(draw):
    said = {
        "places_px": draw(st.lists(point, max_size=6).map(tuple)),
        "values": draw(st.lists(point, max_size=6).map(tuple)),
        "flow_kind": draw(st.none() | st.sampled_from(FLOW_KINDS)),
        "flow_unit": draw(st.none() | st.text(max_size=8)),
        "pressure_basis": draw(st.none() | st.sampled_from(PRESSURE_BASES)),
        "check_px": draw(st.none() | point),
        "check_value": draw(st.none() | point),
    }
    for name in ("density", "reference_temperature", "reference_pressure"):
        said[name] = draw(st.none() | positive)
    trace = Trace(
        draw(st.none() | st.builds(PictureRef, st.text(max_size=9), st.text(max_size=9))),
        Axes(**said),
        title=draw(st.text(max_size=9)),
        provenance_text=draw(st.text(max_size=9)),
        date=draw(st.text(max_size=9)),
        exducer_diameter=draw(st.none() | positive),
        maximum_speed=draw(st.none() | positive),
        built_in_step_up=draw(positive),
        notes=draw(st.text(max_size=9)),
    )
    for _ in range(draw(st.integers(0, 3))):
        kind = draw(st.sampled_from(CURVE_KINDS))
        node = st.builds(Node, number, number, st.booleans())
        nodes = draw(st.lists(node, min_size=1, max_size=5))
        value = draw(st.none() | st.floats(0.01, 0.99)) if kind in LABELLED else None
        closed = kind == "island" and len(nodes) > 2 and draw(st.booleans())
        trace = edits.add_curve(trace, kind, nodes, value, closed)
    return trace


@settings(max_examples=200, deadline=None)
@given(any_trace())
def test_any_trace_comes_back(trace):
    text = to_bytes(draft_document(trace)).decode("utf-8")
    assert trace_from_document(json.loads(text)) == trace


def test_damaged_traces_load_or_are_refused_in_sentences(trace, traced_map, tmp_path):
    rng = random.Random(20261126)
    small = replace(trace, curves=(*trace.curves[:3], *trace.curves[9:12]))
    save_map_with_trace(traced_map, tmp_path / "a.map.json", trace=small, picture_png=PNG)
    save_draft(small, tmp_path / "b.trace.json", picture_png=PNG)
    sources = [(tmp_path / name).read_bytes() for name in ("a.map.json", "b.trace.json")]
    path, again = tmp_path / "damaged.json", tmp_path / "again.json"
    loaded = refused = 0
    for count in range(DAMAGED):
        path.write_bytes(_damage(sources[count % 2], rng))
        told = check_file(path)
        assert all(fault.sentence().isprintable() and fault.where for fault in told)
        try:
            compressor_map, found = load_map_with_trace(path)
        except FileFaultsError:
            refused += 1
            assert told
            continue
        loaded += 1
        if compressor_map is None:
            save_draft(found, again)
            assert load_map_with_trace(again) == (None, found)
        elif found is not None:
            save_map_with_trace(compressor_map, again, trace=found)
            assert load_map_with_trace(again)[1] == found
    assert loaded > DAMAGED // 20  # harmless damage stays harmless
    assert refused > DAMAGED // 4


DAMAGED = 600
