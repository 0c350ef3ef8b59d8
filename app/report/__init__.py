"""The hand-over record: a page and a technical page, made from the job file alone."""
