"""The year-end workbook: what an accountant opens, sees tie out, and can read without the program."""

from __future__ import annotations

from exports.workbook.write import Written, write

__all__ = ["Written", "write"]
