"""What one telephone takes along of the engine: a table of one conveyor, to rank without signal."""
