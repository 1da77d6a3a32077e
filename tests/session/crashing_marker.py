"""Marks a session over and over and is killed over and over: python crashing_marker.py FOLDER KILLS SEED.

Prints how often a kill struck before marking had ended, and how many hand-ins were left to mark then.
"""

import os
import random
import signal
import sys
import time
from pathlib import Path

from warmside.autograde import box
from warmside.session.folder import Session
from warmside.session.mark import mark, to_mark


def main(folder: Path, kills: int, seed: int) -> None:
    session, chance, left = Session.open(folder), random.Random(seed), []
    tasks = to_mark(session)
    while len(left) < kills:
        child = os.fork()
        if child == 0:
            os.setsid()
            devnull = os.open(os.devnull, os.O_WRONLY)
            os.dup2(devnull, 1)
            os.dup2(devnull, 2)
            mark(session, to_mark(session) or tasks[:1], unboxed=not box.available())
            os._exit(0)
        time.sleep(chance.uniform(0.01, 4.0))
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        left.append(len(to_mark(session)))
        if os.WIFEXITED(status):
            left.pop()  # it had ended before it was killed
            tasks = tasks[1:] + tasks[:1]
    print(len(left), *left)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
