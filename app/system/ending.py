"""What asks a program to end, beside Ctrl-C."""

import signal


def asking_to_end() -> list[int]:
    """Give the signals: also that of a closed terminal, unless it is to be ignored (nohup)."""
    asking: list[int] = [signal.SIGTERM]
    if hasattr(signal, "SIGHUP") and signal.getsignal(signal.SIGHUP) != signal.SIG_IGN:
        asking.append(signal.SIGHUP)
    return asking
