"""Declared answers, job cards and how answers are marked outside the trainee's kernel."""

from warmside.marking.answers import record, show_card
from warmside.marking.job_card import my_job_card

__all__ = ["my_job_card", "record", "show_card"]
