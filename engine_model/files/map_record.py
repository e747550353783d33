"""What stands in a file of a compressor map, key by key."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, Struct, field

from engine_model.files.trace_record import Pair, TraceRecord

MAP_FORMAT = "pulleywright-map"
VERSION = 1

MOST_CURVES = 100
MOST_POINTS = 2000

Curve = Annotated[list[Pair], Meta(min_length=2, max_length=MOST_POINTS)]
Reading = Annotated[list[float], Meta(min_length=2, max_length=3)]

_POINTS = "points [corrected flow in kg/s, pressure ratio]"


class ProvenanceRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """Where a map comes from."""

    kind: Literal["invented", "measured", "traced"]
    text: str = ""
    date: str = ""


class ReferenceRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """The total state that flow and speed are corrected to, pressure absolute."""

    temperature_k: float
    pressure_pa: float


class ImpellerRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """Size and mechanical limit of the impeller; null where unknown."""

    exducer_diameter_m: float | None = None
    inducer_diameter_m: float | None = None
    maximum_speed_rpm: float | None = None


class SpeedLineRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """One line of constant corrected speed, from surge to choke."""

    corrected_speed_rpm: float
    points: Annotated[
        list[Reading],
        Meta(
            min_length=2,
            max_length=MOST_POINTS,
            description=_POINTS + ", efficiency as an optional third",
        ),
    ]


class IslandRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """One outline of constant efficiency; open where the frame of the map cuts it off."""

    efficiency: float
    closed: bool
    points: Annotated[Curve, Meta(description=_POINTS)]


class MapRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """A digitised compressor map."""

    format: Literal["pulleywright-map"]
    version: Literal[1]
    title: str
    provenance: ProvenanceRecord
    reference: ReferenceRecord
    pressure_basis: Literal["total_to_total", "total_to_static"]
    impeller: ImpellerRecord = field(default_factory=ImpellerRecord)
    built_in_step_up: float = 1.0
    speed_lines: Annotated[list[SpeedLineRecord], Meta(min_length=2, max_length=MOST_CURVES)]
    islands: Annotated[list[IslandRecord], Meta(max_length=MOST_CURVES)] = field(
        default_factory=list
    )
    surge_line: Annotated[Curve, Meta(description=_POINTS + ", rising")]
    choke_line: Annotated[Curve | None, Meta(description=_POINTS)] = None
    trace: TraceRecord | None = None
