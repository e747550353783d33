"""Channels of a pull's log: what a column may be, how it is written, what is possible."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from engine_model.units import UNITS, to_si

STOICHIOMETRIC: Final = 14.7
"""Air to fuel at which a gauge marked in air to fuel means lambda 1; common practice, no source."""

AIR_TO_FUEL: Final = "AFR"
"""Unit of a mixture told as air to fuel on a petrol scale."""


@dataclass(frozen=True, slots=True)
class Channel:
    """One thing a log may tell.

    Parameters
    ----------
    key : str
        Its name.
    quantity : str
        Key of ``QUANTITIES`` in :mod:`engine_model.units`.
    words : tuple of str
        Patterns of headers that mean it, the surest first; on small letters, marks as spaces.
    never : str
        Pattern of headers that do not mean it.
    low, high : float
        What is possible; a row outside is refused. [SI]
    """

    key: str
    quantity: str
    words: tuple[str, ...]
    never: str
    low: float
    high: float


_TEMPERATURE = r"(temp|temperature|t|°c|°f)"
CHANNELS: Final[tuple[Channel, ...]] = (
    Channel(
        "engine_speed", "speed",
        (r"^(engine )?(rpm|r min)$", r"^engine (speed|rpm)", r"drehzahl|r[eé]gime|n mot|umdreh",
         r"\brpm\b", r"^(speed|engine)$", r"\bengine\b.*\bspeed\b"),
        r"wheel|roller|road|vehicle|blower|impeller|turbo|drum|target|limit|power|torque",
        100.0, 24_000.0,
    ),
    Channel(
        "power", "power",
        (r"^(wheel|rear wheel|hub) ?(power|hp|kw)", r"^(whp|rwhp|wheel kw|radleistung)",
         r"\bpower\b.*\b(uncorrected|raw|measured)\b|\b(uncorrected|raw|measured)\b.*\bpower\b",
         r"\bpower\b|leistung|puissance|potencia", r"^(hp|kw|ps|bhp|cv|watts?)$"),
        r"loss|drag|target|electr|verlust|schlepp|factor",
        -200e3, 5e6,
    ),
    Channel(
        "torque", "torque",
        (r"^(wheel|hub) torque", r"\btorque\b|drehmoment|couple|\bmoment\b", r"^(nm|n m|lb ft)$"),
        r"target|request|limit|loss|factor", -5000.0, 20_000.0,
    ),
    Channel(
        "manifold_pressure", "pressure",
        (r"^map$", r"manifold (abs(olute)? )?(air )?press", r"\bmap\b", r"saugrohrdruck",
         r"^boost( press(ure)?)?$", r"\bboost\b|ladedruck", r"^manifold$"),
        r"target|temp|duty|request|fuel|oil", -100e3, 800e3,
    ),
    Channel(
        "discharge_temperature", "temperature",
        (rf"(discharge|compressor (out(let)?|discharge)|blower out(let)?) (air )?{_TEMPERATURE}",
         r"^(cdt|t2)$", r"(pre|before|vor) (ic|intercooler|cooler|llk)", r"discharge"),
        r"press|after|post|nach", 230.0, 700.0,
    ),
    Channel(
        "charge_temperature", "temperature",
        (rf"(charge|manifold|intake) (air )?{_TEMPERATURE}\b", r"^(iat|act|mat|t3)\b",
         r"\b(iat|mat)\b", r"ladeluft ?temp|ansaugluft ?temp|saugrohr ?temp",
         r"(post|after|nach) (ic|intercooler|cooler|llk)"),
        r"press|discharge|compressor|pre\b|before|target", 230.0, 600.0,
    ),
    Channel(
        "mixture", "dimensionless",
        (r"^lambda\b", r"\blambda\b|λ", r"^afr\b|\bafr\b|air fuel( ratio)?"),
        r"target|request|soll|error|trim", 0.4, 3.0,
    ),
    Channel(
        "throttle", "dimensionless",
        (r"^(tps|throttle)\b", r"throttle (pos|angle)|drosselklappe|\btps\b", r"pedal"),
        r"target|request|temp|press", -0.1, 1.2,
    ),
    Channel(
        "ambient_temperature", "temperature",
        (rf"(ambient|room|cell|weather|intake room|umgebungs?) ?(air )?{_TEMPERATURE}",
         rf"^air {_TEMPERATURE}", r"umgebungstemp|raumtemp|lufttemp"),
        r"press", 220.0, 340.0,
    ),
    Channel(
        "ambient_pressure", "pressure",
        (r"baro", r"(ambient|room|cell|air|atm\w*|qnh|sea level|station) press", r"luftdruck|qnh"),
        r"temp", 40e3, 120e3,
    ),
    Channel(
        "relative_humidity", "dimensionless",
        (r"^rh$|humidity|feuchte|humidit", r"\brh\b"), r"abs|grains|temp", 0.0, 1.05,
    ),
    Channel(
        "time", "time",
        (r"^(time|t|zeit|temps|elapsed)$", r"\btime\b|\bzeit\b|seconds"),
        r"stamp|date|clock|datum|uhr", -1e9, 1e12,
    ),
    Channel("run", "dimensionless", (r"^(run|pull|lauf|messung)( no| number| nr)?$",), r"time",
            -1e9, 1e9),
)  # fmt: skip
"""Channels in the order in which they are looked for; a column serves one only."""

CHANNEL: Final[dict[str, Channel]] = {row.key: row for row in CHANNELS}

REFUSALS: Final = (
    "too_few_cells",
    "too_many_cells",
    "too_long",
    "not_a_number",
    "outside",
    "no_engine_speed",
    "no_power",
)
"""Why a row is refused."""

GAPS: Final = frozenset(
    ("", "-", "--", "---", "nan", "n/a", "na", "#n/a", "null", "none", ".", "?", "*", "#nv")
)
"""Cells that say there is no value, in small letters."""

BASES: Final[dict[str, tuple[str, ...]]] = {
    "manifold_pressure": ("absolute", "gauge"),
    "power": ("wheel", "flywheel"),
    "torque": ("wheel", "flywheel"),
    "ambient_pressure": ("station", "sea level"),
}
"""What must be known of a channel beside its unit."""

_BASIS_WORDS: Final = {
    "manifold_pressure": (
        ("absolute", r"\babs|\bmap\b|absolut"),
        ("gauge", r"gau?ge|boost|rel|\bpsig\b|\bbarg\b|ladedruck|überdruck"),
    ),
    "power": (
        ("flywheel", r"flywheel|crank|engine|motor|brake|\bbhp\b|kupplung|shaft"),
        ("wheel", r"wheel|hub|\bwhp\b|\brwhp\b|rad|roller"),
    ),
    "torque": (
        ("flywheel", r"flywheel|crank|engine|motor|brake|kupplung|shaft"),
        ("wheel", r"wheel|hub|rad|roller"),
    ),
    "ambient_pressure": (
        ("sea level", r"sea level|qnh|msl|reduced|meteo"),
        ("station", r"station|baro|abs|cell|room|qfe|local"),
    ),
}

_STANDARD_WORDS: Final = (
    ("none", r"uncorr|unkorr|\braw\b|measured|gemessen"),
    ("sae_j607", r"j607|\bstd\b|\bstp\b"),
    ("sae_j1349_2004", r"j1349|\bsae\b"),
    ("iso_1585_spark", r"\biso\b|1585|\bece\b|\beec\b|\bewg\b"),
    ("din_70020", r"\bdin\b|70020"),
)


def plain(header: str) -> str:
    """Header in small letters, with marks and underscores as spaces, its unit taken off."""
    text = re.sub(r"[\[\(][^\]\)]*[\]\)]\s*$", "", header.strip())
    text = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text)
    return re.sub(r"[\s_\-./,:#]+", " ", text).strip().casefold()


def basis_of(channel: str, header: str, unit: str) -> str:
    """Basis that a header or a unit tells, else empty."""
    text = f"{plain(header)} {header.casefold()} {unit.casefold()}"
    if channel == "manifold_pressure":
        found = re.search(r"\b(?:psi|bar|kpa|mbar)\(?(g|a)\)?(?:$|\W)", text)
        if found:
            return "gauge" if found[1] == "g" else "absolute"
    for basis, words in _BASIS_WORDS.get(channel, ()):
        if re.search(words, text):
            return basis
    return ""


def standard_of(header: str) -> str:
    """Standard that the header of a power says it is corrected to, else empty."""
    text = f"{plain(header)} {header.casefold()}"
    for standard, words in _STANDARD_WORDS:
        if re.search(words, text):
            return standard
    return ""


def unit_of_text(text: str, channel: str) -> str:
    """Symbol of a unit as written in a log, for a channel; empty where it is none."""
    quantity = CHANNEL[channel].quantity
    written = text.strip().strip("[]()").strip()
    if not written:
        return ""
    if channel == "mixture":
        small = written.casefold()
        if small in ("afr", ":1", "afr petrol"):
            return AIR_TO_FUEL
        return "-" if small in ("lambda", "λ", "-", "la") else ""
    for one in (written, written.rstrip("gaGA").strip(), written.replace("abs", "").strip()):
        try:
            to_si(1.0, one, quantity)
        except ValueError:
            continue
        return _symbol(one, quantity)
    return ""


def _symbol(written: str, quantity: str) -> str:
    """Own symbol of a unit, by its factor and offset."""
    one, zero = to_si(1.0, written, quantity), to_si(0.0, written, quantity)
    for unit in UNITS:
        if unit.quantity == quantity:
            same = (1.0 + unit.offset) * unit.factor == one and unit.offset * unit.factor == zero
            if same:
                return unit.symbol
    return written
