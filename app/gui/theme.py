"""Light and dark: the palette of the widgets and the sheet of rules, from the charts' colours."""

from __future__ import annotations

from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import QApplication, QLabel

from app.chart_tools.palette import DARK, LIGHT, Palette

PALETTES: dict[str, Palette] = {"light": LIGHT, "dark": DARK}
"""Chart palettes by theme."""

_SURFACES = {
    # window, base, raised, text, quiet text, line, accent, chosen row
    "light": (
        "#f3f4f6",
        "#ffffff",
        "#e6e9ee",
        "#1d2530",
        "#5a6675",
        "#c3cad4",
        "#2f5d8a",
        "#dbe5ef",
    ),
    "dark": (
        "#1c2128",
        "#15191f",
        "#2a313b",
        "#e3e8ee",
        "#9aa6b4",
        "#3c4653",
        "#7fb0de",
        "#28384a",
    ),
}


def surfaces(theme: str) -> dict[str, str]:
    """Colours of the widgets of a theme by name."""
    names = ("window", "base", "raised", "text", "quiet", "line", "accent", "chosen")
    return dict(zip(names, _SURFACES[theme], strict=True))


def widget_palette(theme: str) -> QPalette:
    """Qt palette of a theme."""
    c = surfaces(theme)
    palette = QPalette()
    roles = {
        QPalette.ColorRole.Window: c["window"],
        QPalette.ColorRole.Base: c["base"],
        QPalette.ColorRole.AlternateBase: c["window"],
        QPalette.ColorRole.Button: c["raised"],
        QPalette.ColorRole.WindowText: c["text"],
        QPalette.ColorRole.Text: c["text"],
        QPalette.ColorRole.ButtonText: c["text"],
        QPalette.ColorRole.ToolTipBase: c["base"],
        QPalette.ColorRole.ToolTipText: c["text"],
        QPalette.ColorRole.PlaceholderText: c["quiet"],
        QPalette.ColorRole.Highlight: c["accent"],
        QPalette.ColorRole.HighlightedText: c["base"],
        QPalette.ColorRole.Link: c["accent"],
        QPalette.ColorRole.Mid: c["line"],
        QPalette.ColorRole.Midlight: c["line"],
        QPalette.ColorRole.Dark: c["line"],
        QPalette.ColorRole.Light: c["base"],
    }
    for role, color in roles.items():
        palette.setColor(role, QColor(color))
    for role in (
        QPalette.ColorRole.Text,
        QPalette.ColorRole.ButtonText,
        QPalette.ColorRole.WindowText,
    ):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(c["quiet"]))
    return palette


def style_sheet(theme: str) -> str:
    """Rules that the palette cannot say."""
    c = surfaces(theme)
    p = PALETTES[theme]
    alarm = PALETTES["light"].over
    return f"""
    QToolTip {{ color: {c["text"]}; background: {c["base"]}; border: 1px solid {c["line"]}; }}
    #banner {{ padding: 6px 8px; border-radius: 4px; background: {c["raised"]}; }}
    #banner[alarm="true"] {{ background: {alarm}; color: #ffffff; font-weight: bold; }}
    #banner[short="true"] {{ border: 2px solid {p.over}; font-weight: bold; }}
    #detail {{ padding: 4px 2px; }}
    #caution {{ color: {c["quiet"]}; padding: 2px; }}
    #said {{ color: {p.over}; font-weight: bold; padding: 2px 8px; background: {c["base"]};
        border: 1px solid {c["line"]}; border-radius: 4px; }}
    #said[done="true"] {{ color: {c["text"]}; font-weight: normal; }}
    #hint {{ background: {c["raised"]}; border: 1px solid {c["line"]}; border-radius: 4px; }}
    QTreeWidget, QListWidget, QTableView {{ selection-background-color: {c["chosen"]};
        selection-color: {c["text"]}; }}
    QTreeWidget:focus, QScrollArea:focus {{ border: 1px solid {c["accent"]}; }}
    FieldRow[marked="true"] {{ background: {c["chosen"]}; border-radius: 4px; }}
    #sentence {{ color: {p.over}; }}
    #headline {{ color: {c["quiet"]}; }}
    QTreeWidget, QScrollArea {{ border: 1px solid {c["line"]}; border-radius: 4px; }}
    QLineEdit, QComboBox, QSpinBox {{ padding: 2px 4px; }}
    QLineEdit[wrong="true"] {{ border: 2px solid {p.over}; }}
    QPushButton:focus {{ border: 1px solid {c["accent"]}; padding: 3px 8px; }}
    QCheckBox::indicator {{ border: 1px solid {c["quiet"]}; width: 12px; height: 12px; }}
    QCheckBox::indicator:checked {{ background: {c["accent"]}; }}
    QRadioButton::indicator {{ border: 1px solid {c["quiet"]}; width: 12px; height: 12px;
        border-radius: 7px; }}
    QRadioButton::indicator:checked {{ background: {c["accent"]}; }}
    QTableView::indicator {{ border: 1px solid {c["quiet"]}; width: 12px; height: 12px; }}
    QTableView::indicator:checked {{ background: {c["accent"]}; }}
    QToolButton#rail {{ border: none; padding: 4px 0; margin: 0; font-size: 8pt;
        border-left: 3px solid transparent; }}
    QToolButton#rail:checked {{ background: {c["raised"]}; border-left: 3px solid {c["accent"]}; }}
    QToolButton#rail:focus {{ border: 1px solid {c["accent"]};
        border-left: 3px solid {c["accent"]}; }}
    """


def state_colors(theme: str) -> dict[str, QColor]:
    """Colours of the ledger's states."""
    p = PALETTES[theme]
    return {
        "clear": QColor(p.clear),
        "close": QColor(p.close),
        "over": QColor(p.over),
        "blank": QColor(p.blank),
    }


def base_size(application: QApplication) -> float:
    """Point size of the program's text at scale 1: the desktop's own, kept from the first call."""
    kept = application.property("base_size")
    if kept is None:
        kept = application.font().pointSizeF()
        application.setProperty("base_size", kept)
    return float(kept)


def apply_theme(application: QApplication, theme: str, text_scale: float, base: float) -> None:
    """Give the whole program a theme and a text size; what stands already is left alone."""
    palette, sheet = widget_palette(theme), style_sheet(theme)
    font = QFont(application.font())
    font.setPointSizeF(base * text_scale)
    if (palette, font, sheet) == (
        application.palette(), application.font(), application.styleSheet()
    ):  # fmt: skip
        return
    application.setPalette(palette)
    application.setFont(font)
    application.setStyleSheet(sheet)  # set again, so that every widget takes the font
    _color_links(application)


def _color_links(application: QApplication) -> None:
    """Give links their colour in what is told already: a text keeps the one it was set under."""
    for widget in application.allWidgets():
        if isinstance(widget, QLabel) and "<a " in widget.text():
            text = widget.text()
            widget.setText("")
            widget.setText(text)
