"""Actions of the bench as a table of data."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ActionRow:
    """One action.

    Parameters
    ----------
    name : str
        Name of the method of the window that it calls.
    text : str
        Its words, with the mnemonic.
    menu : str
        Menu it stands in.
    keys : str
        Shortcut; empty for none.
    icon : str
        File of its icon; empty for none.
    checkable : bool
        Whether it is on or off.
    tip : str
        What it does, for the status tip and the tooltip.
    bar : bool
        Whether it stands in the top bar too.
    """

    name: str
    text: str
    menu: str
    keys: str = ""
    icon: str = ""
    checkable: bool = False
    tip: str = ""
    bar: bool = False


MENUS = ("&File", "&Edit", "&View", "&Help")

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow("open_file", "&Open…", "&File", "Ctrl+O", "open", tip="Open a build", bar=True),
    ActionRow("save_file", "&Save", "&File", "Ctrl+S", "save", tip="Save the build", bar=True),
    ActionRow("save_file_as", "Save &as…", "&File", "Ctrl+Shift+S", tip="Save under another name"),
    ActionRow("edit_title", "&Title and notes…", "&File", "Ctrl+T", tip="Name the build"),
    ActionRow(
        "export_chart",
        "&Export a chart…",
        "&File",
        "Ctrl+E",
        "export",
        tip="Write the compressor map or the strips as a picture or as numbers",
    ),
    ActionRow("close", "&Quit", "&File", "Ctrl+Q", tip="Close the bench"),
    ActionRow("undo", "&Undo", "&Edit", "Ctrl+Z", "undo", tip="Take back the last edit", bar=True),
    ActionRow("redo", "&Redo", "&Edit", "Ctrl+Shift+Z", "redo", tip="Do it again", bar=True),
    ActionRow("copy_ledger", "Copy the &ledger", "&Edit", "Ctrl+L", tip="Copy the ledger as text"),
    ActionRow(
        "pin_line",
        "&Pin this line",
        "&Edit",
        "Ctrl+P",
        "pin",
        tip="Keep the present line as a ghost for comparison",
        bar=True,
    ),
    ActionRow(
        "copy_why",
        "Copy &Why",
        "&Edit",
        "Ctrl+Shift+L",
        tip="Copy the stations that Why shows as text",
    ),
    ActionRow(
        "edit_shelf",
        "Shop &shelf…",
        "&Edit",
        tip="Pulleys, belts, injectors and cores on the shelf, name and logo of the shop",
    ),
    ActionRow(
        "take_shelf",
        "&Take the shelf into this build",
        "&Edit",
        tip="This build's sizes on the shelf become those that the shop has now, as one step",
    ),
    ActionRow(
        "edit_layout",
        "&Belt layout…",
        "&Edit",
        tip="Where the pulleys of the belt stand: wraps, length, the same belt, a drawing",
    ),
    ActionRow(
        "go_to_ledger",
        "&Go to the ledger",
        "&View",
        "Ctrl+G",
        tip="Give the ledger the keys, or give them back to what had them before",
    ),
    ActionRow(
        "show_heat_soak",
        "&Heat soak…",
        "&View",
        tip="The charge cooler over pull after pull: temperatures, and the power it costs",
    ),
    ActionRow(
        "toggle_error_bars",
        "Error &bars",
        "&View",
        checkable=True,
        tip="Bands that the inputs' spreads allow, and the chance that each limit is over",
    ),
    ActionRow(
        "show_measure_first",
        "What to &measure first…",
        "&View",
        tip="Which input's spread moves wheel power most, and every chance",
    ),
    ActionRow("close_why", "Close Wh&y", "&View", "Ctrl+W", tip="Put Why and the cursor away"),
    ActionRow(
        "fit_map", "&Fit the map", "&View", "Ctrl+0", "fit", tip="Show the whole map", bar=True
    ),
    ActionRow(
        "fold_panels",
        "&Fold the panels",
        "&View",
        "F9",
        "panels",
        True,
        "Hide the panels at both sides",
        True,
    ),
    ActionRow("toggle_theme", "&Dark", "&View", "Ctrl+D", "theme", True, "Light or dark", True),
    ActionRow(
        "toggle_units", "&US units", "&View", "Ctrl+U", "units", True, "SI or US units", True
    ),
    ActionRow(
        "edit_units", "Units per &quantity…", "&View", tip="Choose the unit of each quantity"
    ),
    ActionRow(
        "toggle_snapping",
        "&Snap to the shelf",
        "&View",
        "Ctrl+Shift+N",
        "",
        True,
        "The pulley slider rests at sizes on the shelf",
    ),
    ActionRow(
        "toggle_classroom",
        "&Classroom view",
        "&View",
        "F11",
        "classroom",
        True,
        "Full screen, larger text, panels away, answers covered",
    ),
    ActionRow("text_larger", "&Larger text", "&View", "Ctrl++", tip="Larger text"),
    ActionRow("text_smaller", "S&maller text", "&View", "Ctrl+-", tip="Smaller text"),
    ActionRow("show_keys", "&Keys", "&Help", "F1", "help", tip="What the keys do"),
    ActionRow("show_lessons", "&Lessons…", "&Help", tip="Surge and choke, three lessons of a page"),
    ActionRow("show_cautions", "&Cautions", "&Help", tip="Cautions, in one place"),
)
"""Every action, in menu order."""
