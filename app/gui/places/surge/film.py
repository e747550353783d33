"""Films of a run: one picture a turn, so that the window stays alive; GIF or a series of PNG."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageColor
from PySide6.QtCore import QObject, QRectF, QTimer, Signal
from PySide6.QtGui import QColor, QFont, QImage, QPainter

from app.chart_tools.palette import Palette
from app.chart_tools.surge_parts import point_colour
from app.charts.picture import laid_out_unseen
from app.charts.surge_map_chart import SurgeMapChart
from app.charts.surge_time_chart import SurgeTimeChart
from app.gui.latest_work import LatestWork, Tell
from engine_model.files.atomic import write_atomically

MOST_FRAMES = 200
"""Pictures of a film at most."""

SIZE = (960, 460)
"""Size of a picture [px]: a projector's, and a file that can be mailed."""

MAP_SHARE = 0.54
"""Share of the width that the map takes [-]."""

HEAD = 26
"""Height of the line of words over the pictures [px]."""

COLOURS = 96
"""Colours of a GIF."""

BLENDS = (1.0, 0.75, 0.5, 0.25)
PATCH = 60
"""Shares of a stroke's colour over the ground, and height of a patch of it [px]."""


@dataclass(frozen=True, slots=True)
class Film:
    """What is filmed.

    Parameters
    ----------
    start : float
        Time of the first picture in the run. [s]
    step : float
        Time of the run between two pictures. [s]
    count : int
        Pictures, 1 to ``MOST_FRAMES``.
    frame_ms : int
        How long a picture stands in a GIF. [ms]
    words : str
        What it is, over the pictures.
    """

    start: float
    step: float
    count: int
    frame_ms: int
    words: str

    def times(self) -> list[float]:
        """Times of the pictures [s]."""
        return [self.start + k * self.step for k in range(min(self.count, MOST_FRAMES))]


@contextmanager
def studio(
    map_chart: SurgeMapChart, time_chart: SurgeTimeChart, palette: Palette, words: str
) -> Iterator[object]:
    """A camera on copies of both charts, unseen: a function of a time [s] that gives a picture."""
    width, height = SIZE
    left = round(MAP_SHARE * width)
    with ExitStack() as stack:
        copied_map, copied_time = map_chart.copied(), time_chart.copied()
        tall = height - HEAD
        stack.enter_context(laid_out_unseen(copied_map, left, tall))
        stack.enter_context(laid_out_unseen(copied_time, width - left, tall))
        copied_map.fit()
        copied_time.fit()
        font = QFont()
        font.setPixelSize(13)

        def picture(time: float) -> QImage:
            copied_map.set_time(time)
            copied_time.set_time(time)
            image = QImage(width, height, QImage.Format.Format_RGB888)
            image.fill(QColor(palette.background))
            painter = QPainter(image)
            for chart, x in ((copied_map, 0), (copied_time, left)):
                source = chart.viewport().rect()
                chart.render(painter, QRectF(x, HEAD, source.width(), source.height()), source)
            painter.setFont(font)
            painter.setPen(QColor(palette.text))
            painter.drawText(QRectF(10, 4, width - 20, HEAD), f"{words} | {time:.4f} s")
            painter.end()
            return image

        yield picture


def as_pillow(image: QImage) -> Image.Image:
    """Picture of Qt as one of Pillow."""
    made = image.convertToFormat(QImage.Format.Format_RGB888)
    wide, tall, stride = made.width(), made.height(), made.bytesPerLine()
    return Image.frombuffer("RGB", (wide, tall), bytes(made.constBits()), "raw", "RGB", stride, 1)


def colour_table(frames: Sequence[Image.Image], palette: Palette) -> Image.Image:
    """Table of colours for all pictures of a GIF.

    Thin strokes cover few pixels, so that their colours would be left out: they are laid beside
    the pictures as patches, pure and blended with the ground.

    Parameters
    ----------
    frames : sequence of PIL.Image.Image
        Some of the pictures.
    palette : Palette
        Colours of the strokes.
    """
    wide, tall = frames[0].size
    sheet = Image.new("RGB", (wide, tall * len(frames) + PATCH * len(BLENDS)))
    for k, frame in enumerate(frames):
        sheet.paste(frame, (0, k * tall))
    strokes = (point_colour(palette), palette.trio[1], palette.target, palette.ghosts[0])
    grounds = (palette.canvas, palette.ramp[-1])
    room = wide // (len(strokes) * len(grounds))
    for row, share in enumerate(BLENDS):
        for column, (stroke, ground) in enumerate((s, g) for s in strokes for g in grounds):
            first, second = ImageColor.getrgb(stroke), ImageColor.getrgb(ground)
            mixed = tuple(
                round(share * a + (1.0 - share) * b)
                for a, b in zip(first[:3], second[:3], strict=True)
            )
            left, top = column * room, tall * len(frames) + row * PATCH
            sheet.paste(mixed, (left, top, left + room, top + PATCH))
    return sheet.quantize(COLOURS)


