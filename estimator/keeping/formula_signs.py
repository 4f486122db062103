"""Texts that a spreadsheet program may take for a formula, and work out, when a table is opened in one."""

# OWASP, "CSV Injection": =, +, - and @ at the start of a cell.
_SIGNS = ("=", "+", "-", "@")


def could_be_formula(text: str) -> bool:
    """Whether a text begins like a formula; numbers with their sign in front do too."""
    return text.startswith(_SIGNS)
