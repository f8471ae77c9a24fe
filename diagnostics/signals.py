"""What diagnostics tells the rooms above; sent inside the transaction of the use case."""

from django.dispatch import Signal

# A person accepted a cause. Arguments: hypothesis (row), by (user), now (aware datetime).
cause_accepted = Signal()
# An accepted cause was taken back. Arguments: hypothesis, by, now, why.
cause_taken_back = Signal()
# A person refuted a suspicion. Arguments: hypothesis, by, now, why.
cause_refuted = Signal()
# The engine has diagnosed a case anew; its row is held. Arguments: diagnosis (row), now.
diagnosis_made = Signal()
# A case ended without work (not mistracking, cancelled). Arguments: case, by, now, why.
case_ended = Signal()
