"""Pictures to trace: every kind and mode upright on white, hostile files in one sentence."""

import hashlib
import io
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from PIL import Image

from engine_model.digitise.picture import (
    WORKING_SIDE,
    decode_picture,
    load_picture,
    page_count,
    picture_from_rgb,
    thumbnail_png,
)
from engine_model.digitise.picture_kinds import PictureError
from tests.picture_files import COLOURS, RED_SQUARE, file_of, four_corners, pale, pdf

# Corners as seen (upper left, upper right, lower left, lower right) of a picture stored as
# R G over B W, by where its first row and first column lie: TIFF 6.0, section 8, tag 274
UPRIGHT = {1: "RGBW", 2: "GRWB", 3: "WBGR", 4: "BWRG", 5: "RBGW", 6: "BRWG", 7: "WGBR", 8: "GWRB"}


def striped(width, height):
    """Columns in turn black and white."""
    pixels = np.zeros((height, width), np.uint8)
    pixels[:, 1::2] = 255
    return Image.fromarray(pixels)


# what is read


@pytest.mark.parametrize("orientation", sorted(UPRIGHT))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_pictures_are_turned_upright(kind, orientation):
    image = four_corners()
    tags = Image.Exif()
    tags[274] = orientation
    options = {"quality": 95} if kind in ("JPEG", "WEBP") else {}
    options |= {"tiffinfo": {274: orientation}} if kind == "TIFF" else {"exif": tags}
    picture = decode_picture(file_of(image, kind, **options), f"a.{kind.lower()}")
    size = (120, 80) if orientation <= 4 else (80, 120)
    assert picture.size == picture.original_size == size
    rgb = picture.rgb.astype(int)
    corners = rgb[15, 15], rgb[15, -15], rgb[-15, 15], rgb[-15, -15]
    for corner, name in zip(corners, UPRIGHT[orientation], strict=True):
        assert np.abs(corner - COLOURS[name]).max() < 12


def palette_picture(transparent):
    image = Image.new("P", (40, 30), 1)
    image.putpalette([9, 9, 9, 200, 100, 50])
    return file_of(image, "PNG", **({"transparency": 1} if transparent else {}))


def deep(value, kind="PNG", dtype=np.uint16, other=0):
    array = np.full((30, 40), value, dtype)
    array[:, 20:] = other
    return file_of(Image.fromarray(array), kind)


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (file_of(pale("1", 1), "PNG"), (255, 255, 255)),
        (file_of(pale("1", 0), "TIFF"), (0, 0, 0)),
        (file_of(pale("L", 200), "PNG"), (200, 200, 200)),
        (file_of(pale("L", 200), "JPEG"), (200, 200, 200)),
        (file_of(pale("RGB", (200, 100, 50)), "WEBP", lossless=True), (200, 100, 50)),
        (palette_picture(False), (200, 100, 50)),
        (palette_picture(True), (255, 255, 255)),
        (file_of(pale("LA", (0, 0)), "PNG"), (255, 255, 255)),
        # half of black over white, of 255: 127
        (file_of(pale("LA", (0, 128)), "PNG"), (127, 127, 127)),
        (file_of(pale("RGBA", (255, 0, 0, 128)), "PNG"), (255, 127, 127)),
        (file_of(pale("RGBA", (255, 0, 0, 0)), "WEBP", lossless=True), (255, 255, 255)),
        (file_of(pale("RGBA", (10, 20, 30, 255)), "TIFF"), (10, 20, 30)),
        (file_of(pale("RGB", (7, 8, 9)), "PNG", transparency=(7, 8, 9)), (255, 255, 255)),
        (file_of(pale("L", 7), "PNG", transparency=7), (255, 255, 255)),
        # no cyan left in red, nothing taken from green and blue
        (file_of(pale("CMYK", (255, 0, 0, 0)), "JPEG", quality=95), (0, 255, 255)),
        (file_of(pale("CMYK", (0, 0, 0, 0)), "TIFF"), (255, 255, 255)),
        (file_of(pale("YCbCr", (128, 128, 128)), "JPEG"), (128, 128, 128)),
        (deep(65535), (255, 255, 255)),
        # 257 to the step
        (deep(257 * 100), (100, 100, 100)),
        (deep(257 * 100, "TIFF"), (100, 100, 100)),
        (deep(8.0, "TIFF", np.float32, other=-2.0), (255, 255, 255)),
        (deep(70000, "TIFF", np.int32, other=80000), (0, 0, 0)),
    ],
)
def test_every_mode_becomes_rgb_on_white(data, expected):
    picture = decode_picture(data, "a.png")
    assert picture.rgb.dtype == np.uint8
    assert picture.rgb.shape == (30, 40, 3)
    assert np.abs(picture.rgb[15, 10].astype(int) - expected).max() <= 3


