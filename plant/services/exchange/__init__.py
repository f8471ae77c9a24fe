"""Files for systems that cannot ask: set up, owed, written."""
