"""Whatever stands in a file, reading gives an order or messages, and never fails in any other way."""

import csv
import io
import shutil
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import EstimatorError
from estimator.reading.order import read_order

GOOD = Path(__file__).parents[1] / "broken" / "_good"
LISTS = sorted(str(path.relative_to(GOOD)) for path in GOOD.rglob("*.csv"))
SETTINGS = sorted(str(path.relative_to(GOOD)) for path in GOOD.rglob("*.toml"))
FILES = LISTS + SETTINGS
CELLS = [
    (name, row, column)
    for name in LISTS
    for row, cells in enumerate(csv.reader(io.StringIO((GOOD / name).read_text(encoding="utf-8"))))
    for column in range(len(cells))
]

near_values = st.text(alphabet="0123456789 /.,;-+%'\"″½xX@ftinmcglbyrandom²\x07\n\r\t", max_size=16)
long_values = st.sampled_from(
    ["9" * 5000, "0." + "1" * 5000, "1e999999999", "nan", "-inf", "9999 @ 9999 x 9999", "=1/0"]
)
cell_texts = st.one_of(st.text(max_size=40), near_values, long_values)

some_examples = settings(deadline=None, max_examples=50)


@pytest.fixture(scope="module")
def order(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a sound order that may be broken and is mended after each example."""
    folder = tmp_path_factory.mktemp("random") / "order"
    shutil.copytree(GOOD, folder)
    return folder


def read_or_refuse(order: Path, name: str, content: bytes) -> None:
    """Read the order with another content of one file; every message must be one line that names a file."""
    path = order / name
    sound = path.read_bytes()
    path.write_bytes(content)
    messages: list[str] = []
    try:
        read_order(order, today=date(2026, 11, 24))
    except EstimatorError as error:
        messages = [str(fault) for fault in error.faults]
        assert messages
    finally:
        path.write_bytes(sound)
    for message in messages:
        assert len(message.splitlines()) == 1
        assert message.startswith(str(order))


def with_cell(text: str, row: int, column: int, value: str) -> str:
    rows = list(csv.reader(io.StringIO(text)))
    rows[row][column] = value
    written = io.StringIO(newline="")
    csv.writer(written).writerows(rows)
    return written.getvalue()


@some_examples
@given(cell=st.sampled_from(CELLS), value=cell_texts)
def test_any_text_in_any_cell_is_read_or_refused(order: Path, cell: tuple[str, int, int], value: str) -> None:
    name, row, column = cell
    text = with_cell((order / name).read_text(encoding="utf-8"), row, column, value)
    read_or_refuse(order, name, text.encode("utf-8", "surrogatepass"))


@some_examples
@given(name=st.sampled_from(FILES), content=st.binary(max_size=200))
def test_any_bytes_as_a_file_are_read_or_refused(order: Path, name: str, content: bytes) -> None:
    read_or_refuse(order, name, content)


@some_examples
@given(name=st.sampled_from(FILES), place=st.floats(0, 1), length=st.integers(0, 30), content=st.binary(max_size=12))
def test_any_bytes_amid_a_sound_file_are_read_or_refused(
    order: Path, name: str, place: float, length: int, content: bytes
) -> None:
    sound = (order / name).read_bytes()
    start = int(place * len(sound))
    read_or_refuse(order, name, sound[:start] + content + sound[start + length :])


@some_examples
@given(name=st.sampled_from(SETTINGS), data=st.data())
def test_any_value_of_any_setting_is_read_or_refused(order: Path, name: str, data: st.DataObject) -> None:
    lines = (order / name).read_text(encoding="utf-8").splitlines()
    place = data.draw(st.sampled_from([n for n, line in enumerate(lines) if "=" in line]))
    value = data.draw(
        st.one_of(
            cell_texts.map(toml_text),
            st.integers().map(str),
            st.floats().map(str),
            st.sampled_from(["[]", "{}", "true", "2026-11-24T10:00:00", "[[1], {a = 1}]", '""', '["", 5]', "[" * 2000]),
        )
    )
    lines[place] = f"{lines[place].partition('=')[0]}= {value}"
    read_or_refuse(order, name, "\n".join(lines).encode("utf-8", "surrogatepass"))


def toml_text(value: str) -> str:
    """Write a text for TOML, every sign of it escaped."""
    return '"' + "".join(f"\\U{ord(sign):08X}" for sign in value) + '"'
