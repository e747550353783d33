"""Files for the tests of pictures: small PDFs and PNGs written by hand, hostile ones among them."""

import io
import struct
import zlib

from PIL import Image

PNG_START = b"\x89PNG\r\n\x1a\n"


def png_chunk(name, data):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width, height, colour_type=2, rows=b"", extra=()):
    """A PNG of 8 bits with any size in its header and any rows behind it."""
    header = struct.pack(">2I5B", width, height, 8, colour_type, 0, 0, 0)
    chunks = [png_chunk(b"IHDR", header), *extra, png_chunk(b"IDAT", rows), png_chunk(b"IEND", b"")]
    return PNG_START + b"".join(chunks)


def plain_png(width, height, pixel, colour_type=6):
    """A PNG of one colour, whole but never held unpacked."""
    packer = zlib.compressobj(1)
    row = b"\x00" + pixel * width
    rows = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    return png(width, height, colour_type, rows)


def packed_zeros(count):
    packer = zlib.compressobj(9)
    block = bytes(1 << 20)
    return b"".join(packer.compress(block) for _ in range(count >> 20)) + packer.flush()


def pdf(pages, extra=(), trailer=b"", resources=b"<< >>"):
    """A PDF of pages given as (width, height, further entries, drawing)."""
    first = 3
    kids = b" ".join(b"%d 0 R" % (first + 2 * k) for k in range(len(pages)))
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [%s] /Count %d >>" % (kids, len(pages)),
    ]
    for k, (width, height, entries, drawing) in enumerate(pages):
        objects.append(
            b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %d %d] /Resources %s %s "
            b"/Contents %d 0 R >>" % (width, height, resources, entries, first + 2 * k + 1)
        )
        objects.append(b"<< /Length %d >>\nstream\n%s\nendstream" % (len(drawing), drawing))
    objects += extra
    out, places = bytearray(b"%PDF-1.4\n"), []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer\n<< /Size %d /Root 1 0 R %s >>\n" % (len(objects) + 1, trailer)
    return bytes(out + b"startxref\n%d\n%%%%EOF\n" % start)


RED_SQUARE = b"1 0 0 rg 72 72 144 72 re f"
"""Two inches wide, one high, an inch from the left and from the foot of the page."""


def locked_pdf():
    """A PDF whose password nobody knows (ISO 32000-1, 7.6.3: revision 2, keys of no word)."""
    number = 5
    body = b"<< /Filter /Standard /V 1 /R 2 /P -4 /O <%s> /U <%s> >>" % (b"11" * 32, b"22" * 32)
    trailer = b"/Encrypt %d 0 R /ID [<00112233> <00112233>]" % number
    return pdf([(612, 792, b"", RED_SQUARE)], (body,), trailer)


def pdf_with_huge_picture():
    """A page of a few bytes whose picture would be unpacked to 900 million."""
    rows = packed_zeros(1 << 20)
    picture = (
        b"<< /Type /XObject /Subtype /Image /Width 30000 /Height 30000 /ColorSpace /DeviceGray "
        b"/BitsPerComponent 8 /Filter /FlateDecode /Length %d >>\nstream\n%s\nendstream"
        % (len(rows), rows)
    )
    return pdf(
        [(612, 792, b"", b"q 612 0 0 792 0 0 cm /P Do Q")],
        (picture,),
        resources=b"<< /XObject << /P 5 0 R >> >>",
    )


COLOURS = {"R": (255, 0, 0), "G": (0, 255, 0), "B": (0, 0, 255), "W": (255, 255, 255)}
GREY = (128, 128, 128)


def file_of(image, kind, **options):
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def four_corners(width=120, height=80):
    image = Image.new("RGB", (width, height), GREY)
    for name, place in zip(
        "RGBW", ((0, 0), (width - 40, 0), (0, height - 40), (width - 40, height - 40)), strict=True
    ):
        image.paste(COLOURS[name], (*place, place[0] + 40, place[1] + 40))
    return image


def pale(mode, value):
    """A picture of one value in a mode."""
    return Image.new(mode, (40, 30), value)
