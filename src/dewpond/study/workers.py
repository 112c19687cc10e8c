"""Many drills of a plant, one after the other or on several cores; outcomes come back in the order of the drills."""

from __future__ import annotations

import pickle
import signal
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, contextmanager
from functools import lru_cache
from multiprocessing import active_children, get_context, parent_process
from threading import Thread

from dewpond.errors import DewpondError
from dewpond.plant.interrupts import put_off
from dewpond.plant.plant import Plant
from dewpond.study.drills import Drill
from dewpond.study.outcome import Outcome

RunOne = Callable[[Plant, Drill, bool | None], Outcome]
RunMany = Callable[[Plant, Sequence[Drill]], Iterator[Outcome]]
PORTION = 12  # drills handed to a worker at a time
ANEW = 3  # times that workers which were killed are replaced
KILLED = (
    "The system ends the processes of this study again and again, perhaps for want of memory. Close other programs and "
    "start it again: it goes on from where it was."
)


def one_by_one(run: RunOne, compiled: bool | None) -> RunMany:
    """Here and now, in this process."""

    def many(plant: Plant, drills: Sequence[Drill]) -> Iterator[Outcome]:
        for drill in drills:
            yield run(plant, drill, compiled)

    return many


@contextmanager
def several(run: RunOne, compiled: bool | None, workers: int) -> Iterator[RunMany]:
    """On so many processes. A run depends on plant and drill alone, so the outcomes are the same, in the same order."""
    pool = _pool(workers)
    waiting: list[deque[Future[list[Outcome]]]] = []  # of each call its own: one may be left before its end
    left = ANEW

    def many(plant: Plant, drills: Sequence[Drill]) -> Iterator[Outcome]:
        nonlocal pool, left
        portions = deque(drills[i : i + PORTION] for i in range(0, len(drills), PORTION))
        packed = pickle.dumps(plant)
        while portions:
            used = pool
            own: deque[Future[list[Outcome]]] = deque()
            waiting.append(own)
            try:
                with put_off():  # submitting starts the processes
                    own.extend(used.submit(_portion, run, packed, portion, compiled) for portion in portions)
                while own:
                    found = own[0].result()
                    own.popleft()  # what has been handed on is not held here as well
                    portions.popleft()
                    yield from found
            except BrokenProcessPool:  # a worker was ended, for want of memory or because somebody told it to
                left -= 1
                if left < 0:
                    raise DewpondError(KILLED) from None
                if pool is used:  # and not one that another call has put in its place
                    pool.shutdown(wait=True, cancel_futures=True)
                    pool = _pool(workers)

    try:
        yield many
    finally:
        with put_off():
            # stopped: nobody will use what is under way
            if not all(future.done() for own in waiting for future in own):
                for process in active_children():
                    process.terminate()
            pool.shutdown(wait=True, cancel_futures=True)


def _pool(workers: int) -> ProcessPoolExecutor:
    """Spawned, not forked: the same on every system, and no half-copied state of compilers and threads."""
    return ProcessPoolExecutor(workers, get_context("spawn"), _hang_on_the_parent)


def runner(run: RunOne, compiled: bool | None, workers: int) -> AbstractContextManager[RunMany]:
    """The way to run drills with that many processes; 1: none but this one."""
    return several(run, compiled, workers) if workers > 1 else _here(one_by_one(run, compiled))


@contextmanager
def _here(many: RunMany) -> Iterator[RunMany]:
    yield many


def _portion(run: RunOne, packed: bytes, drills: Sequence[Drill], compiled: bool | None) -> list[Outcome]:
    plant = _unpacked(packed)
    return [run(plant, drill, compiled) for drill in drills]


@lru_cache(maxsize=2)
def _unpacked(packed: bytes) -> Plant:
    """The plant of several portions once, with all that is worked out about it on the way."""
    plant: Plant = pickle.loads(packed)
    return plant


def _hang_on_the_parent() -> None:
    """In a worker: an interrupt is the parent's to answer; the end of the parent, however it comes, ends the worker."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # both came blocked, where the system can do that
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGTERM})
    Thread(target=_end_with_the_parent, daemon=True).start()


def _end_with_the_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()  # it stays until the other end of its pipe is shut, which the system does even after a kill
        signal.raise_signal(signal.SIGTERM)