def gif_bytes(frames: Sequence[Image.Image], frame_ms: int) -> bytes:
    """Animated GIF of pictures of few colours each.

    Parameters
    ----------
    frames : sequence of PIL.Image.Image
        Pictures of one size.
    frame_ms : int
        How long each stands. [ms] Viewers round to hundredths of a second.
    """
    out = io.BytesIO()
    first, *others = frames
    first.save(
        out, "GIF", save_all=True, append_images=others, duration=frame_ms, loop=0, optimize=False
    )
    return out.getvalue()


class FilmMaker(QObject):
    """Takes pictures one a turn, then writes them in a thread.

    Signals
    -------
    stepped(done, about)
        Pictures taken.
    finished(sentence)
        What was written.
    refused(sentence)
        Why nothing was written.
    """

    stepped = Signal(int, int)
    finished = Signal(str)
    refused = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._stack = ExitStack()
        self._turns = QTimer(self, interval=0)
        self._turns.timeout.connect(self._turn)
        self._writer = _Writer(self)
        self._writer.done.connect(self.finished)
        self._writer.refused.connect(self.refused)

    @property
    def is_busy(self) -> bool:
        """Whether pictures are taken or written."""
        return self._turns.isActive() or self._writer.is_busy

    def start(
        self,
        film: Film,
        path: Path,
        charts: tuple[SurgeMapChart, SurgeTimeChart],
        palette: Palette,
    ) -> None:
        """Begin a film: a GIF by the ending of its path, else PNG pictures named after it."""
        self.cancel()
        self._film, self._path, self._palette = film, path, palette
        self._camera = self._stack.enter_context(studio(*charts, palette, film.words))
        self._times = film.times()
        self._frames: list[Image.Image] = []
        self._table: Image.Image | None = None
        self._turns.start()

    def _turn(self) -> None:
        number = len(self._frames)
        self.stepped.emit(number, len(self._times))
        if number < len(self._times):
            frame = self._taken(number)
            if self._path.suffix.lower() == ".gif":
                # one table of colours for all: nothing flickers
                if self._table is None:
                    some = [frame, self._taken(len(self._times) // 2)]
                    self._table = colour_table(some, self._palette)
                frame = frame.quantize(palette=self._table, dither=Image.Dither.NONE)
            self._frames.append(frame)
            return
        self._turns.stop()
        self._stack.close()
        self._writer.start(self._path, self._frames, self._film.frame_ms)

    def _taken(self, number: int) -> Image.Image:
        return as_pillow(self._camera(self._times[number]))  # type: ignore[operator]

    def cancel(self) -> None:
        """Drop the film; nothing half-written is left but PNG pictures done."""
        self._turns.stop()
        self._stack.close()
        self._writer.cancel()

    def end(self) -> None:
        """End the thread."""
        self.cancel()
        self._writer.end()


class _Writer(LatestWork):
    """Writes the pictures."""

    done = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("film", parent)

    def start(self, path: Path, frames: Sequence[Image.Image], frame_ms: int) -> None:
        def work(tell: Tell) -> None:
            tell("begin", None)
            try:
                if path.suffix.lower() == ".gif":
                    write_atomically(path, gif_bytes(frames, frame_ms))
                    tell("done", f"Written: {path}")
                    return
                for number, frame in enumerate(frames):
                    tell("begin", None)
                    out = io.BytesIO()
                    frame.save(out, "PNG")
                    write_atomically(numbered(path, number), out.getvalue())
                last = numbered(path, len(frames) - 1).name
                tell("done", f"Written: {numbered(path, 0)} to {last}")
            except OSError as error:
                tell("failed", f"{error}.")

        self.begin(path, work)

    def take(self, kind: str, request: object, found: object) -> None:
        if kind == "done":
            self.done.emit(found)
        elif kind == "failed":
            self.refused.emit(found)


def numbered(path: Path, number: int) -> Path:
    """Path of one picture of a series.

    Examples
    --------
    >>> numbered(Path("lift.png"), 7).name
    'lift-0007.png'
    """
    return path.with_name(f"{path.stem}-{number:04d}{path.suffix}")
