"""Makes the fixtures that recalculate workbooks known to every test."""

pytest_plugins = ["recalculation"]
