"""A site with one app more, whose owed work leaves a mark in a file, to watch the worker by."""
