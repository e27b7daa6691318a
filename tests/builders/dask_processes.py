"""A Dask scheduler and its workers as processes of their own: no thread of theirs runs where tests run, all can be killed."""

import json
import subprocess
import sys
import time
from contextlib import contextmanager

Process = subprocess.Popen[bytes]
START_SECONDS = 90  # on a very busy machine


@contextmanager
def cluster(folder, workers):
    """Give the address of a scheduler and the processes, the scheduler's first; all are killed in the end."""
    import distributed

    file, here = folder / "scheduler.json", ("--host", "127.0.0.1", "--no-dashboard")
    processes = [_started(folder, "scheduler", *here, "--port", "0", "--scheduler-file", str(file))]
    try:
        address = _address(file, time.monotonic() + START_SECONDS)
        alone = (address, "--no-nanny", "--nthreads", "1", "--local-directory", str(folder), *here)
        processes += [_started(folder, "worker", *alone) for _ in range(workers)]
        if workers:
            with distributed.Client(address, timeout=START_SECONDS, set_as_default=False) as client:
                client.wait_for_workers(workers, timeout=START_SECONDS)
        yield address, processes
    finally:
        for process in processes:
            process.kill()
            process.wait(START_SECONDS)


def _started(folder, kind, *words):
    command = (sys.executable, "-P", "-m", f"distributed.cli.dask_{kind}", *words)
    with (folder / f"{kind}.log").open("ab") as said:
        return subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=said, stderr=said)


def _address(file, until):
    while True:  # the scheduler opens the file before it fills it
        try:
            return json.loads(file.read_text())["address"]
        except (FileNotFoundError, json.JSONDecodeError):
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
