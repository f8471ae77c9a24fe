"""The first step of a mend: what to move, where, how far, which way, and what should come back."""
