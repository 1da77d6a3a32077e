"""nbgrader's formgrader on a session, in a real browser."""

import re

import pytest
from helpers import NAME, solved_notebook, write_notebook

from warmside.session.hand_in import take_in
from warmside.session.mark import mark, to_mark

pytestmark = pytest.mark.chromium
