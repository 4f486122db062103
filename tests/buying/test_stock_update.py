import shutil
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.stock_update import LeftOver, StockUse, stock_after, stock_use
from estimator.errors import Findings, Origin
from estimator.estimate import estimate
from estimator.reading.order import read_order
from estimator.reading.prices import read_price_tables
from estimator.reading.shop import read_shop
from estimator.reading.stock import StockRow, read_stock, stock_list
from estimator.standards.sections import parse_section

GOOD = Path(__file__).parents[1] / "broken" / "_good"
SPECIES = ("western larch", "white oak")
SECTIONS = ("2x4", "8/4x6", "27 x 145 mm", "1 1/2 x 3 1/2 in")
SIXTY_FOURTH = Fraction(1, 64)


def row_of(
    line: int, quantity: int, length_in: int = 40, *, section: str = "2x4", species: str = SPECIES[0]
) -> StockRow:
    return StockRow(
        origin=Origin(file="stock.csv", line=line),
        species=species,
        grade="Select",
        section=parse_section(section),
        length_in=Fraction(length_in),
        quantity=quantity,
        value=None,
        place="rack",
        note="dry",
    )


def left_over_of(row: StockRow, quantity: int) -> LeftOver:
    return LeftOver(
        species=row.species, grade=row.grade, section=row.section, length_in=row.length_in, quantity=quantity
    )


def pieces(rows: Sequence[StockRow | LeftOver]) -> Counter[tuple[str, str, Fraction]]:
    """Count the pieces of each size."""
    found: Counter[tuple[str, str, Fraction]] = Counter()
    for row in rows:
        found[row.species, row.section.text, row.length_in] += row.quantity
    return +found


def test_rows_of_which_the_last_piece_is_taken_go_and_others_keep_all_they_say() -> None:
    first, second, none = row_of(2, 3), row_of(3, 2, 60), row_of(4, 0, 80)
    after = stock_after((first, second, none), {first: 1, second: 2}, ())
    assert after == (replace(first, quantity=2), none)


def test_a_left_over_is_counted_with_the_first_row_of_its_size_or_becomes_a_row() -> None:
    first, second = row_of(2, 3), row_of(3, 2)
    same, other = left_over_of(first, 2), left_over_of(row_of(9, 1, 50), 1)
    known, untouched, new = stock_after((first, second), {}, (same, other, other))
    assert known == replace(first, quantity=5)
    assert untouched is second
    assert (new.quantity, new.length_in, new.note) == (2, Fraction(50), "")
    assert new.origin.line is None


def test_a_row_that_is_taken_and_refilled_stays() -> None:
    row = row_of(2, 1)
    assert stock_after((row,), {row: 1}, (left_over_of(row, 1),)) == (row,)


@pytest.mark.parametrize("taken", [-1, 3])
def test_no_more_is_taken_than_there_is(taken: int) -> None:
    row = row_of(2, 2)
    with pytest.raises(ValueError, match="cannot be taken"):
        stock_after((row,), {row: taken}, ())


sizes = st.builds(
    lambda species, section, length: (species, parse_section(section), length * SIXTY_FOURTH),
    st.sampled_from(SPECIES),
    st.sampled_from(SECTIONS),
    st.integers(24 * 64, 24 * 64 + 3),  # so few that some are alike
)


@st.composite
def jobs(draw: st.DrawFn) -> tuple[tuple[StockRow, ...], StockUse]:
    """Draw a stock and what a job takes and leaves."""
    rows = tuple(
        replace(row_of(line, quantity), species=species, section=section, length_in=length_in)
        for line, ((species, section, length_in), quantity) in enumerate(
            draw(st.lists(st.tuples(sizes, st.integers(0, 5)), max_size=6)), 2
        )
    )
    taken = {row: draw(st.integers(0, row.quantity)) for row in rows if draw(st.booleans())}
    left_overs = tuple(
        LeftOver(species=species, grade="Select", section=section, length_in=length_in, quantity=quantity)
        for (species, section, length_in), quantity in draw(st.lists(st.tuples(sizes, st.integers(1, 5)), max_size=4))
    )
    return rows, StockUse(taken=taken, left_overs=left_overs)


