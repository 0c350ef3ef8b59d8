"""No input makes a reader crash, hang, or say anything but one clear sentence."""

import pytest

from tests.fuzz.runner import Fuzzer
from tests.fuzz.targets import TARGETS


@pytest.mark.parametrize("name", TARGETS)
def test_some_seconds_of_each_fuzzer(name: str) -> None:
    target = TARGETS[name]
    report = Fuzzer(target).run_batch(target.examples)
    # Inputs that all fail at the first check would test nothing else.
    assert min(report.ends["read"], report.ends["refused"]) >= 3


@pytest.mark.slow
@pytest.mark.timeout(300)
@pytest.mark.parametrize("name", TARGETS)
def test_a_minute_of_each_fuzzer(name: str) -> None:
    """The ten minutes are ``python -m tests.fuzz``."""
    Fuzzer(TARGETS[name], first_seed=1000).run_for(60.0)
