"""What is asked of Linux alone: to refuse a hand-in what goes round its limits, to end it with its marker.

Limits and watch count what processes map and what lies in the box's file systems. Memory that neither shows
(memfd, System V's segments, queues and semaphores, keys, rings), file systems mounted in a user namespace of
one's own and processes that hide from the watch are refused by the kernel itself, by a seccomp filter.
"""

import ctypes
import errno
import os
import platform
import signal
import struct
import sys

_REFUSED = {  # number on x86-64 and on 64-bit ARM
    "memfd_create": (319, 279),
    "memfd_secret": (447, 447),
    "shmget": (29, 194),
    "msgget": (68, 186),
    "semget": (64, 190),
    "add_key": (248, 217),
    "request_key": (249, 218),
    "keyctl": (250, 219),
    "io_uring_setup": (425, 425),
    "bpf": (321, 280),
    "userfaultfd": (323, 282),
    "perf_event_open": (298, 241),
    "unshare": (272, 97),
    "setns": (308, 268),
    "mount": (165, 40),
    "umount2": (166, 39),
    "pivot_root": (155, 41),
    "open_tree": (428, 428),
    "move_mount": (429, 429),
    "fsopen": (430, 430),
    "fsmount": (432, 432),
    "mount_setattr": (442, 442),
}
_CLONE, _CLONE3, _PRCTL = (56, 220), (435, 435), (157, 167)
_MACHINES = {"x86_64": (0, 0xC000003E), "aarch64": (1, 0xC00000B7)}  # column above; AUDIT_ARCH
_NEW_NAMESPACES = 0x7E020000  # all flags CLONE_NEW… of clone
_ANOTHER_ABI = 0x40000000  # x32's numbers begin here; ARM has none so high
_SIGNAL_OF_PARENTS_DEATH, _SET_DUMPABLE, _SET_SECCOMP, _NO_NEW_PRIVILEGES, _FILTER = 1, 4, 22, 38, 2
_LOAD, _EQUAL, _AT_LEAST, _ANY_BIT, _RETURN = 0x20, 0x15, 0x35, 0x45, 0x06
_NUMBER, _ARCHITECTURE, _FIRST_ARGUMENT = 0, 4, 16  # offsets in what a filter sees of a call
_ALLOW, _ERROR = 0x7FFF0000, 0x00050000


def refuse() -> None:
    """Refuse these calls to this process and all that it starts, for good; on other systems do nothing.

    Raises
    ------
    OSError
        If Linux doesn't take the filter.
    """
    if not sys.platform.startswith("linux") or platform.machine() not in _MACHINES or sys.maxsize < 2**32:
        return
    steps = _filter(*_MACHINES[platform.machine()])
    code = b"".join(struct.pack("HBBI", *step) for step in steps)
    kept = ctypes.create_string_buffer(code, len(code))
    program = struct.pack("HP", len(steps), ctypes.addressof(kept))
    libc = ctypes.CDLL(None, use_errno=True)
    nothing = ctypes.c_ulong(0)
    for option, *arguments in (
        (_NO_NEW_PRIVILEGES, ctypes.c_ulong(1), nothing),
        (_SET_SECCOMP, _FILTER, program),
    ):
        if libc.prctl(option, *arguments, nothing, nothing) != 0:
            raise OSError(ctypes.get_errno(), "Linux takes no filter of system calls")


def die_with_parent(parent: int) -> None:
    """Have this process killed when the one that started it, `parent`, ends; on other systems do nothing."""
    if sys.platform.startswith("linux"):
        ctypes.CDLL(None).prctl(_SIGNAL_OF_PARENTS_DEATH, signal.SIGKILL)
        if os.getppid() != parent:
            os.kill(os.getpid(), signal.SIGKILL)


def _filter(column: int, architecture: int) -> list[tuple[int, int, int, int]]:
    """Return the filter's steps: what to do, how many steps to skip if so and if not, and with what."""
    refuse, unknown = _ERROR | errno.EPERM, _ERROR | errno.ENOSYS
    return [
        (_LOAD, 0, 0, _ARCHITECTURE),
        (_EQUAL, 1, 0, architecture),
        (_RETURN, 0, 0, refuse),
        (_LOAD, 0, 0, _NUMBER),
        *_if(_AT_LEAST, _ANOTHER_ABI, refuse),
        *(step for numbers in _REFUSED.values() for step in _if(_EQUAL, numbers[column], refuse)),
        *_if(_EQUAL, _CLONE3[column], unknown),  # its flags lie out of sight; libraries go back to clone
        (_EQUAL, 0, 4, _CLONE[column]),
        (_LOAD, 0, 0, _FIRST_ARGUMENT),
        *_if(_ANY_BIT, _NEW_NAMESPACES, refuse),
        (_RETURN, 0, 0, _ALLOW),
        (_EQUAL, 0, 3, _PRCTL[column]),
        (_LOAD, 0, 0, _FIRST_ARGUMENT),
        *_if(_EQUAL, _SET_DUMPABLE, refuse),
        (_RETURN, 0, 0, _ALLOW),
    ]


def _if(test: int, value: int, answer: int) -> list[tuple[int, int, int, int]]:
    return [(test, 0, 1, value), (_RETURN, 0, 0, answer)]
