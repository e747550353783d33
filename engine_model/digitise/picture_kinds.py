"""Reading a file, what it is by its first bytes, and whether a picture's size can be taken."""

from __future__ import annotations

import os
import stat
import struct

MOST_BYTES = 100_000_000
"""Largest file read [byte]."""

MOST_PIXELS = 120_000_000
"""Largest picture read [px]."""

LEAST_SIDE = 16
"""Least width and height [px]."""

ALLOWED = "a PNG, JPEG, WebP or TIFF picture, or a PDF"


class PictureError(ValueError):
    """A picture that cannot be taken, in one sentence.

    Parameters
    ----------
    name : str
        Name of the file.
    words : str
        What is wrong with it, and what is allowed or helps.
    """

    def __init__(self, name: str, words: str) -> None:
        super().__init__(name, words)
        self.name = name
        self.words = words

    def __str__(self) -> str:
        """Return the sentence."""
        return f"{self.name}: {self.words}"


def too_long(count: int) -> str:
    """Words for a file of too many bytes."""
    return f"the file has {count / 1e6:.0f} MB; allowed: at most {MOST_BYTES / 1e6:.0f} MB"


def bytes_of(path: str | os.PathLike[str]) -> bytes:
    """Content of a file with a picture.

    Parameters
    ----------
    path : str or path-like
        The file.

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    PictureError
        When it is no file, too long or cannot be read.
    """
    name = os.path.basename(os.fspath(path)) or os.fspath(path)
    try:
        found = os.stat(path)
        if not stat.S_ISREG(found.st_mode):
            what = "a folder" if stat.S_ISDIR(found.st_mode) else "no ordinary file"
            raise PictureError(name, f"this is {what}; allowed: a file with a picture")
        if found.st_size > MOST_BYTES:
            raise PictureError(name, too_long(found.st_size))
        with open(path, "rb") as file:
            # one more than allowed tells of a file that has grown since
            return file.read(MOST_BYTES + 1)
    except OSError as error:
        raise PictureError(name, f"not read, {(error.strerror or str(error)).lower()}") from error


# first bytes of what is read: PNG 3rd ed. 5.2; ISO/IEC 10918-1 B.1.1.3; RFC 9649 2.4;
# TIFF 6.0 section 2, and its form for large files
_READ = (
    (b"\x89PNG\r\n\x1a\n", "PNG"),
    (b"\xff\xd8\xff", "JPEG"),
    (b"II*\x00", "TIFF"),
    (b"MM\x00*", "TIFF"),
    (b"II+\x00", "TIFF"),
    (b"MM\x00+", "TIFF"),
)

# common practice, no source
_KNOWN = (
    (b"GIF8", "GIF pictures are not read: save as PNG"),
    (b"BM", "BMP pictures are not read: save as PNG"),
    (b"PK\x03\x04", "this is a packed document or archive, not a picture: export it as PDF or PNG"),
    (b"\x1f\x8b", "this is a packed file, not a picture: unpack it first"),
)

_PHONE = (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftypavif")
PDF_WITHIN = 1024
"""How far from the start the mark of a PDF may stand [byte]; common practice, no source."""


def kind_of(data: bytes, name: str) -> str:
    """Kind of a file by its content.

    Parameters
    ----------
    data : bytes
        The content.
    name : str
        Its name, for sentences.

    Returns
    -------
    str
        ``PNG``, ``JPEG``, ``WebP``, ``TIFF`` or ``PDF``.

    Raises
    ------
    PictureError
        When it is none of these; says what it is, where that is known.
    """
    if not data:
        raise PictureError(name, f"the file is empty; allowed: {ALLOWED}")
    for start, kind in _READ:
        if data.startswith(start):
            return kind
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        _check_webp(data, name)
        return "WebP"
    if b"%PDF-" in data[:PDF_WITHIN]:
        return "PDF"
    for start, words in _KNOWN:
        if data.startswith(start):
            raise PictureError(name, words)
    if data[4:12] in _PHONE:
        raise PictureError(name, "HEIC and AVIF pictures are not read: save as JPEG or PNG")
    words = _text_words(data[:4096]) or f"this is no picture known here; allowed: {ALLOWED}"
    raise PictureError(name, words)


def _text_words(start: bytes) -> str:
    """Words for a file of text; empty for other bytes."""
    try:
        text = start.decode("utf-8", "strict" if len(start) < 4096 else "ignore")
    except UnicodeDecodeError:
        return ""
    if "<svg" in text:
        return "SVG drawings are not read: save as PNG"
    if "\x00" in text:
        return ""
    return f"this is text, not a picture; allowed: {ALLOWED}"


def check_size(width: int, height: int, name: str) -> None:
    """Raise PictureError where a picture is too large or too small to be taken [px]."""
    if width * height > MOST_PIXELS:
        count, most = width * height / 1e6, MOST_PIXELS / 1e6
        size = f"the picture has {width} by {height} px, {count:.0f} megapixels"
        raise PictureError(name, f"{size}; allowed: at most {most:.0f} megapixels")
    if min(width, height) < LEAST_SIDE:
        size = f"the picture has {width} by {height} px"
        raise PictureError(name, f"{size}; allowed: at least {LEAST_SIDE} px on each side")


def _check_webp(data: bytes, name: str) -> None:
    """Judge the size in the header: the decoder takes room for it as soon as it is opened.

    The three forms of RFC 9649, sections 2.5 to 2.7.
    """
    chunk = data[12:16]
    if chunk == b"VP8X" and len(data) >= 30:
        if data[20] & 0x02:
            raise PictureError(name, "moving WebP pictures are not read: save one as PNG")
        width = 1 + int.from_bytes(data[24:27], "little")
        height = 1 + int.from_bytes(data[27:30], "little")
    elif chunk == b"VP8L" and len(data) >= 25:
        bits = int.from_bytes(data[21:25], "little")
        width, height = 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    elif chunk == b"VP8 " and len(data) >= 30:
        width, height = (side & 0x3FFF for side in struct.unpack("<2H", data[26:30]))
    else:
        raise PictureError(name, DAMAGED.format(kind="WebP"))
    check_size(width, height, name)


DAMAGED = "the {kind} file is damaged, cut short or of a rare sort; save it again as PNG"
"""Sentence for what cannot be decoded."""
