"""A training session on disk: from roster to feedback and report."""

import os
import sysconfig

# nbgrader calls alembic by name when it makes a gradebook, which fails where the environment isn't activated.
_scripts = sysconfig.get_path("scripts")
if _scripts not in os.environ.get("PATH", "").split(os.pathsep):
    os.environ["PATH"] = os.pathsep.join([_scripts, os.environ.get("PATH", "")])
