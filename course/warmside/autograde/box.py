"""A box for a stranger's kernel: it sees its exercise, a read-only Python and nothing else.

The box is bubblewrap's (Debian's package of that name): no network, no processes of others, an empty home and
temp in memory, and of the file system the system's programs, this Python and the package. What reaches the
kernel is the notebook's cells over sockets, and the files of its exercise, read-only. All that it can write
lies in memory, in small file systems of the box's own, its sockets too, which are reached through
the kernel's process; nothing of a stranger's lies on the disk.
"""

import compileall
import os
import secrets
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import psutil
from jupyter_client.kernelspec import KernelSpec, KernelSpecManager

import warmside
from warmside.unit_registry import definitions_folder

HOME = Path("/home/trainee")
_IN_MEMORY = "/dev/shm", "/tmp", str(HOME)
_OF_A_FILE = 2**10  # bytes of the system's memory, however small it is
_SYSTEM = ("/usr", "/etc/ld.so.cache", "/etc/localtime", "/etc/fonts")
_MERGED = ("bin", "sbin", "lib", "lib32", "lib64")
_PROGRAM = "bwrap"
_MIB = 2**20
_PREFIX = "warmside-box-"
_ROOM_FOR_SOCKETS = 2**16  # bytes; sockets take none
_BORN = 5.0  # s until a box has its first process


@dataclass(frozen=True)
class Limits:
    """What a hand-in may use.

    Attributes
    ----------
    memory : int
        Of each process and of all together, with what lies in the box's file systems [bytes].
    cell_time, notebook_time : int
        On the clock [s].
    processes : int
        With their threads.
    file_size : int
        Of a file, and of home and temp [bytes].
    """

    memory: int = 1536 * _MIB
    cell_time: int = 30
    notebook_time: int = 120
    processes: int = 64
    file_size: int = 64 * _MIB


def available() -> bool:
    """Tell whether this machine can make a box."""
    return why_not() == ""


@cache
def why_not() -> str:
    """Return why this machine can make no box, in half a sentence; empty where it can."""
    if not sys.platform.startswith("linux"):
        return "boxes are made by bubblewrap, which runs on Linux alone"
    if shutil.which(_PROGRAM) is None:
        return "bubblewrap is not installed"
    probe = [_PROGRAM, *_separation(), "--ro-bind", "/", "/", "--proc", "/proc", "/bin/true"]
    try:
        run = subprocess.run(probe, capture_output=True, text=True, timeout=20, check=False)
    except (OSError, subprocess.TimeoutExpired) as problem:
        return f"bubblewrap doesn't run here ({problem})"
    return "" if run.returncode == 0 else f"bubblewrap doesn't run here ({run.stderr.strip()[:200]})"