@given(jobs())
def test_no_piece_is_lost_and_none_appears(job: tuple[tuple[StockRow, ...], StockUse]) -> None:
    rows, use = job
    after = stock_after(rows, use.taken, use.left_overs)
    out = pieces([replace(row, quantity=count) for row, count in use.taken.items()])
    assert pieces(after) + out == pieces(rows) + pieces(use.left_overs)


@given(jobs())
def test_what_is_taken_and_put_back_leaves_the_stock_as_it_was(job: tuple[tuple[StockRow, ...], StockUse]) -> None:
    rows, use = job
    back = tuple(left_over_of(row, count) for row, count in use.taken.items() if count)
    assert pieces(stock_after(stock_after(rows, use.taken, ()), {}, back)) == pieces(rows)


def saved(rows: Sequence[StockRow], delimiter: str) -> bytes:
    """Return rows as a list with a column of its owner's."""
    cells = [["quantity", "mine", "length", "grade", "section", "species", "note"]]
    for row in rows:
        length = f"{row.length_in.numerator}/{row.length_in.denominator} in"
        cells.append([str(row.quantity), "x", length, row.grade, row.section.text, row.species, row.note])
    return "\n".join(delimiter.join(row) for row in cells).encode()


@settings(deadline=None, max_examples=40)
@given(job=jobs(), delimiter=st.sampled_from(",;\t"), kept=st.booleans())
def test_the_list_on_file_holds_the_pieces_that_are_left(
    job: tuple[tuple[StockRow, ...], StockUse], delimiter: str, tmp_path_factory: pytest.TempPathFactory, *, kept: bool
) -> None:
    shop = replace(read_shop(GOOD / "shop.toml", Findings()), folder=tmp_path_factory.mktemp("shop"))
    lumber = read_price_tables(shop, Findings()).lumber
    rows, use = job
    raw = saved(rows, delimiter) if rows or kept else None
    if raw is not None:
        shop.stock_path.write_bytes(raw)
    before = read_stock(shop, lumber, Findings())
    assert pieces(before) == pieces(rows)
    taken = {now: use.taken[row] for now, row in zip(before, rows, strict=True) if row in use.taken}
    after = stock_after(before, taken, use.left_overs)
    shop.stock_path.write_bytes(stock_list(raw, before, after, "in"))
    findings = Findings()
    found = read_stock(shop, lumber, findings)
    assert findings.faults == []
    assert pieces(found) == pieces(after)
    assert [row.note for row in found] == [row.note for row in after]


@pytest.fixture
def order(tmp_path: Path) -> Path:
    folder = tmp_path / "order"
    shutil.copytree(GOOD, folder)
    return folder


def use_of(folder: Path) -> StockUse:
    found = read_order(folder, today=date(2026, 11, 24))
    return stock_use(estimate(found).buy_sheet, found.shop)


def test_without_stock_nothing_is_taken_and_usable_left_overs_go_in(order: Path) -> None:
    use = use_of(order)
    assert use.taken == {}
    assert use.left_overs
    for one in use.left_overs:
        assert one.length_in >= 16  # the shop's usable offcut
        assert one.length_in % SIXTY_FOURTH == 0
        assert one.grade == "Select"


def test_a_board_on_hand_that_costs_nothing_is_taken_instead_of_a_bought_one(order: Path) -> None:
    (order / "stock.csv").write_text(
        "species,section,length,quantity,place\nwestern larch,2x2,8 ft,9,rack\nwhite oak,4/4x6,8 ft,2,\n",
        encoding="utf-8",
    )
    use = use_of(order)
    ((row, count),) = use.taken.items()
    assert (row.section.text, row.place) == ("2x2", "rack")
    assert 1 <= count <= 9


def test_left_overs_too_short_for_a_tape_are_left_aside(order: Path) -> None:
    settings_file = order / "shop.toml"
    text = settings_file.read_text(encoding="utf-8")
    settings_file.write_text(text.replace('usable_offcut = "16 in"', "usable_offcut = 0"), encoding="utf-8")
    assert all(one.length_in > 0 for one in use_of(order).left_overs)
