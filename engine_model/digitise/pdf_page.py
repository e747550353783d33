"""One page of a PDF drawn as a picture.

pypdfium2 is not thread-safe. A lock keeps the calls from here apart; nobody else may use it
meanwhile.
"""

from __future__ import annotations

import math
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engine_model.digitise.picture_kinds import DAMAGED, MOST_PIXELS, PictureError, check_size

Rgb = NDArray[np.uint8]

PDF_DPI = 200.0
"""Resolution at which a page is drawn, where the longest side allows it [px/in]."""

POINTS = 72.0
"""Points of a page to the inch (ISO 32000-1, 8.3.2.3)."""

NESTED = 8
"""How deep a page is searched for pictures in forms."""

_LOCK = threading.Lock()

NO_PAGES = "the PDF has no pages; allowed: at least one"
_NO_PAGES = re.compile(rb"/Count\s+0\b")


@contextmanager
def _opened(data: bytes, name: str) -> Iterator[Any]:
    """A document; what pypdfium2 raises becomes one sentence."""
    import pypdfium2

    with _LOCK:
        try:
            document = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            raise PictureError(name, _words(str(error), data)) from error
        try:
            yield document
        except pypdfium2.PdfiumError as error:
            raise PictureError(name, DAMAGED.format(kind="PDF")) from error
        finally:
            document.close()


def _words(told: str, data: bytes) -> str:
    """Why a document was not opened, as far as it can be known."""
    # what is told may be the fault of a document before: a locked one says so itself
    if "password" in told.lower() and b"/Encrypt" in data:
        return "the PDF is locked by a password: save it without one"
    if _NO_PAGES.search(data):
        return NO_PAGES
    return DAMAGED.format(kind="PDF")


def pdf_page_count(data: bytes, name: str) -> int:
    """How many pages a PDF has.

    Parameters
    ----------
    data : bytes
        The PDF.
    name : str
        Its name, for sentences.

    Returns
    -------
    int
        Pages, at least one.

    Raises
    ------
    PictureError
        When it cannot be read or has none.
    """
    with _opened(data, name) as document:
        return _count(document, name)


def _count(document: Any, name: str) -> int:
    count = len(document)
    if count < 1:
        raise PictureError(name, NO_PAGES)
    return count


def draw_pdf_page(
    data: bytes, name: str, page: int, longest: int
) -> tuple[Rgb, tuple[int, int], int]:
    """Colours of a page.

    Parameters
    ----------
    data : bytes
        The PDF.
    name : str
        Its name, for sentences.
    page : int
        Which page, from 0.
    longest : int
        Long side at most. [px]

    Returns
    -------
    tuple
        Colours (height by width by 3) [-] 0-255; width and height at ``PDF_DPI`` [px]; pages.

    Raises
    ------
    PictureError
        When the page cannot be drawn.
    """
    import pypdfium2

    with _opened(data, name) as document:
        count = _count(document, name)
        if not 0 <= page < count:
            raise PictureError(name, f"page {page + 1} asked for; allowed: 1 to {count}")
        sheet = document[page]
        wide, tall = sheet.get_size()
        if not (math.isfinite(wide) and math.isfinite(tall) and wide > 0.0 and tall > 0.0):
            raise PictureError(name, DAMAGED.format(kind="PDF"))
        whole = PDF_DPI / POINTS
        original = round(wide * whole), round(tall * whole)
        scale = min(whole, longest / max(wide, tall))
        check_size(round(wide * scale), round(tall * scale), name)
        kinds = (pypdfium2.raw.FPDF_PAGEOBJ_IMAGE,)
        for one in sheet.get_objects(filter=kinds, max_depth=NESTED):
            width, height = one.get_px_size()
            _check_inner(width, height, name)
        bitmap = sheet.render(scale=scale, rev_byteorder=True, may_draw_forms=False)
        rgb = np.array(bitmap.to_numpy()[:, :, :3], dtype=np.uint8)
        bitmap.close()
        sheet.close()
    return rgb, original, count


def _check_inner(width: int, height: int, name: str) -> None:
    """Refuse a page with a picture that would be unpacked to more than is taken."""
    if width * height > MOST_PIXELS:
        words = f"the page holds a picture of {width} by {height} px"
        most = f"{MOST_PIXELS / 1e6:.0f}"
        raise PictureError(name, f"{words}; allowed: at most {most} megapixels")
