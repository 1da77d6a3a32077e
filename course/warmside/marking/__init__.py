"""Job cards, exercises, and how declared answers are marked outside the trainee's kernel."""