class Box:
    """The folders and the command of one kernel; boxed, or with the same limits but no walls.

    Parameters
    ----------
    files : iterable of Path
        What the kernel finds beside its notebook.
    limits : Limits
        What it may use.
    walls : bool
        Whether it is boxed.
    hidden : iterable of Path
        Folders that it must not see even where they lie inside something that it sees.
    """

    def __init__(self, files: Iterable[Path], limits: Limits, *, walls: bool, hidden: Iterable[Path] = ()):
        self._limits, self._walls, self._hidden = limits, walls, [str(path) for path in hidden]
        self._inside: Path | None = None
        self._user = _ordinary_user() if walls and os.geteuid() == 0 else None
        self.folder = Path(tempfile.mkdtemp(prefix=f"{_PREFIX}{os.getpid()}-"))
        self.sockets = self.folder / "run"
        self.work = self.folder / "work"
        self.work.mkdir()
        self.work.chmod(0o777)  # for the kernel's own user; the folder around it is shut to all others
        if not walls:
            self.sockets.mkdir()
        for file in files:
            shutil.copyfile(file, self.work / file.name)
            (self.work / file.name).chmod(0o644)

    @property
    def connection_file(self) -> Path:
        """Where the kernel's connection file is to be written."""
        return self.folder / "kernel.json"

    def command(self) -> list[str]:
        """Return the command that starts the kernel; ``{connection_file}`` stands where Jupyter puts it."""
        limits = self._limits
        kernel = [sys.executable, "-m", "warmside.autograde.limited_kernel"]
        kernel += ["--memory", str(limits.memory), "--cpu", str(2 * limits.notebook_time)]
        kernel += ["--processes", str(limits.processes), "--file-size", str(limits.file_size)]
        if self._user is not None:
            kernel += ["--user", str(self._user)]
        kernel += ["-f", "{connection_file}"]
        return [*control_group(limits), *self._walled(), *kernel] if self._walls else kernel

    def enter(self, pid: int) -> None:
        """Let its sockets and file systems be reached from outside, now that `pid` has begun it."""
        if self._walls:
            self._inside = Path(f"/proc/{_first_child(pid)}/root")
            self.sockets.symlink_to(f"{self._inside}{self.sockets}")

    def in_memory(self) -> int:
        """Return what lies in its file systems, shown or not, and what each file costs besides [bytes]."""
        total = 0
        for place in (*_IN_MEMORY, self.sockets) if self._inside else ():
            with suppress(OSError):  # it has just ended
                used = os.statvfs(f"{self._inside}{place}")
                total += (used.f_blocks - used.f_bfree) * used.f_frsize
                total += (used.f_files - used.f_ffree) * _OF_A_FILE
        return total

    def remove(self) -> None:
        """Remove its folders."""
        _remove(self.folder)

    def _walled(self) -> list[str]:
        size = str(self._limits.file_size)
        command = [_PROGRAM, *_separation(), "--cap-drop", "ALL"]
        if self._user is not None:
            command += ["--cap-add", "CAP_SETUID", "--cap-add", "CAP_SETGID"]
        command.append("--clearenv")
        for name, value in _environment().items():
            command += ["--setenv", name, value]
        command += ["--proc", "/proc", "--dev", "/dev", "--remount-ro", "/dev"]
        for place in _IN_MEMORY:
            command += [*_parents(Path(place)), "--size", size, "--perms", "1777", "--tmpfs", place]
        for name in _MERGED:
            path = Path("/", name)
            if path.is_symlink():
                command += ["--symlink", os.readlink(path), str(path)]
            elif path.is_dir():
                command += ["--ro-bind", str(path), str(path)]
        seen = list(_SYSTEM)
        for place in (sys.prefix, sys.base_prefix, str(Path(warmside.__file__).parent)):
            if not any(Path(place).is_relative_to(other) for other in seen):
                seen.append(place)
        for place in seen:
            command += [*_parents(Path(place)), "--ro-bind-try", place, place]
        if (kept := definitions_folder()) is not None:
            there = HOME / ".cache" / "warmside" / kept.name
            command += [*_parents(there), "--ro-bind", str(kept), str(there)]
        for place in self._hidden:
            if any(Path(place).is_relative_to(other) for other in seen):
                command += ["--tmpfs", place]
        command += [*_parents(self.sockets), "--ro-bind-try", *2 * [str(self.connection_file)]]
        command += ["--size", str(_ROOM_FOR_SOCKETS), "--perms", "1777", "--tmpfs", str(self.sockets)]
        work = HOME / "exercise"
        command += ["--perms", "1777", "--dir", str(work)]
        for file in sorted(self.work.iterdir()):
            command += ["--ro-bind", str(file), str(work / file.name)]
        return [*command, "--remount-ro", "/", "--chdir", str(work)]


