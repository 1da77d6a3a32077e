"""Fluids, cooling unit, cabinet, cup and wires: what is published, and what the model makes of it."""

import numpy as np
from matplotlib.figure import Figure

from warmside.colours import BLUE, DARK, GREEN
from warmside.data import load
from warmside.model.bench import on_a_bench
from warmside.model.circuit import gauge_area, wire_resistance
from warmside.model.cup import cup_heat_capacity, cup_temperature, time_constant
from warmside.model.fuse import wire_fuse
from warmside.properties import ammonia, ammonia_water, water
from warmside.show.comparison import (
    FORMULA,
    OURS,
    POINT,
    RANGE,
    Comparison,
    apart,
    axes_of,
    degrees_apart,
    fahrenheit,
)

_PSI, _BAR, _FREEZING = 6894.757, 1e5, 273.15

CONDENSING = ((2, 10, 15, 20, 25), (-18.842, 24.913, 38.718, 49.371, 58.174))
"""CoolProp 8.0.0, ammonia (Gao et al. 2020): pressure [bar], temperature of saturation [°C]."""


def _ammonia(figure: Figure) -> str:
    bar, celsius = (np.array(each) for each in CONDENSING)
    pressure = np.linspace(1.5, 26.0, 80) * _BAR
    axes = axes_of(figure, xlabel="Pressure in the unit (psia)", ylabel="Can condense below (°F)")
    axes.plot(pressure / _PSI, fahrenheit(ammonia.saturation_temperature(pressure)), **OURS)
    points = celsius + _FREEZING
    axes.plot(bar * _BAR / _PSI, fahrenheit(points), marker="o", **POINT, label="CoolProp 8")
    return f"Apart by {degrees_apart(ammonia.saturation_temperature(bar * _BAR), points)}."


BOILING = (
    (10, 0.1, 424.3563),
    (10, 0.3, 377.6259),
    (10, 0.5, 337.9961),
    (10, 0.7, 313.1888),
    (20, 0.1, 457.3443),
    (20, 0.2, 433.361),
    (20, 0.3, 409.8703),
    (20, 0.9, 327.1469),
)
"""The international formulation as iapws 1.5.5 computes it: pressure [bar], moles of ammonia in one, [K]."""
SECOND_OPINION = ((5, 0.4, 331.2588499), (10, 0.5, 338.6086885), (20, 0.9, 327.2469496))
"""J. Pátek and J. Klomfar, Int. J. Refrigeration 18 (1995) 228, correlation; the same three."""


def _mass_fraction(moles: np.ndarray) -> np.ndarray:
    return moles * 17.03026 / (moles * 17.03026 + (1.0 - moles) * 18.015268)


def _mixture(figure: Figure) -> str:
    moles = np.linspace(0.05, 0.95, 80)
    axes = axes_of(figure, xlabel="Ammonia in the solution (% of the moles)", ylabel="Boils at (°F)")
    for bar, style in ((5, ":"), (10, "--"), (20, "-")):
        boils = ammonia_water.bubble_temperature(bar * _BAR, _mass_fraction(moles))
        label = f"Warmside, {bar} bar"
        axes.plot(100.0 * moles, fahrenheit(boils), color=BLUE, linestyle=style, label=label)
    off = []
    for points, marker, label in (
        (BOILING, "o", "Formulation, iapws"),
        (SECOND_OPINION, "D", "Pátek and Klomfar"),
    ):
        bar, part, kelvins = np.array(points).T
        axes.plot(100.0 * part, fahrenheit(kelvins), marker=marker, **POINT, label=label)
        ours = ammonia_water.bubble_temperature(bar * _BAR, _mass_fraction(part))
        off.append(degrees_apart(ours, kelvins))
    return f"Differs by {off[0]} from the formulation, by {off[1]} from the second opinion."


