"""Run the program: `planner` or `python -m planner`."""

import gc
import os

from planner import cli

ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
COLLECT_EVERY = 100_000  # objects made more than freed, our choice: a swap makes about as many and keeps most


def main() -> None:
    """Run one command, with numpy on one thread unless the user has said otherwise. Our matrices are small, so that
    threads cost more than they give, and sums then come out the same on every machine. It must be said before numpy
    is loaded, which no command does before it runs."""
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    # no other package looks into what is read here, and no installed package is asked whether it would
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # modules and what is read stay: looking for rubbish among them finds none
    gc.set_threshold(COLLECT_EVERY)
    try:
        cli.main()
    finally:
        gc.freeze()  # the process ends and gives all back at once: nothing is to be looked through once more


if __name__ == "__main__":
    main()
