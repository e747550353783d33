"""Build sheets made and read back, for their tests."""

from __future__ import annotations

import functools
import re
from dataclasses import replace
from datetime import date

import pypdfium2
import pypdfium2.raw

from app.paths import sample_builds
from app.sheet.paper import PAPERS
from app.sheet.source import judged_source
from app.sheet.writing import pdf_of, sheet_pages
from engine_model.files.build_file import load_build
from engine_model.inputs import Build, Drive

DAY = date(2026, 3, 1)

LONG_TITLE = (
    "The blue estate of the family from the mill, second engine after the fire, with the wide "
    "belt and the small trim, for towing in the hills"
)


@functools.cache
def source(name="road-six", day=""):
    """A sample's source over all its days; the day of the target unless named."""
    build = load_build(sample_builds()[name])
    days = build.known_days()
    return judged_source(
        build, days[day or build.target.day or "mild"], list(days.values()), written_on=DAY
    )


@functools.cache
def unblown():
    """Source of a new build without a blower."""
    build = Build(drive=Drive(kind="none"))
    days = build.known_days()
    return judged_source(build, days["mild"], list(days.values()), written_on=DAY)


def titled(made, title):
    """A source whose build has another title."""
    return replace(made, match=replace(made.match, build=replace(made.build, title=title)))


def pdf(made, paper="a4"):
    """PDF of a source."""
    with sheet_pages(made, PAPERS[paper]) as pages:
        return pdf_of(pages)


def texts(data):
    """Text of every page, white space made one."""
    return [
        re.sub(r"\s+", " ", page.get_textpage().get_text_bounded())
        for page in pypdfium2.PdfDocument(data)
    ]


def sizes(data):
    """Width and height of every page [points of 72 to the inch]."""
    return [page.get_size() for page in pypdfium2.PdfDocument(data)]


def embedded(data):
    """Whether the font of every text lies in the file, text by text."""
    raw, found = pypdfium2.raw, []
    for page in pypdfium2.PdfDocument(data):
        for one in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=6):
            found.append(raw.FPDFFont_GetIsEmbedded(raw.FPDFTextObj_GetFont(one.raw)))
    return found


def pictures(data):
    """Pictures of pixels on the pages: what is drawn as vectors has none."""
    kind = pypdfium2.raw.FPDF_PAGEOBJ_IMAGE
    return [one for page in pypdfium2.PdfDocument(data) for one in page.get_objects(filter=[kind])]
