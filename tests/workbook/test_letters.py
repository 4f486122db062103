import pytest

from estimator.workbook.letters import number_digits, text_digits, wrapped_lines


def test_digits_are_as_wide_as_digits_and_letters_as_they_are() -> None:
    assert text_digits("0123456789") == 10
    assert text_digits("illicit") < 4 < text_digits("WWWW")
    assert text_digits("Leg", bold=True) > text_digits("Leg")


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("", 1),
        ("0000000000", 1),
        ("000000000 0", 2),  # a word goes to the next line whole
        ("00000\n00000", 2),
        ("0" * 25, 3),  # a word longer than a line is broken
        ("00000 00000 00000", 3),
    ],
)
def test_lines_are_filled_with_whole_words(text: str, lines: int) -> None:
    assert wrapped_lines(text, 10.8) == lines  # ten digits and the room a cell leaves free


def test_indented_text_has_less_room() -> None:
    assert wrapped_lines("0000000000", 10.8, indent=1) == 2


@pytest.mark.parametrize(
    ("value", "number_format", "digits"),
    [
        (7, "#,##0", 1),
        (1234567, "#,##0", 7 + 2 * 278 / 556),  # two commas, each half a digit wide
        (0.0625, "0.00%", 3 + 278 / 556 + 940 / 556),  # 6.25 %
        (2.5, '"€"#,##0.00', 4 + 278 / 556),  # the sign as wide as a digit
        (2.5, '# ?/2"″"', 0),
    ],
)
def test_a_number_needs_the_room_of_its_format(value: float, number_format: str, digits: float) -> None:
    needed = number_digits(value, number_format)
    assert needed == pytest.approx(digits + 0.8 if digits else 0)
