"""Work that can be shared out to the other cores: runs don't know of each other, so they may run side by side."""

from __future__ import annotations

import multiprocessing
import os
import sys
import warnings
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from typing import Any, TypeVar

Result = TypeVar("Result")
MOST_HELPERS = 4
_is_helper = False


def spread(work: Callable[..., Result], jobs: Iterable[tuple[Any, ...]]) -> list[Result]:
    """Do ``work(*job)`` for every job, on several cores where that can be had; results in the order of the jobs.

    Helpers are made as copies of this process, which only some systems can; elsewhere, and inside a helper, one job is done after the other.
    Either way the results are the same.
    """
    rows = list(jobs)
    count = min(len(rows), os.cpu_count() or 1, MOST_HELPERS)
    if count < 2 or _is_helper or not sys.platform.startswith("linux"):
        return [work(*row) for row in rows]
    with warnings.catch_warnings():
        # newer Pythons warn of copying a process that has threads; these helpers only reckon, and take no lock that a thread could hold
        warnings.simplefilter("ignore", DeprecationWarning)
        context = multiprocessing.get_context("fork")
        with ProcessPoolExecutor(count, mp_context=context, initializer=_become_helper) as pool:
            return list(pool.map(_do, [work] * len(rows), rows))


def _become_helper() -> None:
    global _is_helper
    _is_helper = True


def _do(work: Callable[..., Result], row: tuple[Any, ...]) -> Result:
    return work(*row)
