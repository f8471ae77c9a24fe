"""What the register tells the rooms above; sent inside the transaction of the use case."""

from django.dispatch import Signal

# Figures, components or belt of a conveyor have changed. Arguments: conveyor (row), now (aware
# datetime).
register_changed = Signal()
