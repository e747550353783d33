"""What stands in a file of the tracing of a map: in the map itself, or in a draft of its own."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, Struct, field

TRACE_FORMAT = "pulleywright-trace"
MOST_PLACES = 24
MOST_TRACED_CURVES = 200
MOST_NODES = 500
MOST_PATH_POINTS = 5000

Pair = tuple[float, float]
Places = Annotated[list[Pair], Meta(max_length=MOST_PLACES)]
Numbers = list[Annotated[int, Meta(ge=0, le=MOST_PATH_POINTS)]]
_PIXELS = "pixels of the picture at its working size, x to the right and y down"


class PictureRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """The picture that was traced; scale: pixels of its working size to one of the original."""

    name: str = ""
    width_px: Annotated[int, Meta(ge=0, le=1_000_000)] = 0
    height_px: Annotated[int, Meta(ge=0, le=1_000_000)] = 0
    page: Annotated[int, Meta(ge=0, le=1_000_000)] = 0
    scale: float = 1.0


class AxesRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """What is known of the picture's axes; null where it has not been said yet."""

    corner_values: Annotated[
        Places, Meta(description="[flow in flow_unit, pressure ratio] at each of corners_px")
    ] = field(default_factory=list)
    flow_kind: Literal["mass", "corrected_mass", "volume"] | None = None
    density_kg_m3: float | None = None
    reference_temperature_k: float | None = None
    reference_pressure_pa: float | None = None
    pressure_basis: Literal["total_to_total", "total_to_static"] | None = None
    check_px: Pair | None = None
    check_value: Pair | None = None


class TracedCurveRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """One traced curve: the nodes of the pen and the path along the ink."""

    kind: Literal["speed_line", "surge_line", "choke_line", "island"]
    corrected_speed_rpm: float | None = None
    efficiency: float | None = None
    closed: bool = False
    nodes_px: Annotated[list[Pair], Meta(max_length=MOST_NODES, description=_PIXELS)]
    free_nodes: Annotated[
        Numbers, Meta(description="nodes whose stretch before them does not follow the ink")
    ] = field(default_factory=list)
    path_px: Annotated[list[Pair], Meta(max_length=MOST_PATH_POINTS, description=_PIXELS)] = field(
        default_factory=list
    )
    breaks: Annotated[Numbers, Meta(description="the point of path_px at every node")] = field(
        default_factory=list
    )


class TraceRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """How a map was traced from a picture, and all that is needed to take the work up again."""

    picture_sha256: str
    corners_px: Annotated[Places, Meta(description="known points; " + _PIXELS)]
    flow_unit: str | None
    picture_png_base64: str | None = None
    picture: PictureRecord | None = None
    axes: AxesRecord | None = None
    curves: Annotated[list[TracedCurveRecord], Meta(max_length=MOST_TRACED_CURVES)] = field(
        default_factory=list
    )
    notes: str = ""
