"""How a sheet is divided into labels."""

from dataclasses import dataclass
from itertools import pairwise

# A4, upright. [mm]
SHEET_WIDTH_MM, SHEET_HEIGHT_MM = 210.0, 297.0
MOST_ACROSS, MOST_DOWN = 8, 20
LARGEST_MARGIN_MM, LARGEST_GAP_MM = 40.0, 20.0
# A telephone reads a code of 37 modules and its quiet zone from this width on without effort;
# engineering judgement.
SMALLEST_CODE_MM = 16.0
_EDGE_MM = 1.5
# Beside the code stands the text: never less than this share of a label.
_TEXT_SHARE = 0.4


@dataclass(frozen=True)
class SheetLayout:
    """Labels in rows and columns between equal margins.

    Parameters
    ----------
    across, down : int
        Columns and rows, 1 or more.
    margin_mm : float
        Around the sheet [mm], 0 or more.
    gap_mm : float
        Between two labels [mm], 0 or more.
    skip : int
        Places at the beginning of the first sheet that are used up already.
    """

    across: int = 3
    down: int = 7
    margin_mm: float = 10.0
    gap_mm: float = 3.0
    skip: int = 0

    @property
    def places(self) -> int:
        """Labels that a sheet holds."""
        return self.across * self.down

    @property
    def label_width_mm(self) -> float:
        gaps = (self.across - 1) * self.gap_mm
        return (SHEET_WIDTH_MM - 2 * self.margin_mm - gaps) / self.across

    @property
    def label_height_mm(self) -> float:
        gaps = (self.down - 1) * self.gap_mm
        return (SHEET_HEIGHT_MM - 2 * self.margin_mm - gaps) / self.down

    @property
    def is_wide(self) -> bool:
        """Whether the text stands beside the code; else it stands below."""
        return self.label_width_mm >= 1.3 * self.label_height_mm

    @property
    def code_mm(self) -> float:
        """Side of the code with its quiet zone [mm]; 0 or less when a label has no room."""
        long, short = self.label_width_mm, self.label_height_mm
        if not self.is_wide:
            long, short = short, long
        return min(short - 2 * _EDGE_MM, long * (1 - _TEXT_SHARE))

    @property
    def is_readable(self) -> bool:
        return self.code_mm >= SMALLEST_CODE_MM


def sheets_of(count: int, layout: SheetLayout) -> list[range]:
    """Which of `count` labels stand on each sheet; the first one begins after the used places.

    Raises
    ------
    ValueError
        More places are used than a sheet has.
    """
    if not 0 <= layout.skip < layout.places:
        raise ValueError("a sheet has fewer places than are used")
    first = layout.places - layout.skip
    starts = [0, *range(first, count, layout.places)]
    sheets = [range(start, min(end, count)) for start, end in pairwise([*starts, count])]
    return [sheet for sheet in sheets if sheet]
