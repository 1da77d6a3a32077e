"""How often the circuit check names the fault that is there, on random heaters with a meter that is 2 % off.

Run it with ``python tests/benchmarks/circuit_check_rate.py``; it prints a line for each fault.
"""

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from heater_cases import FAULTS, cases

from warmside.diagnosis.circuit_check import check_circuit

COUNT = 1000

if __name__ == "__main__":
    for fault in (None, *FAULTS):
        first = Counter()
        for _, readings in cases(COUNT, 1, fault):
            findings = check_circuit(readings).findings
            first[findings[0].fault if findings else None] += 1
        others = {str(name): number for name, number in first.items() if name is not fault}
        print(f"{fault or 'none':28} {first[fault] / COUNT:7.1%}  {others or ''}")
