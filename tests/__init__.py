"""The tests; a package, so that no library that brings `tests` of its own is found first."""
