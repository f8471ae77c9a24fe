"""What the register's figures say of each other, by the engineer's rules of thumb; pure.

No design calculation: it finds figures that are likely mistyped or missing, and asks. `checking` is
the one entry; `formulas` holds the formulas, `limits` the figures things are held against, each
with its source. A figure that nobody registered is no finding; it is named as not checked.
"""
