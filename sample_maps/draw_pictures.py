"""Draw pictures of compressor maps whose truth is known: prints, and photographs of prints.

A print is drawn from a map's record (what stands in a ``*.map.json``): curves run smoothly through
its points. A photograph is a print seen at an angle, blurred, unevenly lit, noisy. For either the
place of every value on the picture is known exactly. Pixels count from the centre of the top left
one, x to the right and y down.
"""

from __future__ import annotations

import io
import json
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFilter, ImageFont
from scipy.interpolate import CubicSpline, PchipInterpolator

HERE = Path(__file__).resolve().parent
FINE = 1200  # points of a curve as drawn
MARGINS = (150, 90, 130, 130)  # left, top, right, bottom of the frame on a page 1600 wide


@dataclass(frozen=True, slots=True)
class Style:
    """How a print looks; widths and sizes in pixels of a page 1600 wide."""

    paper: tuple = (255, 255, 255)
    frame: tuple = (20, 20, 20)
    grid: tuple | None = (205, 205, 205)
    speed: tuple = (25, 60, 160)
    island: tuple = (200, 90, 20)
    surge: tuple = (190, 20, 40)
    text: tuple = (20, 20, 20)
    frame_width: float = 3.0
    grid_width: float = 1.4
    speed_width: float = 3.0
    island_width: float = 2.2
    surge_width: float = 4.0
    island_dash: float = 0.0  # length of a dash, 0 for an unbroken line
    surge_dash: float = 0.0
    breaking_labels: bool = False  # labels on a patch of paper that breaks their curve
    marks: bool = False  # a dot at every point of a speed line


COLOUR = Style()
GREY = Style(
    paper=(246, 244, 238),
    grid=(178, 177, 172),
    speed=(30, 30, 30),
    island=(70, 70, 70),
    surge=(10, 10, 10),
    speed_width=2.6,
    island_width=1.8,
    surge_width=3.6,
)


@dataclass(frozen=True, slots=True)
class Curve:
    """One curve as drawn: kind (speed, island, surge, choke), value, fine points in values."""

    kind: str
    value: float
    closed: bool
    points: np.ndarray
    marks: np.ndarray


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture and where values lie on it: a homography from values to pixels."""

    image: Image.Image
    curves: tuple
    limits: tuple  # (flow, flow), (pressure ratio, pressure ratio) of the frame
    values_to_pixels: np.ndarray

    def to_pixels(self, values):
        """Place of values (flow, pressure ratio)."""
        return project(self.values_to_pixels, values)

    def corners(self):
        """Values of the frame's corners, from the lower left counter-clockwise."""
        (low, high), (bottom, top) = self.limits
        return np.array([(low, bottom), (high, bottom), (high, top), (low, top)])


def project(matrix, points):
    """Points moved by a homography."""
    points = np.asarray(points, dtype=float)
    moved = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return moved[:, :2] / moved[:, 2:]


