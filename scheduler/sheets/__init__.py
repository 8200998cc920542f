"""Everything that a plan is given out as: run sheets, lists, summary, workbook, data, page."""

from scheduler.sheets.day_lists import day_lists
from scheduler.sheets.fonts import font_warnings, missing_scripts
from scheduler.sheets.page import day_page
from scheduler.sheets.plan_json import plan_json, plan_to_data
from scheduler.sheets.run_sheets import run_sheets
from scheduler.sheets.summary import summary
from scheduler.sheets.words import compared
from scheduler.sheets.workbook import plan_workbook
from scheduler.sheets.write import all_files, write_files

__all__ = [
    "all_files",
    "compared",
    "day_lists",
    "day_page",
    "font_warnings",
    "missing_scripts",
    "plan_json",
    "plan_to_data",
    "plan_workbook",
    "run_sheets",
    "summary",
    "write_files",
]
