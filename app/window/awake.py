"""Keeps the laptop awake while a run is recorded; where that cannot be, nothing is said."""

import logging
from contextlib import AbstractContextManager
from typing import Any

_log = logging.getLogger("simmerdown.awake")


class Awake:
    """Holds the system's sleep off between :meth:`hold` and :meth:`let_go`."""

    def __init__(self) -> None:
        self._mode: AbstractContextManager[Any] | None = None

    def hold(self) -> None:
        """Begin, if not begun."""
        if self._mode is not None:
            return
        try:
            from wakepy import keep

            mode = keep.running(on_fail="pass")
            assert isinstance(mode, AbstractContextManager)
            mode.__enter__()
            self._mode = mode
        except Exception:  # of any kind: recording matters more than staying awake
            _log.exception("the computer may fall asleep")

    def let_go(self) -> None:
        """Let the computer sleep again."""
        mode, self._mode = self._mode, None
        if mode is None:
            return
        try:
            mode.__exit__(None, None, None)
        except Exception:  # of any kind: see above
            _log.exception("the computer may stay awake")
