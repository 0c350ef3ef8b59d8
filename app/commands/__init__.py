"""The commands, one a file: ``add_parser(subparsers)`` and ``run(args) -> int``."""
