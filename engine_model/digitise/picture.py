"""Pictures of compressor maps as plain arrays: PNG, JPEG, WebP, TIFF, a page of a PDF, a paste.

The content decides what a file is, not its name. What is too large, damaged or of another kind
is refused in one sentence before its pixels take room: sizes are read from the header.

Pillow and pypdfium2 are loaded by the first picture, not before. PDF pages are drawn one at a
time: pypdfium2 is not thread-safe (see ``pdf_page``).
"""

from __future__ import annotations

import hashlib
import io
import os
import re
import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from engine_model.digitise.pdf_page import draw_pdf_page, pdf_page_count
from engine_model.digitise.picture_kinds import (
    DAMAGED,
    MOST_BYTES,
    MOST_PIXELS,
    PictureError,
    bytes_of,
    check_size,
    kind_of,
    too_long,
)
from engine_model.digitise.picture_scaling import WORKING_SIDE, shrunk, turned

if TYPE_CHECKING:
    from PIL.Image import Image as PillowImage

Rgb = NDArray[np.uint8]

MOST_PAGES = 500
"""Pages counted in a TIFF at most."""

ORIENTATION = 0x0112
"""Tag of the orientation in TIFF and Exif (TIFF 6.0, section 8; Exif 2.3, 4.6.4)."""

_DAMAGE = (OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, EOFError,
           OverflowError, NotImplementedError, struct.error)  # fmt: skip
"""What Pillow raises over damaged files."""


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A picture upright on white, at most ``WORKING_SIDE`` long; make it with the functions here.

    Parameters
    ----------
    rgb : ndarray
        Colours, rows from the top: height by width by 3, read-only. [-] 0-255
    sha256 : str
        Hash of the file's bytes; of a pasted picture's size and colours.
    source : str
        Name of the file, without its folder, or of the paste.
    kind : str
        What it is: ``PNG``, ``JPEG``, ``WebP``, ``TIFF``, ``PDF`` or ``paste``.
    original_size : tuple of int
        Width and height before it was scaled, upright; of a PDF page as it would be drawn
        at ``PDF_DPI``. [px]
    scale : float
        Pixels of ``rgb`` to one of the original. [-] at most 1
    page, page_count : int
        Which page it is, from 0, and how many the file has.
    note : str
        What should be said about the file; mostly empty.
    """

    rgb: Rgb
    sha256: str
    source: str
    kind: str
    original_size: tuple[int, int]
    scale: float
    page: int = 0
    page_count: int = 1
    note: str = ""

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of ``rgb`` [px]."""
        return self.rgb.shape[1], self.rgb.shape[0]


def load_picture(path: str | os.PathLike[str], page: int = 0) -> Picture:
    """Picture in a file.

    Parameters
    ----------
    path : str or path-like
        The file.
    page : int
        Page of a PDF or TIFF, from 0.

    Returns
    -------
    Picture
        Upright, on white, scaled down where it is larger than the working side.

    Raises
    ------
    PictureError
        When the file cannot be read or holds no picture that can be; says why in one sentence.
    """
    return decode_picture(bytes_of(path), os.path.basename(os.fspath(path)), page)


def page_count(path: str | os.PathLike[str]) -> int:
    """How many pages a PDF or TIFF has; one for other pictures.

    Parameters
    ----------
    path : str or path-like
        The file.

    Returns
    -------
    int
        Pages; those of a TIFF are counted up to ``MOST_PAGES``.

    Raises
    ------
    PictureError
        As :func:`load_picture`.
    """
    name, data = os.path.basename(os.fspath(path)), bytes_of(path)
    kind = kind_of(data, name)
    if kind == "PDF":
        return pdf_page_count(data, name)
    if kind == "TIFF":
        with _opened(data, kind, name) as image:
            return _frames(image)
    return 1


def decode_picture(data: bytes, name: str, page: int = 0) -> Picture:
    """Picture in the bytes of a file.

    Parameters
    ----------
    data : bytes
        Content of the file.
    name : str
        Its name, for sentences and the record.
    page : int
        Page of a PDF or TIFF, from 0.

    Returns
    -------
    Picture
        As of :func:`load_picture`.

    Raises
    ------
    PictureError
        As :func:`load_picture`.
    """
    if len(data) > MOST_BYTES:
        raise PictureError(name, too_long(len(data)))
    kind = kind_of(data, name)
    note = _note(kind, name)
    digest = hashlib.sha256(data).hexdigest()
    if kind == "PDF":
        rgb, original, pages = draw_pdf_page(data, name, page, WORKING_SIDE)
        return _picture(rgb, digest, name, kind, original, page, pages, note)
    with _opened(data, kind, name) as image:
        pages = _frames(image) if kind == "TIFF" else 1
        _check_page(page, pages, name)
        if page:
            image.seek(page)
        check_size(*image.size, name)
        width, height = image.size
        if kind == "JPEG":
            image.draft(None, (WORKING_SIDE, WORKING_SIDE))
        image.load()
        if kind == "TIFF":  # Pillow has turned it, and taken the tag away
            width, height = image.size
        turn = image.getexif().get(ORIENTATION, 1)
        rgb = np.asarray(turned(shrunk(image), turn))
    if turn in (5, 6, 7, 8):
        width, height = height, width
    return _picture(rgb, digest, name, kind, (width, height), page, pages, note)


