"""Writes the workbook. The only room that knows the spreadsheet library; one module a sheet.

Every formula in it is live and also carries the value the program computed, because previews, phones and mail
attachments show stored values and calculate nothing. `tests/recalculation.py` shows that both agree.
"""

import os

# The library writes other XML (same meaning, other bytes) where lxml happens to be installed. This must be said before
# it is first imported, so it stands at the door of the only room that imports it.
os.environ.setdefault("OPENPYXL_LXML", "False")
