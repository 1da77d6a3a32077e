"""What plugs into nbgrader: hand-ins repaired, run in a box, cleaned and marked."""
