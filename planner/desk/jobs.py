"""Work that may take longer than a page: done beside it, newest first, each result kept until it is fetched."""

import queue
import threading
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from typing import Any, TypeVar

Made = TypeVar("Made")
Place = tuple[object, str]  # whose work, and which


class StillWorking(Exception):
    """What was asked for is not there yet: the page asks again."""


@dataclass
class Jobs:
    """One thread that works while pages are shown; it ends with the process, whatever it is doing."""

    of: dict[Place, tuple[Any, Future[Any]]] = field(default_factory=dict)
    waiting: queue.LifoQueue[tuple[Future[Any], Callable[[], Any]]] = field(default_factory=queue.LifoQueue)
    thread: threading.Thread | None = None

    def start(self, place: Place, stamp: object, work: Callable[[], object]) -> None:
        """Have this done; what was begun there before, and is not fetched yet, is forgotten."""
        if self.thread is None:
            self.thread = threading.Thread(target=self._run, daemon=True)
            self.thread.start()
        if known := self.of.get(place):
            known[1].cancel()
        future: Future[Any] = Future()
        self.of[place] = stamp, future
        self.waiting.put((future, work))

    def ask(self, place: Place, stamp: object, work: Callable[[], Made], seconds: float | None) -> Made:
        """Give what `work` gives, worked out once as long as the stamp is the same. Raises StillWorking."""
        if self.of.get(place, (None,))[0] != stamp:
            self.start(place, stamp, work)
        return self._result(place, seconds, keep=True)

    def fetch(self, place: Place, seconds: float) -> Any:
        """Give what was begun there, once. Raises StillWorking, KeyError where nothing was begun."""
        return self._result(place, seconds, keep=False)

    def _result(self, place: Place, seconds: float | None, *, keep: bool) -> Any:
        future = self.of[place][1]
        try:
            done = future.exception(seconds)
        except TimeoutError:
            raise StillWorking from None
        if done or not keep:
            del self.of[place]
        return future.result()

    def _run(self) -> None:
        while True:
            future, work = self.waiting.get()
            if not future.set_running_or_notify_cancel():
                continue
            try:
                future.set_result(work())
            except BaseException as fault:  # told where the result is fetched
                future.set_exception(fault)
