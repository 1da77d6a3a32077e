"""Wires and circuits against the wire gauge, published resistances, and other ways to work a circuit."""

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.model import heater_circuit as wiring
from warmside.model.circuit import gauge_area, heater_current, voltage_drop, wire_resistance
from warmside.model.heater_circuit import HeaterCircuit
from warmside.model.network import Circuit, Part
from warmside.properties.metals import copper_resistivity
from warmside.units import read_quantity, to_si

GAUGES = np.array([18, 16, 14, 12, 10, 8, 6])
WARM = 273.15 + 75.0
METER = 10e6  # ohm; of our voltmeter

resistances = st.floats(1e-2, 1e4)


def si(text: str, kind: str) -> float:
    return to_si(read_quantity(text, kind), kind)


def diameter(gauge: np.ndarray) -> np.ndarray:
    return np.sqrt(4.0 * gauge_area(gauge) / np.pi)


def test_diameters_and_areas_of_the_american_wire_gauge():
    # ASTM B258: 0.127 mm times 92 to the power of (36 - n)/39
    assert diameter(GAUGES) * 1e3 == pytest.approx(
        [1.0237, 1.2908, 1.6277, 2.0525, 2.5882, 3.2636, 4.1154], abs=5e-5
    )
    assert gauge_area(GAUGES) * 1e6 == pytest.approx(
        [0.8230, 1.3087, 2.0809, 3.3088, 5.2612, 8.3656, 13.3018], abs=6e-5
    )
    assert diameter(np.array([0, 36])) == pytest.approx([0.3249 * 0.0254, 0.0050 * 0.0254], abs=1.3e-6)


def test_resistances_of_the_gauges_for_a_kilometre():
    # IEC 60028 (resistivity and its coefficient at 20 °C) with the areas of ASTM B258 [ohm/km]
    cold = [20.9478, 13.1742, 8.2853, 5.2107, 3.2770, 2.0609, 1.2961]
    warm = [25.4756, 16.0218, 10.0762, 6.3370, 3.9854, 2.5064, 1.5763]
    assert wire_resistance(gauge_area(GAUGES), 1000.0) == pytest.approx(cold, rel=1e-4)
    assert wire_resistance(gauge_area(GAUGES), 1000.0, WARM) == pytest.approx(warm, rel=1e-4)


@pytest.mark.parametrize(("gauge", "ohms"), [(14, 3.07), (12, 1.93), (10, 1.21), (8, 0.764)])
def test_the_electrical_code_s_table(gauge, ohms):
    # NFPA 70, chapter 9, table 8: solid uncoated copper at 75 °C, ohm for 1000 ft, as printed
    digits = 5e-4 if ohms < 1.0 else 5e-3
    length, temperature = si("1000 ft", "length"), si("167 °F", "temperature")
    assert wire_resistance(gauge_area(gauge), length, temperature) == pytest.approx(ohms, abs=digits)
    assert wire_resistance(gauge_area(gauge), 304.8, WARM) == pytest.approx(ohms, abs=digits)


@pytest.mark.parametrize(("gauge", "ohms"), [(14, 3.14), (12, 1.98), (10, 1.24), (8, 0.778)])
def test_the_electrical_code_s_table_of_stranded_wire(gauge, ohms):
    # the same table, stranded uncoated copper, from memory: its strands make it 1.8 to 2.6 % longer
    stranded = wire_resistance(gauge_area(gauge), 304.8, WARM, stranded=True)
    assert stranded == pytest.approx(ohms, rel=8e-3)


def test_temperature_coefficient_of_copper():
    # IEC 60028: 0.00393/K of the resistance at 20 °C; NFPA 70, chapter 9, table 8, note 2: 0.00323/K of that
    # at 75 °C
    for celsius, coefficient in ((20.0, 0.00393), (75.0, 0.00323)):
        at = 273.15 + celsius
        slope = (copper_resistivity(at + 1.0) - copper_resistivity(at)) / copper_resistivity(at)
        assert slope == pytest.approx(coefficient, abs=5e-6)
    assert copper_resistivity() == pytest.approx(1.0 / 58.0 * 1e-6, rel=1e-4)


def test_a_wire_s_resistance_in_feet_and_square_inches_is_that_in_metres():
    us = wire_resistance(
        si("0.00323 in²", "area"), si("26 ft 3 in", "length"), si("86 °F", "temperature"), stranded=True
    )
    metric = wire_resistance(0.00323 * 0.0254**2, 26.25 * 0.3048, 303.15, stranded=True)
    assert us == pytest.approx(metric, rel=1e-12)


# --- circuits by other routes ---


def test_in_series_voltages_share_as_resistances():
    circuit = Circuit(
        (Part("a", "plus", "b", 0.3), Part("b", "b", "c", 44.0), Part("c", "c", "minus", 0.7)),
        "plus",
        "minus",
        120.0,
    )
    assert circuit.amps("b") == pytest.approx(120.0 / 45.0, rel=1e-9)
    assert circuit.volts("b", "c") == pytest.approx(120.0 * 44.0 / 45.0, rel=1e-6)
    assert 120.0 - circuit.volts("b", "c") == pytest.approx(float(voltage_drop(120.0, 44.0, 1.0)), rel=1e-4)
    assert circuit.amps("b") == pytest.approx(float(heater_current(120.0, 45.0)), rel=1e-9)


def test_in_parallel_currents_share_as_conductances():
    circuit = Circuit(
        (Part("a", "plus", "minus", 88.0), Part("b", "minus", "plus", 22.0)), "plus", "minus", 110.0
    )
    assert circuit.amps("a") == pytest.approx(1.25)
    assert circuit.amps("b") == pytest.approx(-5.0)
    assert circuit.ohms("plus", "minus") == pytest.approx(88.0 * 22.0 / 110.0)


