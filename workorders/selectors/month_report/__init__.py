"""The figures of a month's report, read from the rows in a fixed number of queries."""
