"""A drawing of every cause: what is wrong, and to which side the belt goes."""