def homography(old, new):
    """Matrix of the homography that takes four points to four others."""
    rows = []
    for (x, y), (u, v) in zip(old, new, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
    found = np.linalg.solve(np.array(rows, dtype=float), np.ravel(new))
    return np.append(found, 1.0).reshape(3, 3)


def read_record(name):
    """Record of a sample map by its name, without the ending."""
    return json.loads((HERE / f"{name}.map.json").read_text(encoding="utf-8"))


def _smooth(points, closed, interpolator):
    points = np.asarray(points, dtype=float)[:, :2]
    if closed and not np.array_equal(points[0], points[-1]):
        points = np.vstack([points, points[:1]])
    steps = np.diff(points, axis=0) / np.ptp(points, axis=0)
    length = np.concatenate([[0.0], np.hypot(*steps.T).cumsum()])
    ends = {"bc_type": "periodic" if closed else "natural"}
    curve = interpolator(length, points, **(ends if interpolator is CubicSpline else {}))
    return curve(np.linspace(0.0, length[-1], FINE))


def curves_of(record):
    """Every curve of a map but its choke line, as drawn."""
    curves = [
        Curve(
            "speed",
            line["corrected_speed_rpm"],
            False,
            _smooth(line["points"], False, PchipInterpolator),
            np.array(line["points"])[:, :2],
        )
        for line in record["speed_lines"]
    ]
    curves += [
        Curve(
            "island",
            island["efficiency"],
            island["closed"],
            _smooth(island["points"], island["closed"], CubicSpline),
            np.array(island["points"]),
        )
        for island in record["islands"]
    ]
    surge = np.array(record["surge_line"])
    return (*curves, Curve("surge", 0.0, False, _smooth(surge, False, PchipInterpolator), surge))


def limits_of(record):
    """Round limits of the axes around a map: flow, pressure ratio."""
    points = np.vstack([np.array(line["points"])[:, :2] for line in record["speed_lines"]])
    step = 0.1 if np.max(points[:, 0]) > 0.3 else 0.05
    high = step * np.ceil(np.max(points[:, 0]) / step + 0.3)
    return (0.0, float(high)), (1.0, float(0.2 * np.ceil(np.max(points[:, 1]) / 0.2 + 0.2)))


class Sheet:
    """A page that is drawn larger than it will be, then reduced."""

    def __init__(self, style, size, limits, oversampling):
        self.style, self.size, self.limits, self.over = style, size, limits, oversampling
        self.unit = size[0] / 1600.0
        self.large = Image.new("RGB", tuple(oversampling * side for side in size), style.paper)
        self.pen = ImageDraw.Draw(self.large)
        left, top, right, bottom = (self.unit * margin for margin in MARGINS)
        (low, high), (floor, ceiling) = limits
        box = [(left, size[1] - bottom), (size[0] - right, size[1] - bottom)]
        box += [(size[0] - right, top), (left, top)]
        corners = [(low, floor), (high, floor), (high, ceiling), (low, ceiling)]
        self.matrix = homography(corners, box)

    def place(self, values):
        """Place of values on the large page, pixel centres at whole numbers."""
        return (project(self.matrix, np.atleast_2d(values)) + 0.5) * self.over - 0.5

    def line(self, values, colour, width, dash=0.0):
        """A line through values."""
        points = self.place(values)
        length = np.concatenate([[0.0], np.hypot(*np.diff(points, axis=0).T).cumsum()])
        pieces = [points]
        if dash:
            dash *= self.unit * self.over
            starts = np.arange(0.0, length[-1], 1.6 * dash)
            pieces = [
                np.column_stack(
                    [np.interp(np.linspace(a, a + dash, 12), length, axis) for axis in points.T]
                )
                for a in starts
            ]
        across = max(1, round(width * self.unit * self.over))
        for piece in pieces:
            self.pen.line([tuple(point) for point in piece], colour, across, joint="curve")

    def text(self, at, words, size, anchor="mm", patch=False, shift=(0.0, 0.0)):
        """Words at a value, perhaps on a patch of paper, shifted by pixels of the page."""
        x, y = self.place(at)[0] + np.array(shift) * self.unit * self.over
        font = ImageFont.load_default(size * self.unit * self.over)
        if patch:
            grow = 3.0 * self.unit * self.over
            box = np.array(self.pen.textbbox((x, y), words, font, anchor))
            self.pen.rectangle(tuple(box + grow * np.array([-1, -1, 1, 1])), self.style.paper)
        self.pen.text((x, y), words, self.style.text, font, anchor)

    def reduced(self):
        """The page at its size."""
        return self.large.reduce(self.over)


def _draw_axes(sheet, captions):
    style, ((low, high), (floor, ceiling)) = sheet.style, sheet.limits
    flows = np.arange(low, high + 1e-9, 0.05 if high <= 0.61 else 0.1)
    ratios = np.arange(floor, ceiling + 1e-9, 0.2)
    if style.grid is not None:
        for flow in flows:
            sheet.line([(flow, floor), (flow, ceiling)], style.grid, style.grid_width)
        for ratio in ratios:
            sheet.line([(low, ratio), (high, ratio)], style.grid, style.grid_width)
    box = [(low, floor), (high, floor), (high, ceiling), (low, ceiling), (low, floor)]
    for first, second in pairwise(box):
        sheet.line([first, second], style.frame, style.frame_width)
    for flow in flows:
        sheet.text((flow, floor), f"{flow:.2f}", 24, "mt", shift=(0, 14))
    for ratio in ratios:
        sheet.text((low, ratio), f"{ratio:.1f}", 24, "rm", shift=(-14, 0))
    sheet.text(((low + high) / 2, floor), captions["flow"], 28, "mt", shift=(0, 56))
    sheet.text((low, ceiling), captions["ratio"], 28, "lb", shift=(-110, -14))
    sheet.text((high, ceiling), captions["title"], 28, "rb", shift=(0, -14))
    sheet.text((low, ceiling), captions["note"], 22, "la", shift=(20, 18), patch=True)


def _draw_curves(sheet, curves):
    style = sheet.style
    looks = {
        "island": (style.island, style.island_width, style.island_dash),
        "speed": (style.speed, style.speed_width, 0.0),
        "surge": (style.surge, style.surge_width, style.surge_dash),
    }
    for kind, (colour, width, dash) in looks.items():
        for curve in (one for one in curves if one.kind == kind):
            sheet.line(curve.points, colour, width, dash)
            if style.marks and kind == "speed":
                reach = 2.2 * width * sheet.unit * sheet.over / 2
                for x, y in sheet.place(curve.marks):
                    sheet.pen.ellipse((x - reach, y - reach, x + reach, y + reach), colour)


def _draw_labels(sheet, curves):
    patch = sheet.style.breaking_labels
    for number, curve in enumerate(curves):
        if curve.kind == "speed":
            words = f"{curve.value:.0f}"
            sheet.text(curve.points[-1], words, 20, "lm", shift=(8, -6))
            if patch and number % 2:
                sheet.text(curve.points[int(0.45 * FINE)], words, 18, patch=True)
        elif curve.kind == "island":
            words = f"{100 * curve.value:.3g}"
            places = (0.07, 0.55) if patch else (0.3,)
            for share in places:
                sheet.text(curve.points[int(share * FINE)], words, 18, patch=patch)


def draw_print(record, style=COLOUR, size=(1600, 1200), captions=None, oversampling=3):
    """Print of a map's record."""
    words = {
        "flow": "Corrected air flow, kg/s",
        "ratio": "Pressure ratio, total to total",
        "title": "Invented compressor",
        "note": "Lines: corrected speed, rpm.  Islands: efficiency, %",
    } | (captions or {})
    limits = limits_of(record)
    curves = curves_of(record)
    sheet = Sheet(style, size, limits, oversampling)
    _draw_axes(sheet, words)
    _draw_curves(sheet, curves)
    _draw_labels(sheet, curves)
    return Picture(sheet.reduced(), curves, limits, sheet.matrix)


def seen_at(picture, corners, size=None, outside=(120, 110, 100)):
    """A picture whose own corners (from the top left clockwise) are seen at other places."""
    width, height = picture.image.size
    old = [(-0.5, -0.5), (width - 0.5, -0.5), (width - 0.5, height - 0.5), (-0.5, height - 0.5)]
    forward = homography(old, corners)
    shift = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])  # Pillow counts from the edge
    back = shift @ np.linalg.inv(forward) @ np.linalg.inv(shift)
    image = picture.image.transform(
        size or picture.image.size,
        Image.Transform.PERSPECTIVE,
        tuple(np.ravel(back / back[2, 2])[:8]),
        Image.Resampling.BICUBIC,
        fillcolor=outside,
    )
    return replace(picture, image=image, values_to_pixels=forward @ picture.values_to_pixels)


