from fractions import Fraction

import pytest
from openpyxl.styles.builtins import styles as builtin_styles

from estimator.money import Currency
from estimator.workbook import styles
from estimator.workbook.styles import Style, aligned, as_input, as_total, decimals, length_in, length_mm, money


def all_styles() -> list[Style]:
    plain = [style for style in vars(styles).values() if isinstance(style, Style)]
    lengths = [length_in(Fraction(number, 64)) for number in range(1, 200)] + [length_in(Fraction(1, 3))]
    metric = [length_mm(Fraction(45)), length_mm(Fraction(91, 2))]
    amounts = [money(Currency(code=code)) for code in ("USD", "EUR", "GBP", "JPY")]
    made = [*plain, *lengths, *metric, *amounts, decimals(2), decimals(3)]
    return [
        *made,
        *map(as_total, made),
        *map(as_input, made),
        *(aligned(style, side) for style in made for side in ("left", "center", "right")),
    ]


def test_no_two_styles_share_a_name() -> None:
    by_name: dict[str, Style] = {}
    for style in all_styles():
        assert by_name.setdefault(style.name, style) == style


def test_no_style_takes_the_name_of_one_every_program_has_built_in() -> None:
    assert {style.name.casefold() for style in all_styles()}.isdisjoint(name.casefold() for name in builtin_styles)


@pytest.mark.parametrize(
    ("code", "number_format"),
    [("USD", '"$"#,##0.00'), ("EUR", '"€"#,##0.00'), ("GBP", '"£"#,##0.00'), ("JPY", '"JPY "#,##0')],
)
def test_money_shows_its_sign_and_as_many_decimals_as_its_coins(code: str, number_format: str) -> None:
    assert money(Currency(code=code)).number_format == number_format


@pytest.mark.parametrize(
    ("inches", "number_format"),
    [
        (Fraction(24), '0"″"'),
        (Fraction(0), '0"″"'),
        (Fraction(49, 2), '# ?/2"″"'),
        (Fraction(22) + Fraction(17, 64), '# ??/64"″"'),
        (Fraction(13, 16), '??/16"″"'),
        (Fraction(1, 32), '??/32"″"'),
        (Fraction(610 * 10, 254), '0.000"″"'),
        (Fraction(1, 3), '0.000"″"'),
        (Fraction(1, 128), '0.000"″"'),
    ],
)
def test_a_length_shows_the_very_fraction_it_is(inches: Fraction, number_format: str) -> None:
    assert length_in(inches).number_format == number_format


def test_millimetres_are_whole_where_they_are() -> None:
    assert length_mm(Fraction(610)).number_format == '0 "mm"'
    assert length_mm(Fraction(1221, 2)).number_format == '0.0 "mm"'
