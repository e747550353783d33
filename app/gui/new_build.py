"""New builds: for a customer with everything assumed, or as a copy of a sample."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtWidgets import QMenu

from app.gui.preferences import Shelf
from app.paths import DEFAULT_SAMPLE, sample_builds
from engine_model.files.build_file import load_build
from engine_model.inputs import Blower, Build
from engine_model.inputs import Shelf as BuildShelf

CUSTOMER = "for a customer, everything assumed"

CUSTOMER_NOTE = "Every input is assumed; the compressor map is an invented sample."


def new_customer_build(title: str) -> Build:
    """Build with nothing given; its compressor map is the default sample's until another is."""
    compressor_map = load_build(sample_builds()[DEFAULT_SAMPLE]).blower.compressor_map
    return Build(
        title=title.strip() or "New build",
        blower=Blower(compressor_map=compressor_map),
        notes=CUSTOMER_NOTE,
    )


def new_build_from_sample(name: str, title: str = "") -> Build:
    """Copy of a sample build under another title; it has no file of its own yet."""
    build = load_build(sample_builds()[name])
    return replace(build, title=title.strip() or f"{build.title} (copy)")


def with_shelf(build: Build, shelf: Shelf) -> Build:
    """Build with a copy of the shop's shelf; the logo stays, since its file is this machine's."""
    copied = BuildShelf(shelf.pulleys, shelf.belts, shelf.injectors, shelf.cores, shelf.shop)
    return replace(build, shelf=copied)


def fill_new_menu(
    menu: QMenu,
    take: Callable[[Build], None],
    take_customers: Callable[[Build], None] | None = None,
) -> None:
    """Fill a menu with every starting point; each calls ``take`` with the new build.

    A build for a customer goes to ``take_customers`` where that is told, which asks for its title.
    """
    named, more = take_customers or take, "…" if take_customers else ""
    menu.addAction(f"New build {CUSTOMER}{more}", lambda: named(new_customer_build("")))
    menu.addSeparator()
    for name in sample_builds():
        menu.addAction(
            f"New from the sample {name}", lambda name=name: take(new_build_from_sample(name))
        )
