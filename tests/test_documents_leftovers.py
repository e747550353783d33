"""Journals of programs that were killed: found, told about, read, never a crash."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from app.gui.document import Document
from app.gui.journal import Journal
from app.gui.leftovers import find_leftovers
from app.gui.process import start_of
from engine_model.errors import FileFaultsError
from engine_model.files.build_file import load_build

SAMPLE = Path(__file__).parent.parent / "sample_maps" / "road-six.build.json"
PULLEY = "drive.blower_pulley_diameter"
GONE = 2**22 + 5
"""A process id above every one that Linux gives."""


@pytest.fixture
def document(qapp):
    return Document(load_build(SAMPLE))


def as_of_a_dead_program(journal_file, process_id=GONE, start="1t1"):
    """Give a journal the name of a program that does not run."""
    other = journal_file.with_name(f"{process_id}-{start}.journal.json")
    return journal_file.rename(other)


def test_leftover_brings_back_build_day_path_and_the_unsaved_mark(document, tmp_path):
    document.save(tmp_path / "a.build.json")
    journal = Journal(document, tmp_path / "journal")
    document.edit(PULLEY, 0.06)
    document.show_day("hot")
    assert journal.write_now()
    assert find_leftovers(tmp_path / "journal").leftovers == ()  # this program runs
    as_of_a_dead_program(journal.path)
    (leftover,) = find_leftovers(tmp_path / "journal").leftovers
    assert (leftover.title, leftover.path) == (document.build.title, tmp_path / "a.build.json")
    other = Document(load_build(SAMPLE))
    other.recover(leftover.build(), leftover.path, leftover.day, leftover.digest)
    assert other.build == document.build
    assert other.day.name == "hot"
    assert not other.is_saved
    assert not other.is_foreign(leftover.path)
    other.save()
    assert load_build(leftover.path) == document.build
    assert other.is_saved
    other.recover(document.build, leftover.path, "hot", leftover.digest)
    other.open(leftover.path)  # the mark does not stay with another build
    assert other.is_saved


def test_a_used_again_process_id_is_another_program(document, tmp_path):
    journal = Journal(document, tmp_path)
    document.edit(PULLEY, 0.06)
    assert journal.write_now()
    running = os.getppid()
    as_of_a_dead_program(journal.path, running, start_of(running))
    assert find_leftovers(tmp_path).leftovers == ()
    os.rename(
        tmp_path / f"{running}-{start_of(running)}.journal.json",
        tmp_path / f"{running}-0t0.journal.json",
    )
    assert len(find_leftovers(tmp_path).leftovers) == 1


def _torn(text):
    return text[: len(text) // 2]


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (lambda b: b"", "file: nothing given; allowed: JSON"),
        (lambda b: b"\xff" + b[1:], "byte 1: a byte that is not UTF-8 given; allowed: UTF-8 text"),
        (
            lambda b: b.decode().encode("utf-16"),
            "start of the file: UTF-16 text given; allowed: UTF-8 without a byte order mark",
        ),
        (lambda b: b"[1]", "format: another given; allowed: pulleywright-journal"),
        (lambda b: b.replace(b'"version": 1', b'"version": 9', 1), "version: 9 given; allowed: 1"),
        (lambda b: b.replace(b'"build"', b'"bulid"'), "build: none given; allowed: a build"),
        (lambda b: b.replace(b'"written": ', b'"written": -'), None),
        (_torn, None),
    ],
)
def test_broken_journals_are_told_and_kept_aside(document, tmp_path, spoil, sentence):
    journal = Journal(document, tmp_path)
    document.edit(PULLEY, 0.06)
    assert journal.write_now()
    file = as_of_a_dead_program(journal.path)
    spoilt = spoil(file.read_bytes())
    file.write_bytes(spoilt)
    found = find_leftovers(tmp_path)
    kept = file.with_name(file.name + ".broken")
    if spoil is not _torn and sentence is None:  # a strange time alone loses nothing
        assert len(found.leftovers) == 1
        return
    assert found.leftovers == ()
    (told,) = found.broken
    assert told.startswith("An unsaved build could not be read (")
    assert told.endswith(f"); its journal is kept as {kept}.")
    if sentence is not None:
        assert sentence in told
    assert kept.read_bytes() == spoilt
    assert find_leftovers(tmp_path) == find_leftovers(tmp_path / "none")  # told once


def test_every_cut_of_a_journal_is_told_and_never_a_crash(document, tmp_path):
    journal = Journal(document, tmp_path)
    document.edit(PULLEY, 0.06)
    assert journal.write_now()
    whole = as_of_a_dead_program(journal.path).read_bytes()
    (tmp_path / f"{GONE}-1t1.journal.json").unlink()
    for length in range(0, len(whole), 331):
        (tmp_path / f"{GONE}-{length}.journal.json").write_bytes(whole[:length])
    found = find_leftovers(tmp_path)
    assert found.leftovers == ()
    assert len(found.broken) == len(range(0, len(whole), 331)) > 20


def test_a_journal_whose_build_is_wrong_is_refused_with_its_fault(document, tmp_path):
    journal = Journal(document, tmp_path)
    document.edit(PULLEY, 0.06)
    assert journal.write_now()
    file = as_of_a_dead_program(journal.path)
    file.write_bytes(
        file.read_bytes().replace(b'pulley_diameter_m": 0.06', b'pulley_diameter_m": -6')
    )
    (leftover,) = find_leftovers(tmp_path).leftovers
    with pytest.raises(FileFaultsError, match="blower_pulley_diameter_m: -6 given"):
        leftover.build()


def test_unfinished_writings_of_dead_programs_are_swept(tmp_path):
    mine = f"{os.getpid()}-{start_of(os.getpid())}.journal.json.0123456789ab.tmp"
    for name in (f"{GONE}-1t1.journal.json.0123456789ab.tmp", mine, "other.tmp"):
        (tmp_path / name).write_bytes(b"half")
    assert find_leftovers(tmp_path).leftovers == ()
    assert sorted(os.listdir(tmp_path)) == sorted([mine, "other.tmp"])
