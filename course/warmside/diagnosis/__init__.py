"""From readings to what is wrong: faults, readings, simulated cases, and Bayes over these."""
