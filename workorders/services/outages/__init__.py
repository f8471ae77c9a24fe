"""Outage windows, crews and who is away: kept by planners, with what a change breaks told first."""