def picture_from_rgb(array: NDArray[Any], name: str = "pasted picture") -> Picture:
    """Picture of colours that are there already, such as a paste.

    Parameters
    ----------
    array : ndarray
        Colours, rows from the top: height by width by 3, or by 4 with opacity, of bytes. [-]
    name : str
        What to call it.

    Returns
    -------
    Picture
        On white, scaled down where it is larger than the working side.

    Raises
    ------
    PictureError
        When the array is none of these, or too small or large.
    """
    from PIL import Image

    if array.dtype != np.uint8 or array.ndim != 3 or array.shape[2] not in (3, 4):
        found = f"an array of {array.dtype} in the shape {array.shape}"
        raise PictureError(name, f"{found}; allowed: bytes, height by width by 3 or 4")
    height, width = array.shape[:2]
    check_size(width, height, name)
    plain = np.ascontiguousarray(array)
    digest = hashlib.sha256(struct.pack("<3q", *array.shape) + plain.tobytes()).hexdigest()
    rgb = np.asarray(shrunk(Image.fromarray(plain)))
    return _picture(rgb, digest, name, "paste", (width, height), 0, 1, "")


def thumbnail_png(picture: Picture, long_side: int) -> bytes:
    """PNG file of a picture scaled down, to be kept in a map file.

    Parameters
    ----------
    picture : Picture
        The picture.
    long_side : int
        Long side at most; a smaller picture stays as it is. [px] above 0

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    PictureError
        When the long side is not above 0.
    """
    from PIL import Image

    if long_side < 1:
        raise PictureError(picture.source, f"long side of {long_side} px; allowed: above 0")
    image = Image.fromarray(np.asarray(picture.rgb))
    share = long_side / max(image.size)
    if share < 1.0:
        size = tuple(max(1, round(side * share)) for side in image.size)
        image = image.resize((size[0], size[1]), Image.Resampling.BOX)
    out = io.BytesIO()
    image.save(out, "PNG", optimize=True)
    return out.getvalue()


# files


_SUFFIXES = {"PNG": (".png",), "JPEG": (".jpg", ".jpeg", ".jfif"), "WebP": (".webp",),
             "TIFF": (".tif", ".tiff"), "PDF": (".pdf",)}  # fmt: skip


def _note(kind: str, name: str) -> str:
    """What to say where the name tells of another kind."""
    suffix = os.path.splitext(name)[1].lower()
    known = any(suffix in some for some in _SUFFIXES.values())
    wrong = known and suffix not in _SUFFIXES[kind]
    return f"{name} holds a {kind} picture in spite of its name" if wrong else ""


def _check_page(page: int, pages: int, name: str) -> None:
    if not 0 <= page < pages:
        raise PictureError(name, f"page {page + 1} asked for; allowed: 1 to {pages}")


def _picture(
    rgb: Rgb, digest: str, name: str, kind: str, original: tuple[int, int],
    page: int, pages: int, note: str,
) -> Picture:  # fmt: skip
    rgb = np.array(rgb, dtype=np.uint8)
    rgb.setflags(write=False)
    scale = min(1.0, max(rgb.shape[:2]) / max(original))
    return Picture(rgb, digest, name, kind, original, scale, page, pages, note)


# pictures by Pillow


@contextmanager
def _opened(data: bytes, kind: str, name: str) -> Iterator[PillowImage]:
    """An image whose header is read; damage found in here becomes one sentence.

    Pillow's own limit of pixels stays as it is for everybody else: its warning is put off here,
    where ours is stricter than its error.
    """
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=(kind.upper(),)) as image:
                yield image
    except PictureError:
        raise
    except Image.DecompressionBombError as error:
        raise PictureError(name, _bomb_words(str(error))) from error
    except MemoryError as error:
        words = "there is not enough memory for this picture; scale it down first"
        raise PictureError(name, words) from error
    except _DAMAGE as error:
        raise PictureError(name, DAMAGED.format(kind=kind)) from error


def _bomb_words(told: str) -> str:
    """Words for a size that Pillow refuses itself; it says how many pixels there are."""
    found = re.search(r"[0-9]{6,}", told)
    count = f"{int(found[0]) / 1e6:.0f}" if found else "too many"
    most = f"{MOST_PIXELS / 1e6:.0f}"
    return f"the picture has {count} megapixels; allowed: at most {most} megapixels"


def _frames(image: PillowImage) -> int:
    """Pages of a TIFF, counted no further than ``MOST_PAGES``."""
    count = 1
    while count < MOST_PAGES:
        try:
            image.seek(count)
        except EOFError:
            break
        count += 1
    image.seek(0)
    return count
