"""Running a hand-in on a real kernel, in its box, within its limits; or reading it, where that is enough."""

import asyncio
import subprocess
from pathlib import Path
from typing import Any

import nbformat
import zmq
import zmq.asyncio
from jupyter_client.client import KernelClient
from jupyter_client.manager import AsyncKernelManager
from jupyter_client.utils import ensure_async, run_sync
from nbclient.exceptions import DeadKernelError
from nbformat import NotebookNode
from nbgrader.preprocessors import Execute
from traitlets import Bool, Integer

from warmside import project
from warmside.autograde.box import Box, Limits, OneKernel, kill_below, why_not
from warmside.autograde.plain_answers import AS_WRITTEN, read_as_written
from warmside.autograde.watch import Watch
from warmside.marking.cells import grade_id
from warmside.marking.noted import RunNoted

KEPT = 2**20
"""Output of a notebook that is kept, besides that of its graded cells [bytes]."""
_KEPT_OF_A_GRADED_CELL = 2**16
_LARGEST_MESSAGE = 2**23
_MOST_WAITING = 16  # messages
_FLOOD = 2**23  # output dropped in a cell before it is interrupted
_FLOOD_OF_WIDGETS = 2**26
_OUTPUTS = ("stream", "display_data", "update_display_data", "execute_result", "error")


