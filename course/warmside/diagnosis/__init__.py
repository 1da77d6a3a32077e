"""From readings to what is wrong, and what to read next: Bayes over cases that the model simulates.

`fault` says what a fault is, `fault_table` lists them, `faults` says what can be wrong together; `readings`
what can be measured or seen, `bank` simulates and keeps cases, `inference` ranks explanations.
"""
