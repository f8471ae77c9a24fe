"""Recurring faults of all belts of a plant together: events in, every figure out; pure."""