@cache
def control_group(limits: Limits) -> tuple[str, ...]:
    """Return the command that puts a box into a control group of its own, where systemd gives one that holds.

    Linux then counts all memory that comes of the box, its own for sockets and pipes too, and ends what is
    over the limit at once.
    """
    command = ["systemd-run", *([] if os.geteuid() == 0 else ["--user"]), "--scope", "--quiet", "--collect"]
    most = {"MemoryMax": limits.memory, "MemorySwapMax": 0, "TasksMax": limits.processes + 8}
    command += [f"--property={name}={value}" for name, value in most.items()]
    command.append("--")
    look = 'cat "/sys/fs/cgroup$(sed -n s/^0:://p /proc/self/cgroup)/memory.max"'
    try:
        held = subprocess.run(
            [*command, "/bin/sh", "-c", look], capture_output=True, text=True, timeout=10, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return ()
    return tuple(command) if held.stdout.strip() == str(limits.memory) else ()


def sweep() -> None:
    """Remove what is left of boxes whose makers were killed: folders, and kernels that outlived them."""
    for folder in Path(tempfile.gettempdir()).glob(f"{_PREFIX}*"):
        maker = folder.name.removeprefix(_PREFIX).partition("-")[0]
        if maker.isdigit() and not psutil.pid_exists(int(maker)):
            for process in psutil.process_iter(["cmdline"]):
                if any(word.startswith(f"{folder}/") for word in process.info["cmdline"] or ()):
                    kill_below(process.pid)
            _remove(folder)


def _remove(folder: Path) -> None:
    """Remove a folder in which a stranger may have made others, however deep, and shut them."""
    if shutil.which("rm") and shutil.which("chmod"):  # which don't call themselves for each folder within
        for command in (["chmod", "-R", "u+rwX"], ["rm", "-rf"]):
            subprocess.run([*command, "--", folder], capture_output=True, check=False)
    else:
        shutil.rmtree(folder, ignore_errors=True)


@cache
def compile_package() -> None:
    """Compile the package, which kernels see read-only: each would compile it for itself alone."""
    if not sys.dont_write_bytecode:
        compileall.compile_dir(Path(warmside.__file__).parent, quiet=2)


class OneKernel(KernelSpecManager):
    """Knows one kernel alone, whatever a notebook asks for."""

    def __init__(self, command: list[str], **kwargs: object):
        super().__init__(**kwargs)
        self._spec = KernelSpec(
            argv=command, display_name="Python 3", language="python", interrupt_mode="message"
        )

    def get_kernel_spec(self, kernel_name: str) -> KernelSpec:
        """Return it."""
        return self._spec


def kill_below(pid: int) -> None:
    """Kill a process and all that it started."""
    try:
        process = psutil.Process(pid)
        for each in [*process.children(recursive=True), process]:
            try:
                each.kill()
            except psutil.Error:
                continue
    except psutil.Error:
        return


def _first_child(pid: int) -> int:
    """Return the first process inside a box, which bubblewrap's own process outside waits for."""
    deadline = time.monotonic() + _BORN
    while time.monotonic() < deadline:
        with suppress(psutil.Error):
            if inside := psutil.Process(pid).children():
                return inside[0].pid
        time.sleep(0.005)
    raise RuntimeError("bubblewrap has begun no box")


def _separation() -> list[str]:
    """Return what separates the box from the rest; root needs no user namespace, others must have one."""
    apart = ["--unshare-ipc", "--unshare-pid", "--unshare-net", "--unshare-uts", "--unshare-cgroup-try"]
    if os.geteuid() != 0:
        apart.append("--unshare-user")
    return [*apart, "--hostname", "box", "--die-with-parent", "--new-session", "--as-pid-1"]


def _environment() -> dict[str, str]:
    return {
        "PATH": f"{Path(sys.prefix) / 'bin'}:/usr/bin:/bin",
        "HOME": str(HOME),
        "USER": "trainee",
        "LANG": "C.UTF-8",
        "MALLOC_ARENA_MAX": "2",
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
        "PYTHONDONTWRITEBYTECODE": "1",
        "MPLCONFIGDIR": "/tmp/matplotlib",
    }


def _parents(path: Path) -> list[str]:
    """Return what makes the folders above a place, open to the kernel's user."""
    return [
        word
        for parent in list(reversed(path.parents))[1:]
        for word in ("--perms", "0755", "--dir", str(parent))
    ]


def _ordinary_user() -> int:
    """Return a user id that nobody has, of those that systems hand out to services for a while."""
    return 61184 + secrets.randbelow(65519 - 61184)
