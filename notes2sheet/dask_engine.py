"""The same work over an existing Dask cluster (extra 'dask'). Results come back to the one process that writes them,
so every note is drafted and written once, whatever becomes of the workers."""

from __future__ import annotations

from collections.abc import Iterator

from notes2sheet.batch import Done, Engine, Task, draft_task
from notes2sheet.errors import Notes2SheetError

WINDOW = 8  # tasks under way for each thread of the cluster
CONNECT = "10s"


def dask_engine(address: str) -> Engine:
    """Drafts on the cluster whose scheduler is at `address`. The text of the notes travels with the task; sound files
    and an own lexicon are opened by the workers, under the same path. Raises Notes2SheetError without the extra or
    the scheduler."""
    try:
        from distributed import Client
    except ImportError:
        raise Notes2SheetError("Dask is not installed", "--engine dask", "pip install 'notes2sheet[dask]'") from None

    def engine(tasks: Iterator[Task]) -> Iterator[Done]:
        try:
            client = Client(address, timeout=CONNECT, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as error:
            reason = str(error).split("\n")[0]
            raise Notes2SheetError(
                f"no scheduler answers: {reason}", address, "check --scheduler, as tcp://HOST:8786"
            ) from None
        try:
            yield from _spread(client, tasks)
        finally:
            client.close()

    return engine


def _spread(client, tasks: Iterator[Task]) -> Iterator[Done]:
    from distributed import as_completed

    limit = WINDOW * max(1, sum(client.nthreads().values()))
    running = as_completed(loop=client.loop)
    names: dict[str, Task] = {}

    def submit() -> bool:
        task = next(tasks, None)
        if task is None:
            return False
        future = client.submit(draft_task, task, pure=False)
        names[future.key] = task
        running.add(future)
        return True

    while len(names) < limit and submit():
        pass
    while names:
        future = next(running)
        task = names.pop(future.key)
        error = future.exception()
        yield (
            future.result()
            if error is None
            else Done(task.source, task.key, error=f"{task.source}: no worker could draft it: {error}")
        )
        submit()
