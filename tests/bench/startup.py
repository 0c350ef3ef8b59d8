"""First paint of Simmerdown's window beside that of a bare Qt window of the same size.

``python -m tests.bench.startup [TIMES]`` starts each in a fresh process, in turn, and prints
medians. Time runs from the process's start to the end of the first paint; the target is at most
1.2 times the bare window. What is slow to import (numpy, pyqtgraph) comes after the first paint.
"""

import os
import statistics
import subprocess
import sys
import tempfile

_BARE = """
import sys, time
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QWidget
class Window(QWidget):
    def paintEvent(self, event):
        print(time.time(), flush=True)
        QTimer.singleShot(0, application.quit)
application = QApplication([])
window = Window()
window.resize(1280, 720)
window.show()
application.exec()
"""
_OURS = """
import sys, time
from app.window import application
def painted(shell, begin):
    print(time.time(), flush=True)
    shell.close()
application.fill = painted
from app.cli import main
sys.exit(main([]))
"""


def first_paint_s(program: str) -> float:
    """Run a program that prints the time of its first paint; give the seconds it took."""
    import time

    with tempfile.TemporaryDirectory() as home:
        environment = {"QT_QPA_PLATFORM": "offscreen", **os.environ, "SIMMERDOWN_HOME": home}
        begun = time.time()
        done = subprocess.run(
            [sys.executable, "-c", program],
            env=environment,
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
        )
        return float(done.stdout.split()[0]) - begun


def medians_s(times: int) -> tuple[float, float]:
    """Give the medians of the bare window and of ours, taken in turn."""
    bare, ours = [], []
    for _ in range(times):
        bare.append(first_paint_s(_BARE))
        ours.append(first_paint_s(_OURS))
    return statistics.median(bare), statistics.median(ours)


if __name__ == "__main__":
    bare_s, ours_s = medians_s(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
    print(f"bare Qt window {bare_s * 1000:.0f} ms, Simmerdown {ours_s * 1000:.0f} ms")
    print(f"{ours_s / bare_s:.2f} times; the target is at most 1.20")
