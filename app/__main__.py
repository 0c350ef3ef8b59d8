"""``python3 app ARGUMENTS`` is ``simmerdown ARGUMENTS``."""

import os
import sys

if __package__ in (None, "") and not getattr(sys, "frozen", False):
    # In front stands this folder, whose modules would be found under the wrong names.
    sys.path[0] = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

if __name__ == "__main__":
    from app import bootstrap

    if not getattr(sys, "frozen", False):
        bootstrap.ensure("app")

    from app.cli import main

    sys.exit(main())
