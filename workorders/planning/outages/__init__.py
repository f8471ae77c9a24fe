"""Jobs into outage windows under crews, skills, parts and each other; pure.

Times are whole minutes since 1970-01-01 00:00 UTC; spans are half open: `ends` is the first minute
that no longer belongs. A crew's work is people x minutes.
"""
