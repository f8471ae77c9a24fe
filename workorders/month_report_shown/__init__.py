"""A month's report in words, tables and charts, the same on its page and on paper."""
