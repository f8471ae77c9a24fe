"""Job sheets, alone and as the pack of a window, as plain values for the typesetter."""
