"""A belt's page of recurring faults: where, when, how often, of what, and what held."""