def test_a_picture_knows_its_file_and_cannot_be_changed(tmp_path):
    data = file_of(four_corners(), "PNG")
    (tmp_path / "map.png").write_bytes(data)
    picture = load_picture(tmp_path / "map.png")
    assert picture.sha256 == hashlib.sha256(data).hexdigest()
    assert (picture.source, picture.kind, picture.note) == ("map.png", "PNG", "")
    assert (picture.scale, picture.page, picture.page_count) == (1.0, 0, 1)
    assert page_count(str(tmp_path / "map.png")) == 1
    np.testing.assert_array_equal(picture.rgb, np.asarray(four_corners()))
    with pytest.raises(ValueError, match="read-only"):
        picture.rgb[0, 0, 0] = 1
    with pytest.raises(AttributeError):
        picture.scale = 2.0


def test_the_content_decides_and_a_wrong_name_is_said(tmp_path):
    path = tmp_path / "photo.png"
    path.write_bytes(file_of(four_corners(), "JPEG"))
    picture = load_picture(path)
    assert picture.kind == "JPEG"
    assert picture.note == "photo.png holds a JPEG picture in spite of its name"
    path = tmp_path / "page.JPG"
    path.write_bytes(pdf([(200, 100, b"", RED_SQUARE)]))
    assert load_picture(path).kind == "PDF"
    (tmp_path / "noname").write_bytes(file_of(four_corners(), "PNG"))
    assert load_picture(tmp_path / "noname").note == ""


@pytest.mark.parametrize("mode", ["L", "P", "RGB", "RGBA", "I;16"])
def test_large_pictures_are_scaled_down_by_areas(mode):
    image = striped(4800, 64)
    if mode == "I;16":
        image = Image.fromarray(np.asarray(image).astype(np.uint16) * 257)
    elif mode != "L":
        image = image.convert(mode)
    picture = decode_picture(file_of(image, "PNG", compress_level=1), "a.png")
    assert picture.size == (2400, 32)
    assert picture.original_size == (4800, 64)
    assert picture.scale == 0.5
    # two columns, one black and one white, make one grey: the mean over the area
    assert np.abs(picture.rgb.astype(int) - 127.5).max() <= 1.0


@pytest.mark.parametrize(
    ("kind", "size"), [("PNG", (5003, 3001)), ("TIFF", (2407, 1999)), ("JPEG", (9001, 5003))]
)
def test_places_are_kept_by_the_scaling(kind, size):
    width, height = size
    pixels = np.full((height, width), 255, np.uint8)
    left, right, top, bottom = 800, 2100, 300, 1707
    pixels[top:bottom, left:right] = 0
    options = {"quality": 95} if kind == "JPEG" else {}
    picture = decode_picture(file_of(Image.fromarray(pixels), kind, **options), f"a.{kind}")
    assert max(picture.size) == WORKING_SIDE
    assert picture.original_size == size
    scale = picture.scale
    assert picture.size == (round(width * scale), round(height * scale))
    dark = 1.0 - picture.rgb[:, :, 0] / 255.0
    x = dark[round(1000 * scale), :]
    y = dark[:, round(1500 * scale)]
    # length and middle of the dark run, in pixels of the original
    for run, first, last in ((x, left, right), (y, top, bottom)):
        centre = (run * (np.arange(run.size) + 0.5)).sum() / run.sum()
        assert run.sum() / scale == pytest.approx(last - first, abs=2.0)
        assert centre / scale == pytest.approx(0.5 * (first + last), abs=1.5)


def test_pages_of_a_tiff():
    pages = [pale("RGB", colour) for colour in ((9, 0, 0), (0, 9, 0), (0, 0, 9))]
    data = file_of(pages[0], "TIFF", save_all=True, append_images=pages[1:])
    picture = decode_picture(data, "a.tif", 2)
    assert picture.rgb[5, 5].tolist() == [0, 0, 9]
    assert (picture.page, picture.page_count) == (2, 3)
    with pytest.raises(PictureError, match="page 4 asked for; allowed: 1 to 3"):
        decode_picture(data, "a.tif", 3)
    with pytest.raises(PictureError, match="page 0 asked for; allowed: 1 to 3"):
        decode_picture(data, "a.tif", -1)


# PDF