class RunNotebook(Execute):
    """Run a hand-in; whatever it does, what it recorded until then is kept."""

    unboxed = Bool(False, help="Run hand-ins without a box, with limits alone.").tag(config=True)
    timeout = Integer(Limits.cell_time, help="Time for a cell [s].").tag(config=True)
    notebook_time = Integer(Limits.notebook_time, help="Time for a notebook [s].").tag(config=True)
    memory = Integer(Limits.memory, help="Memory for a notebook [bytes].").tag(config=True)

    store_widget_state = False
    raise_on_iopub_timeout = False

    def preprocess(
        self, nb: NotebookNode, resources: Any = None, km: object = None
    ) -> tuple[NotebookNode, Any]:
        """Run all cells, in a box unless told otherwise, or read them where nothing needs to be run."""
        if not self.unboxed and (reason := why_not()):
            raise RuntimeError(
                f"Hand-ins are run in boxes, and {reason}. To run them without one, say --unboxed; do so "
                "with hand-ins of people you know alone."
            )
        if self._is_read(nb, resources):
            return nb, resources
        limits = Limits(self.memory, self.timeout, self.notebook_time)
        folder = Path(resources["metadata"]["path"])
        files = [path for path in folder.iterdir() if path.is_file() and not path.is_symlink()]
        private = project.root() / "solutions_private", folder.parents[2]  # keys, and the session's folder
        self._box = Box(files, limits, walls=not self.unboxed, hidden=private)
        self._limits, self._ready = limits, False
        self._watch: Watch | None = None
        self._kept: dict[int | str, int] = {}
        self._dropped: dict[int, int] = {}
        self._said_by_widgets: dict[int, int] = {}
        noted = RunNoted.of(nb)
        noted.boxed = not self.unboxed
        resources["metadata"]["path"] = str(self._box.work)
        try:
            super().preprocess(nb, resources, km)
        except DeadKernelError:
            if not self._ready:
                raise
            reason = self._watch.reason if self._watch else ""
            noted.end_early(reason or "The run ended early because a cell stopped the whole notebook.")
        except Exception as problem:  # a stranger's kernel may send anything
            if not self._ready:
                raise  # nothing of theirs had run yet
            self.log.warning("The run ended early: %s", problem)
            noted.end_early("The run ended early because the notebook disturbed it.")
        finally:
            if self._watch is not None:
                self._watch.stop()
            self._box.remove()
            resources["metadata"]["path"] = str(folder)
        if any(self._dropped.values()):
            noted.notes.append(f"More than {KEPT // 2**20} MiB of output was printed; the rest was left out.")
        noted.note(nb)
        return nb, resources

    def _is_read(self, nb: NotebookNode, resources: Any) -> bool:
        """Read a hand-in as written, and note that; or tell that a kernel is needed."""
        of = resources["nbgrader"]
        if "job_card" not in resources:
            return False
        session = Path(resources["metadata"]["path"]).parents[2]
        release = nbformat.read(
            session / "release" / of["assignment"] / f"{of['notebook']}.ipynb", as_version=4
        )
        if reason := read_as_written(nb, release, resources["job_card"]):
            self.log.info("It is run on a kernel: %s", reason)
            return False
        noted = RunNoted.of(nb)
        noted.notes.append(AS_WRITTEN)
        noted.note(nb)
        return True

    def create_kernel_manager(self) -> AsyncKernelManager:
        """Make the kernel's manager; it talks over sockets in the box's folder and takes no huge message."""
        self.km = AsyncKernelManager(
            kernel_name="python3",
            config=self.config,
            kernel_spec_manager=OneKernel(self._box.command()),
            connection_file=str(self._box.connection_file),
            context=zmq.asyncio.Context(),
        )
        self.km.context.setsockopt(zmq.MAXMSGSIZE, _LARGEST_MESSAGE)
        self.km.context.setsockopt(zmq.RCVHWM, _MOST_WAITING)
        if self._box.connection_file.drive == "":  # Windows has no such sockets
            self.km.transport = "ipc"
            self.km.ip = str(self._box.sockets / "k")
        return self.km

    async def async_start_new_kernel(self, **kwargs: object) -> None:
        """Start the kernel and the watch over it."""
        nowhere = subprocess.DEVNULL  # what goes round Jupyter's channels is nobody's
        await super().async_start_new_kernel(stdout=nowhere, stderr=nowhere, **kwargs)
        process: Any = self.km.provisioner  # which was started above, as a process of this machine
        self._box.enter(process.pid)
        self._watch = Watch(process.pid, self._box, self._limits)

    start_new_kernel = run_sync(async_start_new_kernel)

    async def async_start_new_kernel_client(self) -> KernelClient:
        """Wait until the kernel answers."""
        client = await super().async_start_new_kernel_client()
        self._ready = True
        return client

    start_new_kernel_client = run_sync(async_start_new_kernel_client)

    def process_message(self, msg: dict, cell: NotebookNode, cell_index: int) -> NotebookNode | None:
        """Keep of a cell's output what there is room for."""
        if type(msg["content"].get("execution_count", 0)) is not int:
            msg["content"]["execution_count"] = None
        if msg["msg_type"] in _OUTPUTS:
            graded = grade_id(cell) is not None and cell.metadata["nbgrader"].get("grade")
            account, room = (cell_index, _KEPT_OF_A_GRADED_CELL) if graded else ("all", KEPT)
            size = _size(msg["content"])
            if self._kept.get(account, 0) + size > room:
                self._drop(cell_index, size)
                return None
            self._kept[account] = self._kept.get(account, 0) + size
        return super().process_message(msg, cell, cell_index)

    def handle_comm_msg(self, outs: list[NotebookNode], msg: dict, cell_index: int) -> None:
        """Drop what widgets say, as nobody will move them."""
        said = _size(msg["content"]) + sum(map(len, msg["buffers"]))
        self._count(self._said_by_widgets, cell_index, said, _FLOOD_OF_WIDGETS)

    def _drop(self, cell_index: int, size: int) -> None:
        self._count(self._dropped, cell_index, size, _FLOOD)

    def _count(self, dropped: dict[int, int], cell_index: int, size: int, flood: int) -> None:
        before = dropped.get(cell_index, 0)
        dropped[cell_index] = before + size
        if before <= flood < before + size:
            self._interruption = asyncio.ensure_future(ensure_async(self.km.interrupt_kernel()))

    async def _async_cleanup_kernel(self) -> None:
        """Kill what is left, at once: nothing of a stranger's notebook needs to be saved."""
        provisioner = getattr(self.km, "provisioner", None)
        if provisioner is not None and provisioner.pid is not None:
            kill_below(provisioner.pid)
        await super()._async_cleanup_kernel()

    _cleanup_kernel = run_sync(_async_cleanup_kernel)


def _size(value: object) -> int:
    if isinstance(value, str):
        return len(value)
    if isinstance(value, dict):
        return sum(len(str(key)) + _size(each) for key, each in value.items())
    if isinstance(value, list | tuple):
        return sum(map(_size, value))
    return 8
