"""``python3 tests``: every check of the project, one after the other, each by its name.

``python3 tests --slow`` also runs the tests marked slow. Any other arguments go to pytest, and
then only pytest runs: ``python3 tests tests/sensors -k csv``.
"""

import os
import sys

if __package__ in (None, "") and not getattr(sys, "frozen", False):
    # In front stands this folder, whose modules would be found under the wrong names.
    sys.path[0] = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

if __name__ == "__main__":
    from app import bootstrap

    bootstrap.ensure("tests", for_tests=True)

    from tests.checks import run

    sys.exit(run(sys.argv[1:]))
