"""All fuzzers by name."""

from tests.fuzz import (
    addresses,
    csv_recordings,
    exported_records,
    gauge_lines,
    job_files,
    profile_files,
    settings_files,
)
from tests.fuzz.target import Target

TARGETS: dict[str, Target] = {
    target.name: target
    for target in (
        addresses.TARGET,
        job_files.TARGET,
        gauge_lines.TARGET,
        csv_recordings.TARGET,
        exported_records.TARGET,
        profile_files.TARGET,
        settings_files.TARGET,
    )
}
