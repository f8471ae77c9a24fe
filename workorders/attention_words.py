"""What people read for the kinds of attention, and whom each concerns unless they say otherwise."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.roles import Role
from workorders.attention import AttentionKind

ATTENTION_WORDS: dict[AttentionKind, str | Promise] = {
    AttentionKind.OVERDUE: _("Overdue"),
    AttentionKind.NOT_BEGUN: _("Planned, not begun"),
    AttentionKind.PARTS: _("Waiting for parts"),
    AttentionKind.PROOF: _("Proof runs due"),
}
_PLANNING = frozenset({AttentionKind.OVERDUE, AttentionKind.NOT_BEGUN, AttentionKind.PARTS})
CONCERNS: dict[Role, frozenset[AttentionKind]] = {
    Role.TECHNICIAN: frozenset({AttentionKind.PROOF}),
    Role.PLANNER: _PLANNING,
    Role.LEAD: frozenset({AttentionKind.OVERDUE, AttentionKind.PROOF}),
}
