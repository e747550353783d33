"""Own icons, recoloured by the theme."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QSize, Qt
from PySide6.QtGui import QIcon, QImage, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from app.paths import data_folder

_SIZES = (16, 20, 24, 32, 48)


def make_icon(name: str, color: str) -> QIcon:
    """Icon of a name in a colour; an empty one where the file is missing."""
    file = data_folder("icons") / f"{name}.svg"
    if not file.is_file():
        return QIcon()
    text = file.read_text(encoding="utf-8").replace("currentColor", color)
    renderer = QSvgRenderer(QByteArray(text.encode()))
    icon = QIcon()
    for size in _SIZES:
        image = QImage(QSize(size, size), QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(Qt.GlobalColor.transparent)
        painter = QPainter(image)
        renderer.render(painter)
        painter.end()
        icon.addPixmap(QPixmap.fromImage(image))
    return icon
