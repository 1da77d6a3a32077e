"""What runs in a trainee's kernel: the job card, recording answers, closing an exercise."""

from warmside.notebook.answers import record
from warmside.notebook.job_card import my_job_card, show_card
from warmside.notebook.last_cells import check_mine, finish, write_hand_in

__all__ = ["check_mine", "finish", "my_job_card", "record", "show_card", "write_hand_in"]
