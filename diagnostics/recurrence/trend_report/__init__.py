"""Files of events in, all figures of `manage.py trends` out; pure."""
