"""The loop in side view, as shapes: the belt as it runs, what stands on it, what was seen there."""
