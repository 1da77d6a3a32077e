"""A kernel that limits itself before it runs a stranger's code; a module to run, not to import.

Started as root inside a box it first becomes an ordinary user, for whom a limit on processes holds; on Linux
it is refused what goes round the limits. Where the system knows none (Windows), it is an ordinary kernel.
"""

import argparse
import os
import sys
import tempfile
from pathlib import Path

from warmside import BEING_MARKED
from warmside.autograde import system_calls


def main() -> None:
    """Set the limits that the command line names, then run the kernel."""
    parser = argparse.ArgumentParser()
    for limit in ("memory", "cpu", "processes", "file-size"):
        parser.add_argument(f"--{limit}", type=int, required=True)
    parser.add_argument("--user", type=int)
    parser.add_argument("-f", dest="connection_file", type=Path, required=True)
    limits, rest = parser.parse_known_args()
    if limits.user is not None:
        connection = limits.connection_file.read_bytes()  # root's, so it is read while this still is root
        os.setgroups([])
        os.setgid(limits.user)
        os.setuid(limits.user)
        system_calls.die_with_parent(
            os.getppid()
        )  # as bwrap had asked for, which becoming another user takes back
        limits.connection_file = Path(tempfile.gettempdir()) / "kernel.json"
        limits.connection_file.write_bytes(connection)
    _limit(limits)
    system_calls.refuse()
    os.environ[BEING_MARKED] = "yes"
    sys.argv[1:] = ["-f", str(limits.connection_file), *rest]

    from ipykernel import kernelapp

    kernelapp.launch_new_instance()


def _limit(limits: argparse.Namespace) -> None:
    try:
        import resource
    except ImportError:
        return
    for what, most in (
        ("RLIMIT_AS", limits.memory),
        ("RLIMIT_CPU", limits.cpu),
        ("RLIMIT_NPROC", limits.processes),
        ("RLIMIT_FSIZE", limits.file_size),
        ("RLIMIT_CORE", 0),
        ("RLIMIT_NOFILE", 256),
    ):
        if hasattr(resource, what):
            _, hard = resource.getrlimit(getattr(resource, what))
            allowed = most if hard == resource.RLIM_INFINITY else min(most, hard)
            resource.setrlimit(getattr(resource, what), (allowed, allowed))


if __name__ == "__main__":
    main()
