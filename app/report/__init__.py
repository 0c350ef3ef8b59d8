"""The hand-over record: one page made from the job file alone."""
