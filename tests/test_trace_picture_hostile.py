"""Hostile pictures: each refused in one sentence, with memory bounded."""

import contextlib
import io
import os
import re
import struct
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from engine_model.digitise.picture import MOST_BYTES, decode_picture, load_picture, page_count
from engine_model.digitise.picture_kinds import MOST_PIXELS, PictureError
from tests.picture_files import (
    RED_SQUARE,
    file_of,
    four_corners,
    locked_pdf,
    packed_zeros,
    pale,
    pdf,
    pdf_with_huge_picture,
    plain_png,
    png,
    png_chunk,
)


def huge_jpeg():
    """A JPEG whose frame header (ISO/IEC 10918-1, B.2.2) says 30 000 by 30 000."""
    data = bytearray(file_of(four_corners(), "JPEG"))
    frame = data.index(b"\xff\xc0")
    data[frame + 5 : frame + 9] = struct.pack(">2H", 30000, 30000)
    return bytes(data)


def huge_tiff():
    """A TIFF whose width and length (tags 256, 257) are 30 000."""
    data = file_of(four_corners(), "TIFF")
    for tag in (256, 257):
        # tag, short or long, one value, the value
        entry = struct.pack("<H", tag) + rb"[\x03\x04]\x00\x01\x00\x00\x00...."
        huge = struct.pack("<HHII", tag, 4, 1, 30000)
        data, count = re.subn(entry, huge, data, count=1, flags=re.DOTALL)
        assert count == 1
    return data


def huge_webp(form):
    body = {
        b"VP8X": bytes(4) + (16382).to_bytes(3, "little") * 2,
        b"VP8L": b"\x2f" + struct.pack("<I", 16382 | 16382 << 14),
        b"VP8 ": b"\x30\x01\x00\x9d\x01\x2a" + struct.pack("<2H", 16383, 16383),
    }[form] + bytes(64)
    chunk = form + struct.pack("<I", len(body)) + body
    return b"RIFF" + struct.pack("<I", 4 + len(chunk)) + b"WEBP" + chunk


def moving(kind):
    frames = [pale("RGB", (k, 0, 0)) for k in (10, 90, 200)]
    return file_of(frames[0], kind, save_all=True, append_images=frames[1:])


def cut(kind, share=0.5):
    noise = np.random.default_rng(1).integers(0, 255, (200, 300, 3), np.uint8)
    data = file_of(Image.fromarray(noise), kind)
    return data[: int(share * len(data))]


def text_bomb():
    """A PNG with a text that unpacks to 268 MB."""
    packed = packed_zeros(1 << 28)
    extra = [png_chunk(b"zTXt", b"Comment\x00\x00" + packed)]
    return png(40, 30, extra=extra, rows=b"")


DAMAGED = "is damaged, cut short or of a rare sort; save it again as PNG"
ALLOWED = "allowed: a PNG, JPEG, WebP or TIFF picture, or a PDF"
TOO_LARGE = "the picture has 900 megapixels; allowed: at most 120 megapixels"

