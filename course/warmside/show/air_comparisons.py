"""Air, openings, gaps and fins: what is published, and what the model makes of it."""

from typing import Any

import numpy as np
from matplotlib.figure import Figure

from warmside.colours import RED
from warmside.data import load
from warmside.model import draught, enclosure
from warmside.properties import air
from warmside.show.comparison import FORMULA, OTHER, OURS, POINT, RANGE, Comparison, apart, axes_of

_LOUVRES, _RANGES, _PARAMETERS = load("louvres"), load("ensemble"), load("parameters").number
_CUBIC_METRES_AN_HOUR = 3600.0
_FOOT, _INCH, _PSI = 0.3048, 0.0254, 6894.757
_WIDE = 1e4  # m², m; holds no air back


def _two_openings(area: float, height: float, ambient: float) -> enclosure.AirPath:
    """Return an air path of two openings [m² with their loss] and a warm column between them [m]."""
    vent = area / _PARAMETERS("vent_discharge_coefficient")
    return enclosure.air_path(
        ambient_temperature=ambient,
        room_temperature=ambient,
        lower_area=vent,
        upper_area=vent,
        fin_area=_WIDE,
        baffle_gap=0.0,
        cavity_depth=_WIDE,
        width=_WIDE,
        absorber_height=0.0,
        outlet_height=height - _PARAMETERS("condenser_height"),
        side_gap=0.0,
        side_height=1.0,
        pocket_area=0.0,
    )


def _stack(figure: Figure) -> str:
    ambient, height, coefficient, area = 308.15, 1.5, 0.65, 0.02
    path = _two_openings(coefficient * area, height, ambient)
    heat = np.geomspace(3.0, 420.0, 60)
    flow = np.asarray(enclosure.air_flow(path, heat, 0.0).total)
    warmer = heat / (path.capacity * flow)
    inside = ambient + warmer
    published = coefficient * area * np.sqrt(2.0 * draught.GRAVITY * height / 2.0 * warmer / inside)
    axes = axes_of(figure, xlabel="Air inside warmer by (°F)", ylabel="Air that passes (m³/h)")
    axes.plot(1.8 * warmer, flow * _CUBIC_METRES_AN_HOUR, **OURS)
    axes.plot(1.8 * warmer, published * _CUBIC_METRES_AN_HOUR, **FORMULA, label="Handbook's formula")
    return f"Apart by {apart(flow, published)}."


def _vents(figure: Figure) -> str:
    angles, published = _LOUVRES.fields["blade_angle"].given, _LOUVRES.numbers("blade_discharge_coefficient")
    ours = _PARAMETERS("vent_discharge_coefficient")
    low, high = _RANGES.numbers("vent_discharge_coefficient")
    axes = axes_of(
        figure, xlabel="Angle of the blades (°)", ylabel="Part that passes", xticks=angles, ylim=(0, 1)
    )
    axes.axhspan(low, high, **RANGE, label="Warmside's plausible vents")
    axes.axhline(ours, **OURS)
    axes.plot(angles, published, marker="o", **POINT, label="Measured louvers")
    return f"Ours has {ours:.2f}, louvers at 15° and 30° have {published[1]:.2f} and {published[2]:.2f}."


def _slot(figure: Figure) -> str:
    gap, push, length, ambient = np.geomspace(5e-4, 0.2, 80), 0.1, 1.0, 310.0
    ours = np.asarray(draught.slot(gap, length, ambient).speed(push))
    narrow = gap**2 * push / (12.0 * air.viscosity(ambient) * length)
    wide = np.full(gap.shape, np.pi / (np.pi + 2.0) * np.sqrt(2.0 * push / air.density(ambient)))
    axes = axes_of(
        figure,
        xlabel="Width of the gap (in)",
        ylabel="Speed of the air (m/s)",
        xscale="log",
        yscale="log",
        ylim=(5e-5, 2.0),
    )
    axes.plot(gap / _INCH, ours, **OURS)
    seen = narrow < 1.5
    axes.plot(gap[seen] / _INCH, narrow[seen], **FORMULA, label="Friction alone (White)")
    axes.plot(gap / _INCH, wide, **OTHER, label="No friction (Kirchhoff)")
    widths = [1 / 16, 1 / 4, 1, 4]
    axes.set_xticks(widths, ["1/16", "1/4", "1", "4"])
    axes.minorticks_off()
    ends = 100.0 * (1.0 - ours[0] / narrow[0]), 100.0 * (1.0 - ours[-1] / wide[-1])
    return f"{ends[0]:.1f} % below friction at the narrow end, {ends[1]:.0f} % below the other at the wide."


