"""The one table of editable inputs as a person sees them.

Values, ranges, spreads and origins come from ``engine_model.defaults``; here stand the words,
the kind of display and the place on the panel.
"""

from __future__ import annotations

from app.fields.field import Field
from app.fields.field import field_of as _f

FIELDS: tuple[Field, ...] = (
    _f("engine.displacement", "Displacement", "Swept volume of all cylinders", ten=True),
    _f("engine.cylinders", "Cylinders", "Number of cylinders"),
    _f("engine.stroke", "Stroke", "Piston stroke; gives the mean piston speed"),
    _f("engine.compression_ratio", "Compression ratio", "Geometric compression ratio"),
    _f("engine.limiter", "Limiter", "Engine speed at which the limiter cuts", ten=True),
    _f("engine.over_rev", "Over-rev", "Engine speed of a missed shift, judged besides the limiter"),
    _f("engine.stock_torque", "Stock peak torque", "Flywheel torque of the stock engine", ten=True),
    _f("engine.stock_torque_speed", "at engine speed", "Engine speed of the stock peak torque"),
    _f("engine.stock_power", "Stock peak power", "Flywheel power of the stock engine", ten=True),
    _f("engine.stock_power_speed", "at engine speed", "Engine speed of the stock peak power"),
    _f("engine.stock_fuel", "Stock fuel", "Fuel of the stock figures"),
    _f("engine.stock_mixture", "Stock mixture", "Lambda of the stock engine at full throttle"),
    _f("engine.fuel", "Fuel", "Fuel of the blown engine", ten=True),
    _f(
        "engine.ethanol_share",
        "Ethanol in it",
        "By volume, as a tester reads it; blank: as the fuel's name says. Given, the fuel is the "
        "table's petrol and ethanol mixed, octane by moles: at 10 % 98 and at 85 % 108, where the "
        "names E10 and E85 stand for 95 and 105, mixed from weaker petrol. An octane number typed "
        "wins; for a blend of your own, type it where it is known",
        "share",
    ),
    _f("engine.mixture", "Mixture", "Lambda of the blown engine at full throttle", slider=True),
    _f("engine.injection", "Injection", "Into the port or directly into the cylinder"),
    _f(
        "engine.friction_scale", "Friction scale", "Factor on the friction correlation", slider=True
    ),
    _f(
        "engine.indicated_constant",
        "Indicated constant",
        "Indicated over ideal-cycle efficiency",
        slider=True,
    ),
    _f(
        "engine.ve_temperature_exponent",
        "VE temperature exponent",
        "Exponent of charge temperature in volumetric efficiency",
    ),
    _f("engine.rated_flow", "Rated flow", "Air flow at which the losses are stated"),
    _f(
        "engine.volumetric_efficiency",
        "Volumetric efficiency",
        "Table against engine speed; replaces the fit to the stock figures",
    ),
    _f("engine.octane", "Octane number", "Research octane number of the fuel it runs on"),
    _f(
        "engine.stock_half_burnt",
        "Half burnt, stock",
        "Crank angle at which half has burnt in the stock engine at its torque peak",
    ),
    _f(
        "engine.spark",
        "Spark in the power",
        "As the stock engine's, or with the retard that the estimate of knock asks for",
    ),
    _f("blower.step_up", "Step-up", "Speed ratio of the gear inside the blower"),
    _f("blower.maximum_impeller_speed", "Maximum impeller speed", "The part maker's limit"),
    _f("blower.gear_efficiency", "Gear efficiency", "Efficiency of the blower's gear"),
    _f("blower.bearing_loss", "Bearing loss", "Loss of bearings and oil at 50 000 rpm"),
    _f(
        "blower.typed_efficiency",
        "Typed efficiency",
        "For a compressor map that carries no efficiency",
    ),
    _f("drive.kind", "Kind of drive", "Belt, turbocharger (free shaft) or no blower"),
    _f("drive.crank_pulley_diameter", "Crank pulley", "Outside diameter", ten=True, slider=True),
    _f("drive.blower_pulley_diameter", "Blower pulley", "Outside diameter", ten=True, slider=True),
    _f("drive.belt_section", "Belt section", "Profile of the belt's ribs"),
    _f(
        "drive.pitch_offset",
        "Pitch offset",
        "Height of the belt's pitch line over the outside diameter",
    ),
    _f("drive.ribs", "Ribs", "Number of ribs of the belt"),
    _f("drive.tensioner", "Tensioner", "Sprung, or fixed centres"),
    _f("drive.wrap", "Wrap", "Arc of contact on the blower pulley, where no belt path is drawn"),
    _f("drive.crank_wrap", "Crank wrap", "Arc of contact on the crank pulley"),
    _f("drive.belt_friction", "Belt friction", "Ribs in their grooves, wedge included"),
    _f("drive.mass_per_rib", "Mass of a rib", "Per length; a toothed belt's whole width"),
    _f(
        "drive.sprung_tension",
        "Sprung tension, a rib",
        "Slack span over the centrifugal tension; what a spring idler holds",
    ),
    _f("drive.fixed_tension", "Static tension, a rib", "Between fixed centres, at rest"),
    _f(
        "drive.tension_allowance",
        "Tension allowed, a rib",
        "Tight side, centrifugal tension included",
    ),
    _f("drive.smallest_pulley", "Smallest pulley", "Least outside diameter the belt may bend to"),
    _f("drive.belt_creep", "Creep", "Speed lost to the belt's stretch, without slip", "share"),
    _f(
        "drive.accessory_power",
        "Accessories on the belt",
        "Power of everything else it drives, at the limiter",
    ),
    _f("drive.impeller_inertia", "Impeller inertia", "Impeller and shaft, at impeller speed"),
    _f("drive.shift_drop", "Drop in a shift", "Engine speed lost in a hard shift"),
    _f("drive.shift_time", "Time of a shift", "In which the engine speed drops"),
    _f(
        "drive.fitted_pulley_diameter",
        "Pulley the belt fits",
        "Outside diameter with which the present belt stands as told",
    ),
    _f(
        "drive.belt_take_up",
        "Belt take-up",
        "Belt length that the tensioner takes up or gives, each way",
    ),
    _f(
        "drive.boost_schedule",
        "Boost schedule",
        "Turbocharger: boost against engine speed as a share of the limiter",
    ),
    _f("drive.boost_schedule_basis", "Schedule basis", "Gauge to the day, or absolute"),
    _f("bypass.boost_cap", "Boost cap", "Boost at which the bypass opens; blank: shut"),
    _f("bypass.vent", "Bypass vents", "Back to the compressor inlet, or to atmosphere"),
    _f(
        "inlet.temperature_rise",
        "Inlet air over the day",
        "How much warmer the air is at the compressor inlet",
        slider=True,
    ),
    _f("inlet.pressure_loss", "Inlet loss", "Filter and duct, at the rated flow", slider=True),
    _f("cooler.kind", "Charge cooler", "None, air-to-air or liquid"),
    _f(
        "cooler.effectiveness",
        "Cooler effectiveness",
        "At the rated flow",
        ten=True,
        slider=True,
    ),
    _f("cooler.capacity_ratio", "Capacity ratio", "Smaller over larger heat capacity flow"),
    _f("cooler.coolant_rise", "Coolant over the day", "Coolant at the charge core's inlet"),
    _f(
        "cooler.pressure_loss",
        "Cooler loss",
        "Charge side with its ducts, at the rated flow",
        slider=True,
    ),
    _f(
        "cooler.reservoir_volume",
        "Coolant",
        "All the liquid of the loop, reservoir and hoses",
        "coolant_volume",
    ),
    _f("cooler.glycol_share", "Glycol in it", "Share of ethylene glycol in the water", "share"),
    _f("cooler.pump_flow", "Pump flow", "Coolant through the charge core", "coolant_flow"),
    _f(
        "cooler.front_effectiveness",
        "Front exchanger",
        "Its effectiveness at a stated air flow and the pump's flow",
    ),
    _f("cooler.front_rated_flow", "at air flow", "Air flow at which that is stated"),
    _f("cooler.front_area", "Its face", "Area of front exchanger or core"),
    _f(
        "cooler.pull_road_speed",
        "Road speed in a pull",
        "Gives the outside air through it",
        "road_speed",
    ),
    _f(
        "cooler.pause_road_speed",
        "Road speed between",
        "Between two pulls: gives the outside air through it",
        "road_speed",
    ),
    _f("cooler.fan_flow", "Fan", "Air that a fan moves through it, always"),
    _f(
        "cooler.stated_road_speed",
        "Stated at road speed",
        "Road speed at which the effectiveness is stated",
        "road_speed",
    ),
    _f("cooler.core_mass", "Core mass", "Metal of the charge core"),
    _f("cooler.core_metal", "Core metal", "Gives its specific heat"),
    _f("cooler.bay_rise", "Engine bay over the day", "How much warmer the engine bay is"),
    _f(
        "cooler.bay_heat",
        "Heat of the bay",
        "Into coolant or core as cold as the day",
        "small_power",
    ),
    _f("cooler.start_rise", "At the start", "Coolant or core over the day, before the first pull"),
    _f("cooler.ice_mass", "Ice", "Put into the reservoir before the first pull"),
    _f(
        "cooler.pull_time",
        "Time of a pull",
        "From the lowest engine speed to the limiter",
        "duration",
    ),
    _f("cooler.pause_time", "Time between pulls", "From one pull to the next", "duration"),
    _f("cooler.pulls", "Pulls", "Number of pulls, one after another"),
    _f("exhaust.pressure_loss", "Exhaust loss", "Back pressure at the rated flow", slider=True),
    _f(
        "exhaust.turbine_back_pressure",
        "Turbine back pressure",
        "Turbocharger: share of the compressor's pressure rise",
    ),
    _f(
        "fuel_system.injector_flow",
        "Injector flow",
        "Static flow of one injector. In lb/h too, read at the rated density below: at 0.720 g/cc "
        "10.5 cc/min go on 1 lb/h",
    ),
    _f("fuel_system.injectors", "Injectors", "Number of injectors"),
    _f(
        "fuel_system.injector_rating_pressure",
        "Rated at",
        "Pressure across an injector at which its flow is stated",
    ),
    _f(
        "fuel_system.injector_rating_density",
        "Rated density",
        "Density at which its flow is stated",
        "fuel_density",
    ),
    _f("fuel_system.rail_pressure", "Rail pressure", "What the regulator holds, gauge"),
    _f(
        "fuel_system.rail_reference",
        "Rail held over",
        "What the regulator feels; over the ambient, boost works against the injectors",
    ),
    _f("fuel_system.pump_flow", "Pump flow", "What the fuel pump delivers", "pump_flow"),
    _f("fuel_system.pump_pressure", "at pressure", "At which the pump's flow is stated, gauge"),
    _f(
        "fuel_system.pump_shut_off",
        "Pump gives nothing at",
        "Gauge pressure against which it delivers no more; its flow falls straight to there",
    ),
    _f("fuel_system.pump_reserve", "Pump reserve", "Over what the engine burns", "share"),
    _f(
        "driveline.loss",
        "Driveline loss",
        "Share lost between flywheel and wheels",
        "share",
        ten=True,
        slider=True,
    ),
    _f("driveline.constant_loss", "Constant loss", "Loss that does not grow with power"),
    _f("bounds.boost", "Boost", "Highest boost allowed"),
    _f("bounds.surge_margin", "Surge margin", "Least 1 - W_s/W at equal speed", "share"),
    _f("bounds.choke_margin", "Choke margin", "Least W_ch/W - 1 at equal speed", "share"),
    _f(
        "bounds.surge_judged_above",
        "Surge judged above",
        "Pressure ratio below which surge is weak",
    ),
    _f("bounds.charge_temperature", "Charge temperature", "Highest in the manifold"),
    _f("bounds.inlet_depression", "Inlet depression", "Largest before the compressor"),
    _f("bounds.piston_speed", "Mean piston speed", "Highest at the limiter"),
    _f("bounds.tip_speed", "Tip speed", "Highest of the impeller, at the over-rev"),
    _f("bounds.belt_speed", "Belt speed", "Highest, at the limiter"),
    _f("bounds.belt_slip", "Belt slip", "Over this it is not steady", "share"),
    _f("bounds.hub_load", "Hub load", "Of the belt on the blower's shaft: the part maker's"),
    _f("bounds.knock_retard", "Less advance", "Most that is asked for against the stock engine"),
    _f(
        "bounds.cylinder_pressure",
        "Cylinder pressure",
        "Highest in the cylinder, absolute, as if the spark were the stock engine's",
    ),
    _f("bounds.belt_shift", "Belt in a shift", "Whether a belt that slips in a shift is judged"),
    _f("bounds.injector_duty", "Injector duty", "Highest share of the time open", "share"),
    _f("bounds.torque", "Torque", "Highest at the flywheel: what gearbox and crank are good for"),
    _f("bounds.power", "Power", "Highest at the flywheel: what engine and driveline are good for"),
    _f("bounds.exhaust_pressure", "Exhaust pressure", "Highest at the port, gauge"),
    _f(
        "bounds.manifold_sensor",
        "Manifold sensor reads",
        "Highest pressure that its sensor reads, absolute",
    ),
    _f("bounds.air_meter", "Air meter reads", "Highest flow that the air meter reads"),
    _f("target.power", "Target power", "What was promised", ten=True),
    _f("target.basis", "Target at", "Wheel or flywheel"),
    _f("target.day", "Target day", "Day of the promise; blank: the day shown"),
)
"""Every editable input of a build, in reading order."""

DAY_FIELDS: tuple[Field, ...] = (
    _f("day.altitude", "Altitude", "Geopotential height above sea level", "altitude"),
    _f(
        "day.pressure",
        "Station pressure, not reduced to sea level",
        "At the place itself, not reduced to sea level as weather reports give it",
    ),
    _f("day.temperature", "Temperature", "Air temperature"),
    _f("day.relative_humidity", "Relative humidity", "Relative humidity", "share"),
)
"""Inputs of a day."""

FIELD: dict[str, Field] = {one.path: one for one in (*FIELDS, *DAY_FIELDS)}
"""Fields by path."""
