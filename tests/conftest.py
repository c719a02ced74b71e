"""Settings of all tests; its place also puts this folder on the path of every test below it."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# The same examples on every machine, so that a failing test fails for everybody. A folder
# of its own for each example is not needed: every example writes its files anew.
settings.register_profile(
    "repeatable",
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
settings.load_profile("repeatable")
