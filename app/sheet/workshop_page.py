"""The pages after the first: what the workshop needs."""

from __future__ import annotations

from collections.abc import Sequence

from app.present.sheet_words import Row, SheetSource
from app.present.sheet_workshop import (
    belt_rows,
    caution_words,
    checklist,
    idle_words,
    injector_rows,
    input_groups,
    input_words,
    ledger_rest,
    provenance_rows,
)
from app.sheet.blocks import Beside, Block, Cells, Lines, Space, Ticked, stacked
from app.sheet.customer_page import GUTTER
from app.sheet.paper import Paper
from app.sheet.text import Style, Styles

COLUMNS = 3
"""Columns of the inputs."""

LONGEST = 60
"""Letters of a value that still stands in a column; longer ones follow below."""

BOX_ROOM = 17.0
"""Room of the box before a line of the checklist [px]."""

MARK_ROOM = 12.0
"""Room of a mark before a name [px]."""


def workshop_pages(source: SheetSource, styles: Styles, paper: Paper) -> list[Block]:
    """Blocks of the pages for the workshop."""
    width = paper.room
    head = f"For the workshop: {source.build.title}"
    blocks: list[Block] = [Lines(head, styles.heading, width, rule=True)]
    blocks += _inputs(source, styles, paper)
    for title, rows in (
        ("Belt and impeller, on the worst day", belt_rows(source)),
        ("Injectors and fuel pump, on the worst day", injector_rows(source)),
        ("The rest of the ledger, on the worst day", ledger_rest(source)),
    ):
        if rows:
            blocks += [Space(7.0), Lines(title, styles.lead, width, keep=True, rule=True)]
            blocks += table(rows, styles, width)
    blocks += _checklist(source, styles, width)
    if source.build.notes.strip():
        blocks += [Space(7.0), Lines("Notes", styles.lead, width, keep=True, rule=True)]
        blocks += flowing(source.build.notes.strip(), styles.body, width)
    blocks += [Space(7.0), Lines("Cautions", styles.lead, width, keep=True, rule=True)]
    blocks += [
        Cells([("\u2022", styles.small, 6.0), (words, styles.small, width - 14.0)], pad=0.5)
        for words in caution_words(source.build)
    ]
    blocks += [Space(7.0), Lines("Where it comes from", styles.lead, width, keep=True, rule=True)]
    return [*blocks, *table(provenance_rows(source), styles, width)]


def flowing(text: str, style: Style, width: float) -> list[Block]:
    """A text that may run over pages: a block a line."""
    return [Lines(line or " ", style, width) for line in style.lines(text, width)]


def table(rows: Sequence[Row], styles: Styles, width: float, label: float = 196.0) -> list[Block]:
    """Names and texts below each other."""
    return [
        Cells(
            [(row.label, styles.small_strong, label), (row.text, styles.small, width - label - 8)]
        )
        for row in rows
    ]


def _inputs(source: SheetSource, styles: Styles, paper: Paper) -> list[Block]:
    width = paper.room
    column = (width - (COLUMNS - 1) * GUTTER) / COLUMNS
    inner = column - MARK_ROOM
    name = 0.62 * (inner - 6.0)
    blocks: list[Block] = []
    below: list[Row] = []
    for group in input_groups(source.build, source.units):
        blocks.append(Lines(group.title, styles.small_strong, column, keep=True))
        for row in group.rows:
            text = row.text
            if len(text) > LONGEST:
                below.append(Row(f"{group.title}: {row.label}", f"{row.mark} {text}"))
                text = "see below"
            cells = [
                (row.mark, styles.small, MARK_ROOM - 4.0),
                (row.label, styles.small, name),
                (text, styles.small, inner - 6.0 - name),
            ]
            blocks.append(Cells(cells, 4.0, pad=0.0))
    made: list[Block] = [Lines(input_words(source.build), styles.small, width, keep=True)]
    room = 0.9 * paper.depth
    filled = stacked(blocks, room)
    for first in range(0, len(filled), COLUMNS):
        some = [block for stack in filled[first : first + COLUMNS] for block in stack]
        made += [Space(3.0), Beside(some, COLUMNS, column + GUTTER)]
    made += table(below, styles, width)
    idle = idle_words(source.build)
    return [*made, Space(3.0), *flowing(idle, styles.quiet, width)] if idle else made


def _checklist(source: SheetSource, styles: Styles, width: float) -> list[Block]:
    column = 0.5 * (width - GUTTER)
    written = 0.42 * (column - BOX_ROOM)
    rows: list[Block] = [
        Ticked(
            [
                (words, styles.small, column - BOX_ROOM - written - 6.0),
                (blank, styles.small, written),
            ],
            BOX_ROOM,
        )
        for words, blank in checklist(source.build)
    ]
    head = "Checklist: no figure is printed here that is the part maker's to give"
    return [
        Space(7.0),
        Lines(head, styles.lead, width, keep=True, rule=True),
        Beside(rows, 2, column + GUTTER),
    ]
