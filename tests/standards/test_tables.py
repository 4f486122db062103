from pathlib import Path

import pytest

import estimator.standards
from estimator.standards.tables import read_table

TABLES = sorted(path.name for path in Path(estimator.standards.__path__[0]).glob("*.csv"))


@pytest.mark.parametrize("name", TABLES)
def test_every_row_of_every_table_names_its_source_and_how_far_it_can_be_trusted(name: str) -> None:
    rows = read_table(name)
    assert rows
    for row in rows:
        assert row["source"]
        assert row["status"] in {"verified", "derived", "memory"}
        # A stray comma would leave a value without a column (key None) or a column without a value.
        assert None not in row
        assert None not in row.values()
