"""Status files of other systems (pure): from bytes to rows, and from a row to what it says."""
