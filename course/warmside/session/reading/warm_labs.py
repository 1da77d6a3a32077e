"""Loaded by the process that labs are forked from, and by nothing else: loading it is what warms up."""

from warmside.session.reading.lab_processes import warm_up

warm_up()
