"""What meters of a conveyor tell: running hours and tonnes between any two instants; pure.

A reading is what the meter showed at an instant. Between two readings the amount is spread evenly;
before the first and after the last nothing is known, and nothing is made up.
"""
