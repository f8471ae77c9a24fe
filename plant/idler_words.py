"""What is said to a keeper about idler sets: why a line or a change cannot be."""

from django.utils.functional import Promise
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from plant.loop.idler_line import LineRefused
from plant.loop.idler_sets import CannotChange
from plant.loop.vocabulary import Run
from plant.words import RUN_WORDS

EXAMPLE = "troughing idlers, 35 deg, every 1.2 m from 6 m to 310 m"
EXAMPLE_COUNTED = "C: 254 troughing sets every 1200 mm from 6 m"

_LINE: dict[str, str | Promise] = {
    "empty": _("Nothing is typed."),
    "too_long": _("The line is longer than 200 letters."),
    "not_understood": _("“%(said)s” could not be read."),
    "said_twice": _("“%(said)s” says something a second time."),
    "no_kind": _(
        "The kind is missing: troughing, impact, transition, return, vee return or self-aligning."
    ),
    "two_kinds": _("“%(said)s” is a second kind; one line is one group."),
    "no_spacing": _("The spacing is missing, such as “every 1.2 m”."),
    "no_start": _("The first set's place is missing, such as “from 6 m”."),
    "no_end": _("The end is missing: “to 310 m”, or a number of sets, such as “254 sets”."),
    "spacing_cannot_be": _("“%(said)s”: a spacing is above 0 m and at most 50 m."),
    "start_cannot_be": _("“%(said)s”: a place is from 0 m on, and on the loop."),
    "end_cannot_be": _("“%(said)s”: a place is from 0 m on, and on the loop."),
    "end_before_start": _("“%(said)s” is before the first set."),
    "finer_than_mm": _("“%(said)s” is finer than a millimetre."),
    "two_ways": _("“%(said)s” can be read in two ways: write it without marks between thousands."),
    "count_and_end": _("%(said)s sets do not reach to that end. Say only one of the two."),
    "count_cannot_be": _("%(said)s sets: a group has 1 to 20000."),
    "angle_cannot_be": _("“%(said)s”: a trough angle is from 0° to 60°."),
    "wrong_run": _("Idlers of this kind do not stand on the %(run)s run."),
    "number_too_large": _("“%(said)s”: numbers go from 1 to 99999."),
}
_CHANGE: dict[str, str | Promise] = {
    "no_such_set": _("No idler set of this conveyor is called “%(name)s”."),
    "no_such_series": _("No idler sets of this conveyor are numbered under “%(name)s”."),
    "no_such_number": _("No set there has the number %(number)s."),
    "name_needed": _("Give the new set a name, or let it take a number."),
    "name_taken": _("Another component of this conveyor is called “%(name)s”."),
    "name_with_numbers": _(
        "A set that takes a number is called %(prefix)s and that number, or leave the name empty."
    ),
    "number_out_of_order": _("A set before that place has the number %(number)s or a higher one."),
    "number_taken": _("Sets before it have lower numbers: the first free one is %(least)s."),
    "number_too_large": _("Numbers go up to %(most)s."),
    "not_numbered": _(
        "The sets of %(name)s have no numbers, so none of them can be told from the others. Mark "
        "the group as numbered first."
    ),
    "place_taken": _("%(name)s stands at %(at)s m already."),
    "same_place": _("%(one)s and %(other)s would stand in one place."),
    "past_another": _("%(one)s would stand past %(other)s."),
    "before_the_loop": _("That is before 0 m, where the loop begins."),
    "no_way": _("Nothing would change."),
    "no_idler": _("That is no kind of idlers."),
    "wrong_run": _("Idlers of this kind do not stand on the %(run)s run."),
}


def refused_line(refusal: LineRefused) -> str:
    """What could not be read, and the accepted form behind it."""
    said = refusal.said
    run = RUN_WORDS[Run(said)] if refusal.code == "wrong_run" else ""
    words = str(_LINE[refusal.code]) % {"said": said, "run": run}
    forms = {"one": EXAMPLE, "other": EXAMPLE_COUNTED}
    return f"{words} {_now('Write it like “%(one)s” or “%(other)s”.') % forms}"


def refused_change(refusal: CannotChange) -> str:
    values = dict(refusal.values_said)
    if "run" in values:
        values["run"] = RUN_WORDS[Run(str(values["run"]))]
    return str(_CHANGE[refusal.code]) % values
