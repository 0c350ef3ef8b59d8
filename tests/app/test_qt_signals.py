"""The pinned Qt survives what the program does all day: queued signals between threads."""

import os
import subprocess
import sys

# PySide6 6.12.0 on Python 3.11 and older aborts after some 500 of these (bool_dealloc,
# none_dealloc), which only shows as the death of the process; hence a process of its own.
_PROGRAM = """
import threading
from PySide6.QtCore import QCoreApplication, QObject, Qt, Signal, Slot

class Source(QObject):
    value = Signal(object, bool, float)

class Sink(QObject):
    def __init__(self):
        super().__init__()
        self.count = 0

    @Slot(object, bool, float)
    def on_value(self, nothing, flag, number):
        assert nothing is None and isinstance(flag, bool) and isinstance(number, float)
        assert threading.current_thread() is threading.main_thread()
        self.count += 1
        if self.count == 4 * 5000:
            QCoreApplication.quit()

application = QCoreApplication([])
source, sink = Source(), Sink()
source.value.connect(sink.on_value, Qt.ConnectionType.QueuedConnection)

def emit():
    for number in range(5000):
        source.value.emit(None, number % 2 == 0, float(number))

threads = [threading.Thread(target=emit) for _ in range(4)]
for thread in threads:
    thread.start()
application.exec()
for thread in threads:
    thread.join()
print(sink.count)
"""


def test_thousands_of_queued_signals_across_threads() -> None:
    done = subprocess.run(
        [sys.executable, "-c", _PROGRAM],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert (done.returncode, done.stdout.strip(), done.stderr) == (0, "20000", "")
