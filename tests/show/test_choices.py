"""The lists of an exercise: out of the catalogues, accessible, and light to load."""

import subprocess
import sys

import pytest
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output

from warmside.diagnosis.fault import FIRST_STEPS, GROUPS, REMEDIES
from warmside.diagnosis.faults import FAULTS
from warmside.show.choices import codes, show_choices

LISTS = {"groups": GROUPS, "faults": FAULTS, "remedies": REMEDIES, "first_steps": FIRST_STEPS}


@pytest.fixture(autouse=True, scope="module")
def shell():
    """Displays are only captured where there is a shell."""
    InteractiveShell.instance()
    yield
    InteractiveShell.clear_instance()


@pytest.mark.parametrize("of", LISTS)
def test_a_list_shows_each_code_once_with_what_it_means(of):
    with capture_output() as captured:
        show_choices(of)
    [output] = captured.outputs
    page, plain = output.data["text/html"], output.data["text/plain"].splitlines()
    listed = list(LISTS[of].values())
    assert plain == [f"{one.code}  {one.title}" for one in listed]
    assert page.count('<th scope="row"') == len(listed) == len(set(codes(of)))
    assert page.count('<th scope="col"') == 2
    assert page.count("<caption") == 1
    for one in listed:
        assert f"<code>{one.code}</code>" in page
        assert one.title.replace("'", "&#39;") in page
    assert codes(of) == tuple(one.code for one in listed)


def test_a_trainees_kernel_loads_no_more_of_the_diagnosis_than_its_catalogue():
    code = (
        "import sys, warmside.show.choices;"
        "print(*sorted(name for name in sys.modules if 'diagnosis' in name), 'matplotlib' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    catalogue = [f"warmside.diagnosis.{name}" for name in ("fault", "fault_effects", "fault_table", "faults")]
    assert run.stdout.split() == ["warmside.diagnosis", *catalogue, "False"]
