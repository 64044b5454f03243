"""Ctrl-C while Qt has the process.

An exception that Python raises in the middle of Qt's loading or painting comes out as anything, a crash among it, and
none is raised while Qt waits for events. So a thread of its own listens, says that the call is interrupted and ends it.
"""

from __future__ import annotations

import contextlib
import os
import signal
import threading
from collections.abc import Iterator

INTERRUPTED = 130
_SAID = b"nightleg: interrupted\n"


@contextlib.contextmanager
def ending_at_once() -> Iterator[None]:
    """Within it an interrupt ends the process with a word on standard error. For work that leaves nothing half done."""
    if threading.current_thread() is not threading.main_thread() or signal.getsignal(signal.SIGINT) in (
        signal.SIG_IGN,
        None,
    ):
        yield
        return
    told = os.dup(2)
    reading, writing = os.pipe()
    os.set_blocking(writing, False)
    listener = threading.Thread(target=_listen, args=(reading, told), daemon=True)
    listener.start()
    before = signal.signal(signal.SIGINT, lambda *_: None)
    other = signal.set_wakeup_fd(writing, warn_on_full_buffer=False)
    try:
        yield
    finally:
        signal.set_wakeup_fd(other)
        signal.signal(signal.SIGINT, before)
        os.close(writing)
        listener.join()
        os.close(reading)
        os.close(told)


def _listen(reading: int, told: int) -> None:
    """Waits for the number of a signal; the end of the pipe ends it."""
    while arrived := os.read(reading, 1):
        if arrived[0] == signal.SIGINT:
            with contextlib.suppress(OSError):
                os.write(told, _SAID)
            os._exit(INTERRUPTED)
