"""Coroutines in an event loop of their own thread: a browser's driver keeps one running in the thread of the tests."""

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

__all__ = ["run_apart"]

Result = TypeVar("Result")


def run_apart(work: Coroutine[Any, Any, Result]) -> Result:
    """Run a coroutine to its end and return what it returns."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(asyncio.run, work).result()
