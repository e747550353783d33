"""Saving cannot tear a file: full disk, folders that cannot be written, a killed program."""

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from engine_model.files.atomic import SaveError, write_atomically
from engine_model.files.map_file import load_map, save_map

ROOT = Path(__file__).resolve().parents[1]
OLD = b"the old file\n" * 500


@pytest.fixture
def small_disk(tmp_path):
    """Folder on a real disk of 64 kB."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = shutil.which("mount")
    if mount is None:
        pytest.skip("no mount command here")
    command = [mount, "-t", "tmpfs", "-o", "size=64k", "none", str(folder)]
    made = subprocess.run(command, capture_output=True, text=True, check=False)
    if made.returncode:
        pytest.skip(f"a small disk cannot be mounted here: {made.stderr.strip()}")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_full_disk_keeps_the_old_file(small_disk):
    path = small_disk / "a.map.json"
    write_atomically(path, OLD)
    with pytest.raises(SaveError) as caught:
        write_atomically(path, b"x" * 200_000)
    words = f"{path}: not saved, no space left on device in {small_disk}; the old file is kept"
    assert str(caught.value) == words
    assert path.read_bytes() == OLD
    assert os.listdir(small_disk) == [path.name]
    write_atomically(path, OLD[:100])  # the room came back
    assert path.read_bytes() == OLD[:100]


def test_read_only_disk_keeps_the_old_file(small_disk):
    path = small_disk / "a.map.json"
    write_atomically(path, OLD)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    with pytest.raises(SaveError) as caught:
        write_atomically(path, b"new")
    words = f"{path}: not saved, read-only file system in {small_disk}; the old file is kept"
    assert str(caught.value) == words
    assert path.read_bytes() == OLD


def test_where_no_file_can_be(tmp_path):
    (tmp_path / "file").write_bytes(OLD)
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "inside").write_bytes(OLD)
    told = {
        tmp_path / "none" / "a.json": f"there is no folder {tmp_path / 'none'}",
        tmp_path / "file" / "a.json": f"{tmp_path / 'file'} is no folder",
        tmp_path / "folder": "the name belongs to a folder",
    }
    for path, reason in told.items():
        with pytest.raises(SaveError) as caught:
            write_atomically(path, b"new")
        assert str(caught.value) == f"{path}: not saved, {reason}; the old file is kept"
    assert sorted(os.listdir(tmp_path)) == ["file", "folder"]
    assert (tmp_path / "folder" / "inside").read_bytes() == OLD


def test_link_and_permissions_are_kept(tmp_path):
    real = tmp_path / "real.json"
    real.write_bytes(OLD)
    real.chmod(0o640)
    link = tmp_path / "link.json"
    link.symlink_to(real)
    write_atomically(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert real.stat().st_mode & 0o777 == 0o640
    assert sorted(os.listdir(tmp_path)) == ["link.json", "real.json"]


def test_saved_map_is_a_plain_file_anyone_may_read(tmp_path):
    path = tmp_path / "a.map.json"
    save_map(load_map(ROOT / "sample_maps" / "turbo-52.map.json"), path)
    mask = os.umask(0)
    os.umask(mask)
    assert path.stat().st_mode & 0o777 == 0o666 & ~mask


ATOMIC = "from engine_model.files.atomic import write_atomically as save"
NAIVE = """
import time
def save(path, data):
    with open(path, "wb") as file:
        file.write(data[: len(data) // 2])
        file.flush()
        time.sleep(0.002)
        file.write(data[len(data) // 2 :])
"""
LOOP = """
import sys
path, size = sys.argv[1], int(sys.argv[2])
print("ready", flush=True)
while True:
    for letter in b"AB":
        save(path, bytes([letter]) * size)
"""
SIZE = 1_000_000


def _torn(writer, folder, rounds):
    """How often a program killed while it saves leaves something else than one whole file."""
    path = folder / "victim.json"
    path.write_bytes(b"A" * SIZE)
    whole = {b"A" * SIZE, b"B" * SIZE}
    torn = 0
    for number in range(rounds):
        command = [sys.executable, "-c", writer + LOOP, str(path), str(SIZE)]
        with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE) as process:
            assert process.stdout.readline() == b"ready\n"
            time.sleep(0.01 + 0.0037 * number)
            process.send_signal(signal.SIGKILL)
        torn += path.read_bytes() not in whole
    return torn


def test_killed_program_leaves_a_whole_file(tmp_path):
    assert _torn(ATOMIC, tmp_path, 12) == 0


def test_the_kill_would_tear_a_plain_write(tmp_path):
    """The check above can fail: writing in place is torn by the same kills."""
    assert _torn(NAIVE, tmp_path, 12) > 0