_CONDUCTIVITY = 0.0270  # W/(m K), of air at 310 K, from memory


def _elenbaas(spacing: Any, length: float, warmer: float, pressure: Any = air.ATMOSPHERE) -> Any:
    """Return Elenbaas's number of upright plates in air of 310 K."""
    push = draught.buoyancy(310.0, 1.0, pressure) * warmer
    density, viscosity = air.density(310.0, pressure), air.viscosity(310.0)
    heat = air.specific_heat(310.0)
    return density * heat * push * spacing**4 / (viscosity * _CONDUCTIVITY * length)


def _bar_cohen_and_rohsenow(number: Any) -> Any:
    """Return Nusselt's number of upright plates, both alike: J. Heat Transfer 106 (1984) 116, from memory."""
    return (576.0 / number**2 + 2.873 / np.sqrt(number)) ** -0.5


def _channel(figure: Figure) -> str:
    spacing, length, warmer = np.geomspace(1e-3, 8e-3, 50), 0.15, 20.0
    number = _elenbaas(spacing, length, warmer)
    speed = draught.slot(spacing, length, 310.0).speed(draught.buoyancy(310.0, length) * warmer)
    given_off = air.density(310.0) * air.specific_heat(310.0) * speed * spacing / (2.0 * length)
    ours, published = given_off * spacing / _CONDUCTIVITY, _bar_cohen_and_rohsenow(number)
    axes = axes_of(
        figure, xlabel="Spacing of the plates (mm)", ylabel="Heat (Nusselt's number)", yscale="log"
    )
    axes.plot(1e3 * spacing, ours, **OURS)
    axes.plot(1e3 * spacing, published, **FORMULA, label="Bar-Cohen and Rohsenow 1984")
    axes.plot(1e3 * spacing, number / 24.0, **OTHER, label="Elenbaas, filled channel")
    narrow = spacing <= 2e-3
    near, all_of_it = apart(ours[narrow], published[narrow]), apart(ours, published)
    return f"Apart by {near} up to 2 mm, by {all_of_it} up to 8 mm."


def _thin_air(figure: Figure) -> str:
    altitude = np.linspace(0.0, 4000.0, 41)
    pressure = air.standard_pressure(altitude)
    ours = enclosure.in_thin_air(pressure, 0.0)
    axes = axes_of(figure, xlabel="Altitude (ft)", ylabel="Heat, over that at the sea")
    axes.plot(altitude / _FOOT, ours, **OURS)
    found = []
    for spacing, style in ((0.020, "--"), (0.012, ":")):
        here, sea = (
            _bar_cohen_and_rohsenow(_elenbaas(spacing, 0.15, 20.0, each))
            for each in (pressure, air.ATMOSPHERE)
        )
        label = f"Published, fins {1e3 * spacing:.0f} mm apart"
        axes.plot(altitude / _FOOT, here / sea, color=RED, linestyle=style, label=label)
        found.append(apart(ours, here / sea))
    return f"Differs by {found[0]} with fins 20 mm apart, by {found[1]} with 12 mm."


def _doorway(figure: Figure) -> str:
    warm = 293.15
    warmer = np.linspace(0.3, 10.0, 60)
    width, height = 0.5, 0.8
    ours = draught.doorway_flow(width, height, warm - warmer, warm)
    simple = width * height / 3.0 * np.sqrt(draught.GRAVITY * height * warmer / (warm - warmer / 2.0))
    low, high = (coefficient * simple * _CUBIC_METRES_AN_HOUR for coefficient in (0.6, 0.8))
    axes = axes_of(figure, xlabel="Colder inside by (°F)", ylabel="Air exchanged (m³/h)")
    axes.fill_between(1.8 * warmer, low, high, **RANGE, label="Brown and Solvason 1962, range")
    axes.plot(1.8 * warmer, ours * _CUBIC_METRES_AN_HOUR, **OURS)
    share = (ours / simple)[[0, -1]]
    return f"Ours has a coefficient of {share.min():.2f} to {share.max():.2f}; published are 0.6 to 0.8."


