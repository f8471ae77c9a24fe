"""What if: how the belt would run with a fault of the catalogue at a place; pure."""
