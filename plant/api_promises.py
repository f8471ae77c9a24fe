"""What the API promises whoever builds on it; held by plant/api, told on the integrators' page."""

# v1 is served so long after v2 is there, and nothing goes sooner after it was said.
V1_OUTLIVES_V2_MONTHS = 24
LEAST_NOTICE_DAYS = 365
# Of one answer of a change feed.
MOST_CHANGES = 1000
LONGEST_WAIT_S = 30
