"""Calendars in the format of RFC 5545, read for outage windows; pure.

`events.read_calendar` takes bytes to events or refusals with their lines, `laying_out.lay_out`
takes events to the windows of the coming months, `comparing.compare` says what they would change.
Whatever a file says of itself, no more is laid out than the limits beside each function allow.
"""
