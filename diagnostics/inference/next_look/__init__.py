"""What to look at next: what each look would tell, for its minutes."""
