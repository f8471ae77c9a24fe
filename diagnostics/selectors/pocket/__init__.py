"""What a phone takes along of one case, and what is new since."""
