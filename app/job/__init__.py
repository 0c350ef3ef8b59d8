"""What a job says and how it is opened again; how its file is written is in ``app.jobfile``."""