ATMOSPHERE = ((5000.0, 10000.0, 15000.0), (12.228, 10.108, 8.297))
"""U.S. Standard Atmosphere 1976 as handbooks print it: altitude [ft], pressure [psia]."""


def _atmosphere(figure: Figure) -> str:
    feet, psi = (np.array(each) for each in ATMOSPHERE)
    altitude = np.linspace(0.0, 16000.0, 50)
    axes = axes_of(figure, xlabel="Altitude (ft)", ylabel="Pressure of the air (psia)")
    axes.plot(altitude, air.standard_pressure(altitude * _FOOT) / _PSI, **OURS)
    axes.plot(feet, psi, marker="o", **POINT, label="Standard atmosphere, printed")
    return f"Apart by {apart(air.standard_pressure(feet * _FOOT) / _PSI, psi)}."


AIR = (
    Comparison(
        "Stack effect",
        'ASHRAE Handbook, Fundamentals, chapter "Ventilation and Infiltration": two openings of 0.02 m², '
        "1.5 m apart",
        False,
        "Nothing is fitted: the model is built on this formula, and the picture shows that it was built "
        "right. It takes the air inside as dense as that outside but for its weight, and so stands a little "
        "higher.",
        "Line chart of the air that passes over how much warmer it is inside, up to 46 °F: the model's line "
        "and the handbook's formula rise together like a square root, the model's a little higher.",
        _stack,
    ),
    Comparison(
        "Vents and louvers",
        "E3S Web of Conferences 396 (2023) 02030",
        True,
        "The vents' coefficient was put between these louvers, so this proves nothing.",
        "Chart of the part of an opening's air that louvers let through, over the angle of their blades: "
        "three measured points that fall from 0.8 to 0.4, and a level line of the model's vents in a "
        "hatched band.",
        _vents,
    ),
    Comparison(
        "A gap at the side",
        "F. M. White, Viscous Fluid Flow, for friction; G. Kirchhoff 1869 (Lamb, Hydrodynamics, article 75) "
        "for a slot without",
        False,
        "Nothing is fitted: the model is built on both. What it shows is why a narrow gap seals and a wide "
        "one doesn't.",
        "Chart with both scales in powers of ten: speed of the air in a gap over its width, at a tenth of a "
        "pascal. The model follows the line of friction up to a quarter of an inch, then bends to a level "
        "line.",
        _slot,
    ),
    Comparison(
        "Narrow fins",
        "W. Elenbaas 1942; A. Bar-Cohen and W. M. Rohsenow, J. Heat Transfer 106 (1984) 116, from memory",
        False,
        "Nothing was fitted to it. It tries the model's friction and draft where both decide; the model's "
        "own fins stand further apart.",
        "Chart of the heat that upright plates give off over their spacing, 1 to 8 mm, the heat in powers "
        "of ten: three lines rise together, and from 5 mm on the filled channel's stands above the others.",
        _channel,
    ),
    Comparison(
        "Thin air at fins",
        "A. Bar-Cohen and W. M. Rohsenow, J. Heat Transfer 106 (1984) 116, from memory",
        False,
        "Nothing was fitted to it. Close fins lose more in thin air than the model says.",
        "Line chart of the heat that fins give off over the altitude up to 13,000 ft, falling from 1 to "
        "about 0.8: the model's line, and two published ones for wide and for close fins, the latter a "
        "little lower.",
        _thin_air,
    ),
    Comparison(
        "Air that goes both ways through a door",
        "W. G. Brown and K. R. Solvason, Int. J. Heat Mass Transfer 5 (1962) 859, from memory: coefficients "
        "of 0.6 to 0.8",
        False,
        "The model takes the formula of Gosney and Olama 1975 for cold rooms; here it stands against "
        "another one, which is for small differences.",
        "Line chart of the air that an open door exchanges over how much colder it is inside: the model's "
        "line lies within the published hatched range.",
        _doorway,
    ),
    Comparison(
        "Air pressure at an altitude",
        "U.S. Standard Atmosphere 1976, as handbooks print it",
        False,
        "Nothing is fitted: the model takes the standard's own formula.",
        "Line chart of the air's pressure over the altitude up to 16,000 ft: three printed points lie on "
        "the model's line.",
        _atmosphere,
    ),
)
"""Comparisons of air and what it passes."""
