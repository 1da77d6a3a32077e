"""How quickly heaters' circuits are solved and checked. Run with: pytest tests/benchmarks --benchmark-only

A lab redraws on each move of a slider, so all readings of a heater are to take less than 10 ms, and the check
of a hundred of them (a row here) less than 100 ms. Wires, heaters and burners take a million at once.
"""

import numpy as np
import pytest
from heater_cases import cases

from warmside.diagnosis.circuit_check import Fault, check_circuit
from warmside.diagnosis.circuit_readings import CircuitReadings
from warmside.model.circuit import gauge_area, wire_resistance
from warmside.model.heat_source import Burner, electric_heat
from warmside.model.heater_circuit import HeaterCircuit
from warmside.properties.propane import saturation_pressure

MANY = 1_000_000


@pytest.mark.parametrize("size", ["6 cu ft", "8 cu ft"])
def test_all_readings_of_a_heater(benchmark, size):
    benchmark(lambda: HeaterCircuit.of(size).meter())


def test_one_reading(benchmark):
    circuit = HeaterCircuit.of("8 cu ft").circuit
    benchmark(circuit.volts, "supply live", "supply return")


@pytest.mark.parametrize("fault", [None, Fault.JOINT], ids=str)
def test_check(benchmark, fault):
    readings = [readings for _, readings in cases(100, 1, fault)]
    benchmark(lambda: [check_circuit(each) for each in readings])


def test_reading_texts(benchmark):
    texts = {"supply_volts": "118.4 V", "amps": "2.65 A", "ohms": "44 ohm", "wire_area": "14 AWG"}
    benchmark(lambda: CircuitReadings.read("8 cu ft", "mains", **texts))


def test_a_million_wires(benchmark):
    random = np.random.default_rng(0)
    gauge, length = random.uniform(0, 20, MANY), random.uniform(1, 30, MANY)
    benchmark(lambda: wire_resistance(gauge_area(gauge), length, 300.0))


def test_a_million_heaters(benchmark):
    volts = np.random.default_rng(0).uniform(90, 130, MANY)
    benchmark(electric_heat, "8 cu ft", "mains", volts)


def test_a_million_burners(benchmark):
    random = np.random.default_rng(0)
    pressure, altitude = random.uniform(1e3, 4e3, MANY), random.uniform(0, 3e3, MANY)
    benchmark(lambda: Burner.of("8 cu ft", gas_pressure=pressure, altitude=altitude).heat)


def test_a_million_cylinders(benchmark):
    benchmark(saturation_pressure, np.random.default_rng(0).uniform(230, 330, MANY))
