"""Whether marks serve: a sheet of random marks for two editors, their agreement, and how useful each rule was.

sheet.py writes and reads the sheets, report.py says what two of them show.
"""

from limberleaf.agreement import Agreement, Share, agreement, share
from limberleaf.desk.agreement.report import report
from limberleaf.desk.agreement.sheet import HOW, SheetError, read_sheet, sheet_of

__all__ = [
    "HOW",
    "Agreement",
    "Share",
    "SheetError",
    "agreement",
    "read_sheet",
    "report",
    "share",
    "sheet_of",
]
