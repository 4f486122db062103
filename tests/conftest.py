"""Makes the fixtures that recalculate workbooks and those that make layouts by hand known to every test."""

pytest_plugins = ["recalculation", "hand_made_layouts"]
