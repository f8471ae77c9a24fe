"""Files of lives: how they are read, what is answered, and the page a person reads; pure."""