def test_a_bridge_worked_by_hand():
    # 1 and 2 ohm, 3 and 4 ohm, 5 ohm across, on 10 V. Kirchhoff at both middles:
    # 10 = 1.7 b - 0.2 c and 10/3 = 47/60 c - 0.2 b, so b = 204/31 V, c = 184/31 V; 148/31 A in all.
    bridge = Circuit(
        (
            Part("1", "top", "b", 1.0),
            Part("2", "b", "foot", 2.0),
            Part("3", "top", "c", 3.0),
            Part("4", "c", "foot", 4.0),
            Part("5", "b", "c", 5.0),
        ),
        "top",
        "foot",
        10.0,
    )
    assert bridge.volts("b", "foot") == pytest.approx(204 / 31, rel=1e-6)
    assert bridge.volts("c", "foot") == pytest.approx(184 / 31, rel=1e-6)
    assert bridge.amps("5") == pytest.approx(20 / 31 / 5)
    assert bridge.amps("1") + bridge.amps("3") == pytest.approx(148 / 31)
    assert bridge.ohms("top", "foot") == pytest.approx(310 / 148)
    balanced = bridge.changed(**{"4": 6.0})
    assert balanced.volts("b", "c") == pytest.approx(0.0, abs=1e-9)


@st.composite
def networks(draw):
    """A source and parts at random, each point joined to one before, and more parts besides."""
    count = draw(st.integers(2, 7))
    pairs = [(draw(st.integers(0, point - 1)), point) for point in range(1, count)]
    extra = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1))
    pairs += [pair for pair in draw(st.lists(extra, max_size=8)) if pair[0] != pair[1]]
    parts = tuple(Part(f"p{n}", f"{a}", f"{b}", draw(resistances)) for n, (a, b) in enumerate(pairs))
    return Circuit(parts, "0", f"{count - 1}", draw(st.floats(0.1, 240.0)))


@settings(deadline=None)
@given(networks())
def test_ohms_are_those_of_networkx(circuit):
    graph = nx.MultiGraph()
    graph.add_nodes_from(circuit.points)
    for part in circuit.parts:
        graph.add_edge(part.start, part.end, ohms=part.resistance)
    for first, second in ((circuit.live, circuit.neutral), circuit.points[:: len(circuit.points) - 1]):
        if first != second:
            theirs = nx.resistance_distance(graph, first, second, weight="ohms", invert_weight=True)
            assert circuit.ohms(first, second) == pytest.approx(theirs, rel=1e-6)


def tableau(circuit: Circuit) -> tuple[dict[str, float], dict[str, float]]:
    """Voltage of each point and current of each part, all unknown at once: Kirchhoff's and Ohm's laws.

    Another formulation than ours, which has voltages of free points only and eliminates the currents.
    """
    points, parts = circuit.points, [part for part in circuit.parts if np.isfinite(part.resistance)]
    ends = np.zeros((len(points), len(parts) + 1))
    for column, (start, end) in enumerate(
        [*((part.start, part.end) for part in parts), (circuit.live, circuit.neutral)]
    ):
        ends[points.index(start), column] += 1.0
        ends[points.index(end), column] -= 1.0
    drops = np.diag([*(part.resistance for part in parts), 0.0])
    drive = np.zeros(len(parts) + 1)
    drive[-1] = circuit.voltage
    ground = np.eye(1, len(points), points.index(circuit.neutral))
    nothing = np.zeros((len(points), len(points)))
    rows = [
        np.hstack([nothing, ends]),
        np.hstack([ends.T, -drops]),
        np.hstack([ground, np.zeros((1, len(parts) + 1))]),
    ]
    right = np.concatenate([np.zeros(len(points)), drive, [0.0]])
    found = np.linalg.lstsq(np.vstack(rows), right, rcond=None)[0]
    levels = dict(zip(points, found, strict=False))
    return levels, dict(zip((part.name for part in parts), found[len(points) :], strict=False))


@settings(deadline=None)
@given(networks())
def test_volts_and_amps_are_those_of_all_equations_at_once(circuit):
    levels, currents = tableau(circuit)
    most = circuit.voltage / min(part.resistance for part in circuit.parts)
    for part in circuit.parts:
        volts = levels[part.start] - levels[part.end]
        slack = circuit.voltage * sum(p.resistance for p in circuit.parts) / METER
        assert circuit.volts(part.start, part.end) == pytest.approx(volts, abs=1e-6 + slack)
        assert circuit.amps(part.name) == pytest.approx(currents[part.name], abs=1e-7 * (1.0 + most))


@pytest.mark.parametrize(
    ("size", "source"), [("6 cu ft", "mains"), ("8 cu ft", "mains"), ("18 cu ft", "battery")]
)
def test_a_heater_s_circuit_by_all_equations_at_once(size, source):
    heater = HeaterCircuit.of(size, source, joint=0.5, insulation=2e4)
    levels, currents = tableau(heater.circuit)
    live, back = wiring.element_live(1), wiring.element_return(1)
    assert heater.meter().amps == pytest.approx(currents["live wire"], rel=1e-6)
    assert heater.meter().heater_volts == pytest.approx(levels[live] - levels[back], rel=1e-5)
    heat = sum(
        (levels[wiring.element_live(n)] - levels[wiring.element_return(n)]) ** 2 / ohms
        for n, ohms in enumerate(heater.elements, start=1)
    )
    assert heater.heat == pytest.approx(heat, rel=1e-5)
