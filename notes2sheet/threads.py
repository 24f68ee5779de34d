"""One thread for the matrix products of a draft: they are so small that several only wait for one another, up to ten
times as long on a busy machine."""

from __future__ import annotations

import os
from contextlib import AbstractContextManager, nullcontext
from functools import cache
from typing import Any

SINGLE = "OPENBLAS_NUM_THREADS"  # set to 1 before numpy is loaded, it spares the start of the others, too


def one_thread() -> AbstractContextManager[Any]:
    """A context in which numpy's products run in one thread, whatever they use outside of it."""
    return nullcontext() if os.environ.get(SINGLE) == "1" else _pools().limit(limits=1, user_api="blas")


@cache
def _pools() -> Any:
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()
