"""The model's functions for the reference rows of dyno correction."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engine_model.air.atmosphere import saturation_pressure
from engine_model.dyno import factors
from engine_model.dyno.factors import Air

Values = Mapping[str, float]


def dry(x: Values, **more) -> Air:
    return Air(x["p_dry"], 0.0, x.get("T", x.get("t_inlet")), **more)


def general(x: Values) -> Values:
    return {"CF": factors.sae_2004(dry(x, mechanical_efficiency=x["eta_mech"]))}


def j607(x: Values) -> Values:
    vapour = x["RH"] * saturation_pressure(x["t"])
    return {"CF": factors.sae_j607(Air(x["p_baro"], vapour, x["t"]))}


def compression(x: Values) -> Values:
    air = dry(x, fuel_per_litre=x["q_c"])
    return {
        "f_a": factors.atmospheric_factor(air),
        "f_m": factors.engine_exponent(x["q_c"]),
        "alpha_d": factors.iso_compression(air),
    }


FUNCTIONS: dict[str, Callable[[Values], Values]] = {
    "J1349, 1990": lambda x: {"CF": factors.sae_1990(dry(x))},
    "J1349, mechanical efficiency": general,
    "J607": j607,
    "ISO 1585, spark": lambda x: {"alpha_a": factors.iso_spark(dry(x))},
    "ISO 1585, compression": compression,
    "DIN 70020": lambda x: {"K": factors.din_70020(Air(x["p_total"], 0.0, x["t"]))},
}