def turned(picture, degrees):
    """A picture turned about its middle and shrunk a little, so that it stays whole."""
    width, height = picture.image.size
    angle = np.radians(degrees)
    shrink = 1.0 / (np.cos(angle) + np.abs(np.sin(angle)) * width / height)
    turn = shrink * np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    middle = np.array([width, height]) / 2 - 0.5
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)]) - 0.5
    return seen_at(picture, (corners - middle) @ turn.T + middle, outside=(255, 255, 255))


def tilted(picture, strength=1.0):
    """A picture seen at an angle, as a print on a table."""
    width, height = picture.image.size
    moves = strength * np.array([(0.06, 0.05), (-0.035, 0.015), (-0.015, -0.03), (0.025, -0.06)])
    corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) + moves
    return seen_at(picture, corners * (width, height) - 0.5)


def weathered(picture, *, blur=0.0, light=0.0, noise=0.0, quality=None, seed=0):
    """A picture blurred [px], lit unevenly (share), noisy (of 255), kept as JPEG of a quality."""
    image = picture.image.filter(ImageFilter.GaussianBlur(blur)) if blur else picture.image
    if light or noise:
        pixels = np.asarray(image, dtype=np.float32)
        height, width = pixels.shape[:2]
        y, x = np.mgrid[0:height, 0:width].astype(np.float32)
        shade = 1.0 - light * (
            0.6 * (x / width) + 0.4 * np.sin(2.2 * y / height + 1.1 * x / width) ** 2
        )
        pixels = pixels * shade[..., None]
        if noise:
            draw = np.random.RandomState(seed)  # its numbers are promised to repeat
            common = draw.normal(0.0, noise, (height, width, 1))
            pixels = pixels + common + draw.normal(0.0, 0.4 * noise, (height, width, 3))
        image = Image.fromarray(np.clip(pixels + 0.5, 0, 255).astype(np.uint8))
    if quality is not None:
        with Image.open(io.BytesIO(jpeg_bytes(image, quality))) as kept:
            image = kept.convert("RGB")
    return replace(picture, image=image)


def jpeg_bytes(image, quality):
    """Bytes of an image as JPEG."""
    kept = io.BytesIO()
    image.save(kept, "JPEG", quality=quality)
    return kept.getvalue()