def test_a_pdf_page_is_drawn_at_200_to_the_inch(tmp_path):
    green = RED_SQUARE.replace(b"1 0 0 rg", b"0 1 0 rg")
    data = pdf([(612, 792, b"", RED_SQUARE), (612, 792, b"/Rotate 90", green)])
    (tmp_path / "leaf.pdf").write_bytes(data)
    assert page_count(tmp_path / "leaf.pdf") == 2
    picture = load_picture(tmp_path / "leaf.pdf")
    # 8.5 by 11 inches
    assert picture.size == picture.original_size == (1700, 2200)
    assert (picture.scale, picture.kind, picture.page_count) == (1.0, "PDF", 2)
    red = (picture.rgb == (255, 0, 0)).all(axis=2)
    assert np.argwhere(red).min(axis=0).tolist() == [2200 - 400, 200]
    assert np.argwhere(red).max(axis=0).tolist() == [2200 - 201, 599]
    assert (picture.rgb[~red] == 255).mean() > 0.999
    turned = load_picture(tmp_path / "leaf.pdf", 1)
    assert turned.size == (2200, 1700)
    # a quarter turn clockwise: the foot of the page is now at the left
    assert turned.rgb[1700 - 1400, 300].tolist() == [0, 255, 0]
    with pytest.raises(PictureError, match="page 3 asked for; allowed: 1 to 2"):
        load_picture(tmp_path / "leaf.pdf", 2)


def test_a_large_pdf_page_is_drawn_no_larger_than_the_working_side():
    picture = decode_picture(pdf([(2448, 1584, b"", RED_SQUARE)]), "a.pdf")
    assert picture.size == (2400, 1553)
    assert picture.original_size == (6800, 4400)
    assert picture.scale == pytest.approx(2400 / 6800)


def test_pdf_pages_from_several_threads():
    data = pdf([(612, 792, b"", RED_SQUARE)])
    with ThreadPoolExecutor(4) as threads:
        pictures = list(threads.map(lambda k: decode_picture(data, f"{k}.pdf"), range(8)))
    assert all(one.rgb[1900, 400].tolist() == [255, 0, 0] for one in pictures)


# pastes and thumbnails


def test_a_paste():
    array = np.zeros((60, 90, 4), np.uint8)
    array[:, :45] = (10, 20, 30, 255)
    picture = picture_from_rgb(array)
    assert (picture.kind, picture.source, picture.size) == ("paste", "pasted picture", (90, 60))
    assert picture.rgb[5, 5].tolist() == [10, 20, 30]
    assert picture.rgb[5, 60].tolist() == [255, 255, 255]
    array[:] = 7
    assert picture.rgb[5, 5].tolist() == [10, 20, 30]
    plain = np.zeros((60, 90, 3), np.uint8)
    other = picture_from_rgb(plain.reshape(90, 60, 3))
    assert picture_from_rgb(plain).sha256 != other.sha256
    assert picture_from_rgb(plain).sha256 == picture_from_rgb(plain.copy()).sha256
    assert picture_from_rgb(np.zeros((30, 4800, 3), np.uint8)).size == (2400, 15)


@pytest.mark.parametrize(
    ("array", "why"),
    [
        (np.zeros((60, 90, 3)), "an array of float64 in the shape (60, 90, 3); allowed: bytes"),
        (np.zeros((60, 90), np.uint8), "in the shape (60, 90); allowed: bytes, height by width"),
        (np.zeros((60, 90, 2), np.uint8), "in the shape (60, 90, 2)"),
        (np.zeros((3, 90, 3), np.uint8), "90 by 3 px; allowed: at least 16 px on each side"),
        (np.zeros((0, 0, 3), np.uint8), "0 by 0 px; allowed: at least 16 px"),
    ],
)
def test_a_paste_that_is_no_picture(array, why):
    with pytest.raises(PictureError) as caught:
        picture_from_rgb(array)
    assert why in str(caught.value)


def test_a_thumbnail_is_a_small_png():
    picture = decode_picture(file_of(four_corners(1200, 800), "PNG"), "a.png")
    image = Image.open(io.BytesIO(thumbnail_png(picture, 300)))
    assert (image.format, image.size, image.mode) == ("PNG", (300, 200), "RGB")
    assert image.getpixel((2, 2)) == COLOURS["R"]
    assert image.getpixel((297, 197)) == COLOURS["W"]
    whole = Image.open(io.BytesIO(thumbnail_png(picture, 5000)))
    np.testing.assert_array_equal(np.asarray(whole), picture.rgb)
    with pytest.raises(PictureError, match="long side of 0 px; allowed: above 0"):
        thumbnail_png(picture, 0)
