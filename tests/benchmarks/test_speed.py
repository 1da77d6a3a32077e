"""How fast the pieces are that people wait for. Run with: pytest tests/benchmarks --benchmark-only"""

import numpy as np
from helpers import NAME, solved_notebook, write_notebook
from helpers import mark as mark_tasks

from warmside.marking.exercise import Job
from warmside.marking.marks import mark
from warmside.model.cabinet import Cabinet, Thermostat, run
from warmside.session.hand_in import take_in
from warmside.session.journal import Task
from warmside.show.cup_picture import cup_test_figure
from warmside.show.pictures import png
from warmside.show.substance_temperature import CupTest
from warmside.units import from_si, read_quantity


def test_read_a_quantity(benchmark):
    benchmark(read_quantity, "0.25 Btu/(h °F)", "heat_conductance")


def test_draw_a_job_card(benchmark, exercise):
    numbers = iter(range(10**9))
    benchmark(lambda: exercise.job_card(b"speed", str(next(numbers))))


def test_mark_answers(benchmark, exercise):
    card = exercise.practice_card()
    job = Job(exercise, card)
    answers = {}
    for item in exercise.items:
        key = item.key(job)
        answers[item.name] = key if item.kind == "choice" else str(from_si(key, item.kind))
    benchmark(mark, answers, card, exercise)


def test_a_cabinet_day_at_one_minute(benchmark):
    thermostat = Thermostat(277.0, 2.0)
    benchmark(run, Cabinet(), [255.0, 277.0, 277.0, 295.0], 305.0, steps=1440, thermostat=thermostat)


def test_a_thousand_cabinet_days_at_one_minute(benchmark):
    start = np.tile([255.0, 277.0, 277.0, 295.0], (1000, 1))
    thermostat = Thermostat(277.0, 2.0)
    benchmark.pedantic(run, (Cabinet(), start, 305.0), {"steps": 1440, "thermostat": thermostat}, rounds=3)


def test_the_labs_picture(benchmark):
    benchmark(lambda: png(cup_test_figure(CupTest())))


def test_run_and_mark_a_hand_in(benchmark, session, tmp_path):
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", solved_notebook())])
    benchmark.pedantic(mark_tasks, (session, [Task("ann", NAME)]), rounds=5, warmup_rounds=1)
