"""How large a register file may be; engineering judgement, several times what a plant keeps."""

LARGEST_FILE_BYTES = 25_000_000
# What a workbook unpacks to; a bomb of zeros unpacks to a thousand times its size.
LARGEST_UNPACKED_BYTES = 250_000_000
LARGEST_STRINGS_BYTES = 80_000_000
MOST_PARTS = 2_000
MOST_ROWS = 100_000
MOST_COLUMNS = 200
MOST_SHEETS = 50
# What a cell of a workbook can hold.
LONGEST_CELL = 32_700
MOST_CELLS = 6_000_000
# Blank rows past the last one; more of them than a sheet can have are no table.
MOST_ROWS_OF_A_SHEET = 1_048_576
# Titles and remarks above the header.
HEADER_WITHIN_ROWS = 30
