"""Thousands of damaged files: each loads or is refused in sentences, never with a traceback."""

import copy
import json
import random
from pathlib import Path

import pytest

from engine_model.errors import FileFaultsError
from engine_model.files.build_file import load_build, save_build
from engine_model.files.checking import check_file
from engine_model.files.map_file import load_map, save_map
from engine_model.files.structure import UNCLEAR

HERE = Path(__file__).parent
SOURCES = [
    *sorted((HERE.parent / "sample_maps").glob("*.map.json")),
    *sorted((HERE / "golden" / "2026-11").glob("*.json")),
]
ODD = [
    None, True, False, "", "text", "1.5", "\ud800", [], {}, [[]], [None], {"a": 1}, 0, -1, 1e-300,
    -1e300, 1e300, 1e999, -1e999, float("nan"), 10**25, 10**400, 2**63, 5e-324, 0.5, 7,
]  # fmt: skip
FACTORS = [-1, 0, 1e3, 1e-3, 60.0, 132.277, 100.0, 1e30, 0.97, 0.999, 1.0005, 1.002, 1.05]


def _holders(content):
    """Yield every group and list with something in it."""
    waiting = [content]
    while waiting:
        value = waiting.pop()
        if isinstance(value, (dict, list)) and value:
            yield value
            waiting += value.values() if isinstance(value, dict) else value


def _mutate(content, rng):
    holders = list(_holders(content))
    # a list of points has many holders: choose among groups as often as among lists
    kind = rng.choice([dict, list])
    holder = rng.choice([one for one in holders if isinstance(one, kind)] or holders)
    keys = list(holder) if isinstance(holder, dict) else range(len(holder))
    key = rng.choice(list(keys))
    way = rng.choice([0, 1, 2, 2, 2, 3, 4, 5, 6, 7])
    if way == 0:
        del holder[key]
    elif way == 1 and isinstance(holder, dict):
        holder[rng.choice([key + "x", "", "a.b", "\u00e9", key.upper(), "k" * 300])] = 1
    elif way == 2 and isinstance(holder[key], (int, float)):
        holder[key] = holder[key] * rng.choice(FACTORS)
    elif way == 3 and isinstance(holder, list):
        rng.shuffle(holder)
    elif way == 4 and isinstance(holder, list):
        holder.insert(key, copy.deepcopy(holder[key]))
    elif way == 5:
        other = rng.choice(holders)
        holder[key] = copy.deepcopy(rng.choice([*_holders(content), other]))
    elif way == 6 and isinstance(holder, list):
        del holder[rng.randrange(len(holder)) :]
    else:
        holder[key] = rng.choice(ODD)


def _damage(data, rng):
    """Return the bytes after one to three damages."""
    if rng.random() < 0.15:
        return data[: rng.randrange(len(data))]
    if rng.random() < 0.15:
        cut = bytearray(data)
        for _ in range(rng.randint(1, 4)):
            cut[rng.randrange(len(cut))] = rng.randrange(256)
        return bytes(cut)
    content = json.loads(data)
    for _ in range(rng.choice([1, 1, 1, 2, 3])):
        if not content:
            break
        _mutate(content, rng)
    return json.dumps(content).encode()


def _run(count, seed, tmp_path):
    """Load damaged files; how many loaded, how many were refused."""
    rng = random.Random(seed)
    sources = [(path.name, path.read_bytes()) for path in SOURCES]
    loaded = refused = 0
    for number in range(count):
        name, data = rng.choice(sources)
        path, again = tmp_path / name, tmp_path / f"again-{name}"
        path.write_bytes(_damage(data, rng))
        is_map = name.endswith(".map.json")
        load, save = (load_map, save_map) if is_map else (load_build, save_build)
        told = check_file(path)
        if told:
            refused += 1
            with pytest.raises(FileFaultsError) as caught:
                load(path)
            assert caught.value.faults, number
            for fault in (*told, *caught.value.faults):
                sentence = fault.sentence()
                assert sentence.isprintable(), sentence
                assert fault.where, sentence
                assert fault.allowed, sentence
                assert fault.value != UNCLEAR, sentence
                sentence.encode("utf-8")
        else:
            loaded += 1
            record = load(path)
            save(record, again)
            assert load(again) == record
    return loaded, refused


@pytest.mark.long
def test_damaged_files_are_told(tmp_path):
    loaded, refused = _run(1500, 20261125, tmp_path)
    assert loaded > 50  # harmless damage stays harmless
    assert refused > 750


@pytest.mark.long
def test_ten_thousand_damaged_files_are_told(tmp_path):
    loaded, refused = _run(10_000, 95, tmp_path)
    assert loaded > 300
    assert refused > 5000
