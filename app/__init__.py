"""Simmerdown's program: joins sensors and analysis into window, terminal, job file and report."""

import os

__version__ = "0.1.0"

# The fits' matrices are a few dozen rows: more threads only wait for each other, and on a laptop's
# two cores they take the plot's and the recorder's. Must be set before numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
