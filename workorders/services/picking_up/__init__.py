"""Status files of other systems: found in their folder, taken row by row, put away."""
