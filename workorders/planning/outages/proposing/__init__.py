"""How a proposal is worked out; `workorders/planning/outages/proposal.py` is the one entry."""
