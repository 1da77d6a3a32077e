"""Declared answers, job cards and how answers are marked outside the trainee's kernel."""