HEAT_OF_WATER = ((4, 5, 10, 20), (4207.5026, 4205.0377, 4195.1589, 4184.0509))
"""CoolProp 8.0.0, water (IAPWS-95): [°C], specific heat [J/(kg K)]."""


def _water(figure: Figure) -> str:
    celsius, published = (np.array(each) for each in HEAT_OF_WATER)
    kelvins = np.linspace(0.1, 30.0, 60) + _FREEZING
    axes = axes_of(figure, xlabel="Water at (°F)", ylabel="Specific heat (J/(kg K))")
    axes.plot(fahrenheit(kelvins), water.specific_heat(kelvins), **OURS)
    axes.plot(fahrenheit(celsius + _FREEZING), published, marker="o", **POINT, label="CoolProp 8")
    return f"Apart by {apart(water.specific_heat(celsius + _FREEZING), published)}."


BENCH_HEAT, BEST_COP, MOST_COOLING = (250.0, 700.0), 0.28, 110.0
"""ASME Heat Transfer Summer Conference 2017, V001T09A004, abstract: heat, best COP, most cooling [W]."""


def _cop_and_cooling(heat: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    state, _ = on_a_bench(heat)
    return np.asarray(state.cop), np.asarray(state.capacity)


def _bench(figure: Figure) -> str:
    heat = np.linspace(*BENCH_HEAT, 91)
    cop, cooling = _cop_and_cooling(heat)
    wanted = (("Cold for the heat (COP)", cop, BEST_COP), ("Cooling (W)", cooling, MOST_COOLING))
    for axes, (what, ours, best) in zip(figure.subplots(1, 2), wanted, strict=True):
        axes.set(xlabel="Heat (W)", ylabel=what, ylim=(0.0, 1.15 * ours.max()))
        axes.plot(heat, ours, **OURS)
        axes.plot(heat, np.full(heat.shape, best), **FORMULA, label="Best one measured")
    return (
        f"Ours has {cop.max():.2f} and {cooling.max():.0f} W at best, the measured one {BEST_COP:.2f} and "
        f"{MOST_COOLING:.0f} W: another unit, and a smaller one."
    )


def _plateau(figure: Figure) -> str:
    heat = np.linspace(225.0, 800.0, 116)
    cop, cooling = _cop_and_cooling(heat)
    best = int(cop.argmax())
    axes = axes_of(figure, xlabel="Heat (W)", ylabel="Over its best", ylim=(0.0, 1.1))
    axes.plot(heat, cop / cop[best], **OURS | {"label": "Warmside, COP"})
    axes.plot(heat, cooling / cooling.max(), color=GREEN, linestyle="--", label="Warmside, cooling")
    axes.text(0.02, 0.76, "Published:\nlosses rule,\nCOP is small", transform=axes.transAxes)
    axes.text(0.64, 0.06, "Published: cooling\nstays as it is", transform=axes.transAxes)
    axes.axvline(float(heat[best]), color=DARK, linewidth=1.0)
    left = cop[[0, -1]] / cop[best]
    before, after = (
        (cooling[to] - cooling[start]) / (heat[to] - heat[start]) for start, to in ((0, best), (best, -1))
    )
    return (
        f"COP is best at {heat[best]:.0f} W; at the least heat {left[0]:.2f} of that is left, at the most "
        f"{left[1]:.2f}. Cooling rises {after / before:.2f} times as fast beyond it as before."
    )


def _cabinets(figure: Figure) -> str:
    table, sizes = load("cabinets"), load("cabinets").columns
    foam = []
    for size in sizes:
        width, height = table.in_column("door_width", size), table.in_column("door_height", size)
        depth = table.in_column("food_volume", size) / (width * height) + 0.05
        walls = 2.0 * (width * depth + width * height + depth * height) / 0.035
        shape = walls + 0.54 * 4.0 * (width + depth + height) + 8.0 * 0.15 * 0.035
        foam.append([conductivity * shape for conductivity in FOAM])
    ours = np.array([table.in_column("food_conductance", size) for size in sizes])
    low, high = np.array(foam).T
    axes = axes_of(figure, ylabel="Heat through the walls (W/K)", ylim=(0.0, 1.15 * high.max()))
    places = np.arange(len(sizes))
    axes.bar(places, high - low, bottom=low, width=0.5, **RANGE, label="35 mm of foam")
    axes.plot(places, ours, marker="o", **POINT | {"color": BLUE}, label="Warmside")
    axes.set_xticks(places, sizes)
    share = ours / (0.5 * (low + high))
    return f"Ours lets through {share.min():.2f} to {share.max():.2f} of what such foam would."


FOAM = (0.020, 0.026)
"""Aged polyurethane [W/(m K)]: ASHRAE Handbook, Fundamentals, chapter 26, page not read."""
CUP = ((1, 5, 24), (11.0184, 4.2598, 4.0000))
"""Lumped capacitance worked with CoolProp 8.0.0: [hours], [°C] of 249.926 g in air of 4 °C from 20 °C."""


def _cup(figure: Figure) -> str:
    tau = float(time_constant(cup_heat_capacity(0.249926), 8 * 0.03))
    hours, celsius = (np.array(each) for each in CUP)
    time = np.linspace(0.0, 24.0, 100)
    axes = axes_of(figure, xlabel="Hours in the box", ylabel="Cup (°F)", xticks=range(0, 25, 4))
    axes.plot(time, fahrenheit(cup_temperature(3600.0 * time, 293.15, 277.15, tau)), **OURS)
    points = celsius + _FREEZING
    axes.plot(hours, fahrenheit(points), marker="o", **POINT, label="Worked apart")
    return f"Apart by {degrees_apart(cup_temperature(3600.0 * hours, 293.15, 277.15, tau), points)}."


WIRES = ((14, 12, 10, 8), (3.07, 1.93, 1.21, 0.764))
"""NFPA 70, chapter 9, table 8, solid uncoated copper at 75 °C: gauge, resistance [ohm for 1000 ft]."""


def _wires(figure: Figure) -> str:
    gauges, published = (np.array(each) for each in WIRES)
    all_gauges = np.arange(18, 5, -1)
    hot, length = _FREEZING + 75.0, 304.8
    axes = axes_of(figure, xlabel="Gauge of the wire", ylabel="Ohm for 1000 ft", xticks=range(6, 19, 2))
    axes.plot(all_gauges, wire_resistance(gauge_area(all_gauges), length, hot), **OURS)
    axes.plot(gauges, published, marker="o", **POINT, label="Electrical code, table 8")
    axes.invert_xaxis()
    return f"Apart by {apart(wire_resistance(gauge_area(gauges), length, hot), published)}."


FUSES = ((14, 12, 10), (15.0, 20.0, 30.0))
"""NFPA 70, 240.4(D), from memory: gauge of copper, largest fuse [A]."""


def _fuses(figure: Figure) -> str:
    gauges, published = FUSES
    areas = np.linspace(1.6, 6.0, 300)
    axes = axes_of(figure, xlabel="Copper (mm²)", ylabel="Largest fuse (A)", ylim=(0.0, 35.0))
    axes.plot(areas, [wire_fuse(area * 1e-6) for area in areas], **OURS)
    axes.plot(1e6 * gauge_area(gauges), published, marker="o", **POINT, label="Electrical code, from memory")
    for gauge, fuse in zip(gauges, published, strict=True):
        axes.text(1e6 * float(gauge_area(gauge)) + 0.06, fuse - 3.0, f"gauge {gauge}")
    return "The same."


UNIT = (
    Comparison(
        "A cooling unit on a bench",
        "ASME Heat Transfer Summer Conference 2017, V001T09A004, abstract: hydrogen at 20.7 bar, 22 °C, 250 "
        "to 700 W, its box as warm as the room",
        True,
        "It was in view when the form of the model's pump was chosen. So it proves nothing, and no test "
        "asserts it. No single points are published, only the best of each.",
        "Two line charts over the heat, 250 to 700 W. The COP rises to a peak near 550 W and falls; the "
        "cooling rises and levels off. A dashed level line in each shows the best one measured, below our "
        "peak.",
        _bench,
    ),
    Comparison(
        "Too little heat, and more than enough",
        "G. Starace and L. De Pascalis, Int. J. Refrigeration 35 (2012) 605, abstract; itself computed",
        False,
        "The abstract was known, and no number was set by it. It gives the shape alone: at low heat losses "
        "rule and COP is small; beyond a threshold cooling stays as it is, where ours still creeps up; COP "
        "is best in between.",
        "Line chart of COP and cooling over the heat, each over its best: COP rises to a peak and falls, "
        "cooling rises and levels off at the peak of the COP.",
        _plateau,
    ),
    Comparison(
        "Where ammonia condenses",
        "CoolProp 8.0.0, ammonia (Gao and others 2020)",
        True,
        "The model's curve is fitted to this library, so the picture shows only that it was fitted well. It "
        "matters: at no pressure does ammonia condense in air that is hotter than this.",
        "Line chart of the temperature below which ammonia condenses over the pressure, from 0 °F at 30 "
        "psia to 137 °F at 360 psia: five points lie on the model's line.",
        _ammonia,
    ),
    Comparison(
        "Where ammonia boils out of water",
        "International formulation (IAPWS G4-01, 2001), by iapws 1.5.5; J. Pátek and J. Klomfar, Int. J. "
        "Refrigeration 18 (1995) 228",
        True,
        "The model's table is made from the first, with another program. Nothing was made from the second.",
        "Line chart of boiling points over the ammonia in the solution, three falling lines for 5, 10 and "
        "20 bar: round points of the formulation and diamonds of a second opinion lie on them.",
        _mixture,
    ),
    Comparison(
        "Water in the cup",
        "CoolProp 8.0.0, water (IAPWS-95)",
        True,
        "The model's curve is fitted to the same formulation by another library.",
        "Line chart of the specific heat of water over its temperature, 32 to 86 °F, falling by a percent: "
        "four points lie on the line.",
        _water,
    ),
    Comparison(
        "A cup that cools",
        "F. P. Incropera and others, Fundamentals of Heat and Mass Transfer, chapter 5, worked apart",
        False,
        "Nothing is fitted: the model takes this equation. The cup here is the example's, not the model's.",
        "Line chart of a cup over 24 hours, falling from 68 to 39 °F within six hours: three points worked "
        "apart lie on the model's line.",
        _cup,
    ),
    Comparison(
        "Walls of the cabinets",
        "ASHRAE Handbook, Fundamentals, chapter 26, foam of 0.020 to 0.026 W/(m K), page not read; shape "
        "factors of Incropera, table 4.1",
        False,
        "Nothing was fitted to it, and it doesn't come out: the walls were calibrated so that each size "
        "holds its rating, and they insulate better than such foam would.",
        "Chart of the heat that goes through the walls of three sizes: each of our points lies well below "
        "the hatched range of foam 35 mm thick.",
        _cabinets,
    ),
    Comparison(
        "Resistance of wires",
        "NFPA 70, chapter 9, table 8",
        False,
        "Nothing is fitted: ours follows from the gauge (ASTM B258) and copper (IEC 60028).",
        "Line chart of the ohms of 1000 ft over the gauge, falling from gauge 18 to 6: four printed points "
        "lie on the model's line.",
        _wires,
    ),
    Comparison(
        "Fuses for wires",
        "NFPA 70, 240.4(D), from memory",
        True,
        "The model's table holds these very numbers.",
        "Stepped line of the largest fuse over the wire's copper: it steps to 15, 20 and 30 A at three "
        "points.",
        _fuses,
    ),
)
"""Comparisons of what is inside: fluids, unit, cabinet, cup, wires."""
