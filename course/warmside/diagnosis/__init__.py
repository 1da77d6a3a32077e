"""From readings to what is wrong, and what to read next: Bayes over cases that the model simulates.

`faults` lists what can be wrong, `readings` what can be measured or seen, `bank` simulates and keeps cases,
`inference` ranks explanations.
"""

from warmside.diagnosis.inference import explain, next_reading
from warmside.diagnosis.readings import Readings

__all__ = ["Readings", "explain", "next_reading"]
