"""The prints of the shelf."""

SHEET_KIND = "count-sheet"
RESULT_KIND = "count-result"