HOSTILE = {
    "cut.png": (lambda: cut("PNG"), DAMAGED),
    "cut.jpg": (lambda: cut("JPEG"), DAMAGED),
    "cut.webp": (lambda: cut("WEBP"), DAMAGED),
    "cut.tif": (lambda: cut("TIFF"), DAMAGED),
    "start.png": (lambda: cut("PNG", 0.0001) + b"\x89PNG\r\n\x1a\n", DAMAGED),
    "start.jpg": (lambda: b"\xff\xd8\xff", DAMAGED),
    "start.webp": (lambda: b"RIFF\x08\x00\x00\x00WEBPVP8X", DAMAGED),
    "start.tif": (lambda: b"II*\x00", DAMAGED),
    "flipped.png": (lambda: cut("PNG", 1.0)[:60] + b"\x00" * 5000, DAMAGED),
    "huge.png": (lambda: png(30000, 30000), TOO_LARGE),
    "huge.jpg": (huge_jpeg, TOO_LARGE),
    "huge.tif": (huge_tiff, TOO_LARGE),
    "hugex.webp": (lambda: huge_webp(b"VP8X"), "16383 by 16383 px, 268 megapixels; allowed: at"),
    "hugel.webp": (lambda: huge_webp(b"VP8L"), "16383 by 16383 px, 268 megapixels; allowed: at"),
    "huge8.webp": (lambda: huge_webp(b"VP8 "), "16383 by 16383 px, 268 megapixels; allowed: at"),
    "thin.png": (lambda: png(2_000_000_000, 1), "megapixels; allowed: at most 120 megapixels"),
    "none.png": (lambda: png(0, 0), DAMAGED),
    "tiny.png": (lambda: file_of(pale("RGB", 0).resize((15, 90)), "PNG"), "15 by 90 px; allowed:"),
    "text.png": (text_bomb, DAMAGED),
    "moving.gif": (lambda: moving("GIF"), "GIF pictures are not read: save as PNG"),
    "moving.png": (lambda: moving("GIF"), "GIF pictures are not read: save as PNG"),
    "moving.webp": (lambda: moving("WEBP"), "moving WebP pictures are not read: save one as PNG"),
    "a.bmp": (lambda: file_of(four_corners(), "BMP"), "BMP pictures are not read: save as PNG"),
    "a.svg": (lambda: b'<?xml version="1.0"?>\n<svg xmlns="x"/>', "SVG drawings are not read: sav"),
    "a.txt": (lambda: "a map, in words: 25 °C".encode(), f"this is text, not a picture; {ALLOWED}"),
    "long.csv": (lambda: b"flow,ratio\n" * 9999, f"this is text, not a picture; {ALLOWED}"),
    "a.docx": (lambda: b"PK\x03\x04" + bytes(50), "packed document or archive, not a picture"),
    "a.heic": (lambda: b"\x00\x00\x00\x18ftypheic" + bytes(50), "save as JPEG or PNG"),
    "empty.png": (lambda: b"", f"the file is empty; {ALLOWED}"),
    "noise.jpg": (lambda: b"\x00\xfe" * 999, f"this is no picture known here; {ALLOWED}"),
    "none.pdf": (lambda: pdf([]), "no pages; allowed: at least one"),
    "locked.pdf": (locked_pdf, "the PDF is locked by a password: save it without one"),
    "noise.pdf": (lambda: b"%PDF-1.7\n" + bytes(range(256)) * 20, DAMAGED),
    "cut.pdf": (lambda: b"%PDF-1.7\n", DAMAGED),
    "huge.pdf": (pdf_with_huge_picture, "a picture of 30000 by 30000 px; allowed: at most 120"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_in_one_sentence(name, tmp_path):
    make, words = HOSTILE[name]
    (tmp_path / name).write_bytes(make())
    with pytest.raises(PictureError) as caught:
        load_picture(tmp_path / name)
    told = str(caught.value)
    assert told.startswith(f"{name}: ")
    assert words in told
    assert "\n" not in told
    assert len(told) < 160
    assert "Error" not in told


def read_or_refused(data):
    """What became of a file; anything raised but the one sentence fails the test."""
    try:
        picture = decode_picture(data, "a")
    except PictureError as error:
        return "refused" if str(error).startswith("a: ") else str(error)
    return "read" if picture.rgb.shape[2] == 3 else picture.rgb.shape


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP", "TIFF", "PDF"])
def test_a_file_with_changed_bytes_is_read_or_refused(kind):
    rng = np.random.default_rng(7)
    small = four_corners().resize((24, 18))
    whole = pdf([(200, 100, b"", RED_SQUARE)]) if kind == "PDF" else file_of(small, kind)
    outcomes = set()
    for _ in range(300):
        data = bytearray(whole)
        for place in rng.integers(4, len(data), rng.integers(1, 12)):
            data[place] = rng.integers(0, 256)
        outcomes.add(read_or_refused(bytes(data)))
    assert outcomes == {"read", "refused"}


def test_pages_of_a_hostile_file_are_told_too(tmp_path):
    for name in ("none.pdf", "locked.pdf", "start.tif", "moving.gif", "empty.png"):
        (tmp_path / name).write_bytes(HOSTILE[name][0]())
        with pytest.raises(PictureError) as caught:
            page_count(tmp_path / name)
        assert HOSTILE[name][1] in str(caught.value)


def test_what_is_no_ordinary_file(tmp_path):
    (tmp_path / "folder.png").mkdir()
    os.mkfifo(tmp_path / "pipe.png")
    with (tmp_path / "long.png").open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    with (tmp_path / "longer.png").open("wb") as file:
        file.truncate(50 * MOST_BYTES)
    told = {}
    for name in ("folder.png", "pipe.png", "long.png", "longer.png", "missing.png"):
        with pytest.raises(PictureError) as caught:
            load_picture(tmp_path / name)
        told[name] = str(caught.value)
    assert told == {
        "folder.png": "folder.png: this is a folder; allowed: a file with a picture",
        "pipe.png": "pipe.png: this is no ordinary file; allowed: a file with a picture",
        "long.png": "long.png: the file has 100 MB; allowed: at most 100 MB",
        "longer.png": "longer.png: the file has 5000 MB; allowed: at most 100 MB",
        "missing.png": "missing.png: not read, no such file or directory",
    }
    with pytest.raises(PictureError, match="the file has 100 MB"):
        decode_picture(bytes(MOST_BYTES + 1), "a.png")


def test_other_users_of_pillow_keep_its_limits():
    before = Image.MAX_IMAGE_PIXELS
    for data in (png(30000, 30000), file_of(four_corners(), "PNG")):
        with contextlib.suppress(PictureError):
            decode_picture(data, "a.png")
        assert before == Image.MAX_IMAGE_PIXELS
    with pytest.raises(Image.DecompressionBombError):
        Image.open(io.BytesIO(png(30000, 30000)))


CHILD = """
import re, resource, sys
def most():
    # of this program alone, so far [byte]; getrusage would count the parent's too
    status = open("/proc/self/status").read()
    return 1024 * int(re.search(r"VmHWM:\\s+([0-9]+) kB", status)[1])
resource.setrlimit(resource.RLIMIT_AS, (6 << 30, 6 << 30))
import numpy
from engine_model.digitise.picture import load_picture
for module in ("PIL", "pypdfium2", "skimage"):
    assert module not in sys.modules, module
from engine_model.digitise.picture_kinds import PictureError
import PIL.Image, pypdfium2
before = most()
for name in sys.argv[1:]:
    try:
        print(load_picture(name).size)
    except PictureError as error:
        print(error)
print(most() - before)
"""


def run_child(paths):
    if not Path("/proc/self/status").exists():
        pytest.skip("no /proc here to read the memory from")
    done = subprocess.run(
        [sys.executable, "-c", CHILD, *map(str, paths)],
        cwd=Path(__file__).parents[1],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    *lines, grown = done.stdout.splitlines()
    return lines, int(grown)


def test_refusals_take_little_memory(tmp_path):
    paths = []
    for name, (make, _) in HOSTILE.items():
        paths.append(tmp_path / name)
        paths[-1].write_bytes(make())
    lines, grown = run_child(paths)
    for line, name in zip(lines, HOSTILE, strict=True):
        assert HOSTILE[name][1] in line
    assert grown < 100e6


@pytest.mark.parametrize(
    ("colour_type", "pixel", "held"),
    [(6, b"\x64\x32\x19\xff", 4), (2, b"\x64\x32\x19", 4), (0, b"\x64", 1)],
)
def test_the_largest_picture_takes_bounded_memory(tmp_path, colour_type, pixel, held):
    """Its own decoded pixels, as Pillow holds them, and 120 MB beside."""
    path = tmp_path / "large.png"
    path.write_bytes(plain_png(12000, 9900, pixel, colour_type))
    lines, grown = run_child([path])
    assert lines == ["(2400, 1980)"]
    assert MOST_PIXELS > 12000 * 9900
    assert grown < 12000 * 9900 * held + 120e6


def test_a_large_jpeg_is_never_held_whole(tmp_path):
    path = tmp_path / "large.jpg"
    Image.new("L", (12000, 9900), 90).save(path, quality=80)
    lines, grown = run_child([path])
    assert lines == ["(2400, 1980)"]
    assert grown < 120e6
