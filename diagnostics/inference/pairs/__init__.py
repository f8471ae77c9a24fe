"""Two causes at once: who may be one of two, how well two explain what was seen, in words."""
