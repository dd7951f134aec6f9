"""How large a table may be that is read in; the page says these to whoever sends one."""

MOST_FILE_BYTES = 4_000_000
MOST_ROWS = 2000
MOST_COLUMNS = 40
MOST_SIGNS = 500
# An XLSX file is an archive: how much it may hold unpacked, in how many parts, and how much denser than its own size.
MOST_UNPACKED_BYTES = 40_000_000
MOST_PARTS = 200
MOST_RATIO = 150
