"""Mappings of pulls' logs as text, as they are kept between runs."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Final

from engine_model.dyno.correction import STANDARDS
from engine_model.files.pull_channels import CHANNEL
from engine_model.files.pull_record import ColumnUse, PullMapping

MOST_KEPT: Final = 40
"""Header sets that are remembered; the oldest goes first."""


def mapping_text(mapping: PullMapping) -> str:
    """Mapping as text."""
    return json.dumps(asdict(mapping), ensure_ascii=False, sort_keys=True)


def mapping_of(text: str) -> PullMapping | None:
    """Mapping of a text; nothing where it is none."""
    try:
        kept = json.loads(text)
        uses = tuple(
            ColumnUse(
                int(one["column"]),
                str(one["header"]),
                str(one["channel"]),
                str(one["unit"]),
                str(one["basis"]),
                tuple(str(word) for word in one["guessed"]),
            )
            for one in kept["uses"]
        )
        headers = tuple(str(one) for one in kept["headers"])
        standard = str(kept["standard"])
    except (ValueError, TypeError, KeyError):
        return None
    if standard not in STANDARDS or any(one.channel not in CHANNEL for one in uses):
        return None
    return PullMapping(headers, uses, standard)


def mappings_of(texts: tuple[str, ...]) -> tuple[PullMapping, ...]:
    """The mappings of kept texts."""
    found = (mapping_of(text) for text in texts)
    return tuple(one for one in found if one is not None)


def kept_with(texts: tuple[str, ...], mapping: PullMapping) -> tuple[str, ...]:
    """Kept texts with one more in front, in place of an older one of the same headers."""
    others = [mapping_text(one) for one in mappings_of(texts) if one.headers != mapping.headers]
    return (mapping_text(mapping), *others)[:MOST_KEPT]
