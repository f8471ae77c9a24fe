"""The monthly report."""
