"""The job file: one SQLite file per job, one append-only table, each row hashed onto the last.

``new`` makes one, ``resume`` opens one to go on recording, ``writer`` appends, ``reader`` reads a
stranger's file safely, ``verify`` recomputes the chain and ``share`` makes a copy.
"""
