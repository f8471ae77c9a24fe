"""What people read for the words of shifts, as choices of models and forms."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from workorders.shift_ways import End, Moved, Way

Words = str | Promise

MOVED_WORDS: dict[Moved, Words] = {
    Moved.FRAME: _("idler frame, at its foot"),
    Moved.HANGER: _("hanger of a return roll"),
    Moved.ROLL: _("roll in its bracket"),
    Moved.BEARING: _("bearing block of a pulley"),
    Moved.TAKE_UP: _("take-up screw or carriage"),
    Moved.STRUCTURE: _("structure"),
    Moved.CHUTE: _("chute or deflector plate"),
}
END_WORDS: dict[End, Words] = {
    End.LEFT: _("left end"),
    End.RIGHT: _("right end"),
    End.BOTH: _("both ends"),
}
WAY_WORDS: dict[Way, Words] = {
    Way.WITH_TRAVEL: _("with belt travel"),
    Way.AGAINST_TRAVEL: _("against belt travel"),
    Way.UP: _("up"),
    Way.DOWN: _("down"),
    Way.OUTWARD: _("outward, away from the belt"),
    Way.INWARD: _("inward, toward the belt"),
    Way.TO_RIGHT: _("to the right"),
    Way.TO_LEFT: _("to the left"),
}
MOVED_CHOICES = [(one.value, words) for one, words in MOVED_WORDS.items()]
END_CHOICES = [(one.value, words) for one, words in END_WORDS.items()]
WAY_CHOICES = [(one.value, words) for one, words in WAY_WORDS.items()]
