"""What pages of outage windows and crews show."""
