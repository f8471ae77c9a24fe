"""Numbered system checks with a hint each."""
