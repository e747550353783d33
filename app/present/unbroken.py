"""Numbers with their units as one word, so that no line ends between them."""

from __future__ import annotations

import re

from engine_model.units import UNITS

JOINER = "\u2060"
"""Word joiner: no line ends there."""

_SYMBOLS = sorted({unit.symbol for unit in UNITS if unit.symbol != "-"}, key=len, reverse=True)
_QUANTITY = re.compile(rf"(?<=[0-9]) ({'|'.join(map(re.escape, _SYMBOLS))})(?![A-Za-z0-9/])")


def unbroken(text: str) -> str:
    r"""Text, plain or markup, whose numbers keep their units beside them at the end of a line.

    Examples
    --------
    >>> unbroken("tip 213.3 ft/s").replace("\u2060", "|").replace("\u00a0", "_")
    'tip 213.3_ft/|s'
    """
    return _QUANTITY.sub(lambda found: _joined(found[0]), text)


def _joined(text: str) -> str:
    return text.replace(" ", "\u00a0").replace("/", f"/{JOINER}")


def broken(text: str) -> str:
    """Text as it was before :func:`unbroken`, to be copied."""
    return text.replace(JOINER, "").replace("\u00a0", " ")
